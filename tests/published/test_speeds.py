"""Speeds, feeds and removal rate against printed numbers."""

import pytest

from core.cutting.force import cutting_power_w
from core.cutting.speeds import (
    cutting_speed_m_min,
    feed_per_tooth_mm,
    feed_speed_mm_min,
    removal_rate_mm3_s,
    spindle_speed_rpm,
)

INCH = 25.4


@pytest.mark.parametrize(("edges", "inches_a_minute"), [(1, 234.0), (2, 468.0)])
def test_18000_rpm_at_13_thousandths_an_edge(edges, inches_a_minute):
    # common practice, no source; exact arithmetic
    feed = float(feed_speed_mm_min(18_000.0, edges, 0.013 * INCH))
    assert feed / INCH == pytest.approx(inches_a_minute, abs=1e-9)


def test_25_m_min_on_12_mm_is_663_rpm():
    # common practice (a seller's page prints 663 with pi = 3.14; exact 663.15); 0.5 rpm
    assert float(spindle_speed_rpm(25.0, 12.0)) == pytest.approx(663.15, abs=0.005)
    assert float(cutting_speed_m_min(12.0, 663.15)) == pytest.approx(25.0, abs=1e-3)


@pytest.mark.parametrize(
    ("feed_per_tooth", "edges", "rpm", "mm_min", "digit"),
    [
        (0.065, 2, 663.0, 86.0, 0.5),  # common practice (a seller's page)
        (0.065, 3, 663.0, 129.0, 0.5),  # same page
        (0.06, 4, 663.0, 159.0, 0.5),  # same page
        (0.1, 2, 18_000.0, 3600.0, 1e-9),  # common practice (a seller's page)
    ],
)
def test_feed_speed_is_speed_times_edges_times_chip_load(feed_per_tooth, edges, rpm, mm_min, digit):
    assert float(feed_speed_mm_min(rpm, edges, feed_per_tooth)) == pytest.approx(mm_min, abs=digit)


def test_chip_load_from_500_inches_a_minute():
    # common practice (a seller's page prints .017; exact 0.016667 in)
    inches = float(feed_per_tooth_mm(500.0 * INCH, 15_000.0, 2)) / INCH
    assert inches == pytest.approx(0.016667, abs=5e-7)


def test_a_table_feed_of_a_milling_handbook():
    # a milling handbook of 1973 prints 11.2 for 0.004 in x 32 edges x 88 rpm; exact 11.264 in/min
    feed = float(feed_speed_mm_min(88.0, 32, 0.004 * INCH)) / INCH
    assert feed == pytest.approx(11.264, abs=1e-9)


def test_a_chip_load_of_an_acetal_shop_log():
    # SME chapter shop log: 1/4 in, 4 edges, 1500 rpm, 40 in/min -> 0.00667 in (0.1693 mm)
    assert float(feed_per_tooth_mm(40.0 * INCH, 1500.0, 4)) == pytest.approx(0.1693, abs=5e-5)


def test_power_is_specific_force_times_removal_rate():
    # values of the trade: D 6, a_p 6, 3000 mm/min, 200 N/mm2 -> 1800 mm3/s, 360 W; derived, exact
    assert float(removal_rate_mm3_s(6.0, 6.0, 3000.0)) == pytest.approx(1800.0, abs=1e-9)
    power = cutting_power_w(200.0, 0.0, 6.0, 6.0, 3000.0, 6.0, 18_000.0, 1)
    assert float(power) == pytest.approx(360.0, abs=1e-9)


def test_a_cubic_inch_a_minute():
    # exact: 25.4^3 / 60 = 273.117733 mm3/s
    assert float(removal_rate_mm3_s(INCH, INCH, INCH)) == pytest.approx(273.117733, abs=1e-6)
