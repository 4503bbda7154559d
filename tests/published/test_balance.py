"""Balance: ISO 21940-11 as quoted by a tool maker's worked example; the standard not read."""

import pytest

from core.cutting.balance import (
    headroom_speed_rpm,
    residual_unbalance_g_mm_kg,
    unbalance_force_n,
)

GRADES = (0.4, 1.0, 2.5, 6.3, 16.0, 40.0)
TABLE = {
    3000: (1.2732, 3.1831, 7.9577, 20.0535, 50.9296, 127.324),
    6000: (0.6366, 1.5915, 3.9789, 10.0268, 25.4648, 63.662),
    10000: (0.3820, 0.9549, 2.3873, 6.0161, 15.2789, 38.1972),
    12000: (0.3183, 0.7958, 1.9894, 5.0134, 12.7324, 31.8310),
    18000: (0.2122, 0.5305, 1.3263, 3.3423, 8.4883, 21.2207),
    24000: (0.1592, 0.3979, 0.9947, 2.5067, 6.3662, 15.9155),
    30000: (0.1273, 0.3183, 0.7958, 2.0054, 5.0930, 12.7324),
}


@pytest.mark.parametrize(
    ("rpm", "grade", "g_mm_kg"),
    [(n, g, e) for n, row in TABLE.items() for g, e in zip(GRADES, row, strict=True)],
)
def test_residual_unbalance_by_grade(rpm, grade, g_mm_kg):
    # 60 000 G / 2 pi n, worked out apart: last printed digit
    assert residual_unbalance_g_mm_kg(grade, rpm) == pytest.approx(
        g_mm_kg, abs=6e-4 if rpm < 9e3 else 6e-5
    )


def test_the_worked_example_of_a_tool_catalogue():
    # U_per = 9549 x 6.3 x 2 kg / 10 000 rpm = 12 g.mm, as printed: 0.05 g.mm
    assert 2.0 * residual_unbalance_g_mm_kg(6.3, 10_000.0) == pytest.approx(12.03, abs=0.05)


def test_the_turbine_of_the_standard():
    # 3600 kg, 3000 rpm, G2.5 -> about 28.6e3 g.mm, from memory: 50 g.mm
    assert 3600.0 * residual_unbalance_g_mm_kg(2.5, 3000.0) == pytest.approx(28_648.0, abs=50.0)


@pytest.mark.parametrize(("rpm", "newton"), [(10e3, 1.0966), (18e3, 3.5531), (24e3, 6.3165)])
def test_the_force_of_a_gram_millimetre(rpm, newton):
    # U omega^2: last digit
    assert unbalance_force_n(1.0, rpm) == pytest.approx(newton, abs=5e-5)


def test_a_holder_balanced_at_24000_runs_18000():
    # common practice, no source; exact
    assert headroom_speed_rpm(24_000.0) == 18_000.0
