"""Growth of panels and openings of guards against published numbers."""

import pytest

from core.report.fitting import STEEL_UM_MK, thermal_growth_mm
from core.report.guard_openings import Form, Opening, safety_distances_mm, table

# expansion in µm/(m K) as handbooks print it; 1000 mm over 40 K
GROWTH = [
    ("acrylic", 70.0, 2.80),
    ("polycarbonate", 65.0, 2.60),
    ("PVC", 70.0, 2.80),
    ("polypropylene", 100.0, 4.00),
    ("HDPE", 120.0, 4.80),
    ("HDPE, upper value", 200.0, 8.00),
    ("steel", STEEL_UM_MK, 0.48),
]


@pytest.mark.parametrize(("what", "expansion", "growth"), GROWTH)
def test_a_metre_grows_over_40_kelvin_as_handbooks_say(what, expansion, growth):
    assert thermal_growth_mm(1000.0, expansion, 40.0) == pytest.approx(growth, abs=0.005)


def test_four_feet_of_acrylic_grow_three_sixteenths_of_an_inch_over_100_fahrenheit():
    # a supplier's rule: 48 in, about 3/16 in for 100 F; 70 µm/(m K) as above
    growth_in = thermal_growth_mm(48.0 * 25.4, 70.0, 100.0 / 1.8) / 25.4
    assert growth_in == pytest.approx(3.0 / 16.0, abs=0.005)


# ISO 13857, table 4 (people of 14 and older), as quoted by public pages; the standard not read
ISO_13857 = [
    # opening, slot, square, round
    (4.0, 2.0, 2.0, 2.0),
    (6.0, 10.0, 5.0, 5.0),
    (8.0, 20.0, 15.0, 5.0),
    (10.0, 80.0, 25.0, 20.0),
    (12.0, 100.0, 80.0, 80.0),
    (20.0, 120.0, 120.0, 120.0),
    (30.0, 850.0, 120.0, 120.0),
    (40.0, 850.0, 200.0, 120.0),
    (120.0, 850.0, 850.0, 850.0),
]


@pytest.mark.parametrize(("opening", "slot", "square", "round_one"), ISO_13857)
def test_the_distance_behind_an_opening_is_that_of_the_quoted_table(
    opening, slot, square, round_one
):
    for form, distance in ((Form.SLOT, slot), (Form.SQUARE, square), (Form.ROUND, round_one)):
        assert safety_distances_mm(Opening(form, opening, 200.0))[0] == distance


def test_a_slot_of_65_mm_stops_the_hand_at_the_thumb():
    assert safety_distances_mm(Opening(Form.SLOT, 25.0, 65.0)) == (200.0,)
    assert safety_distances_mm(Opening(Form.SLOT, 25.0, 65.1)) == (850.0,)
    assert safety_distances_mm(Opening(Form.SLOT, 15.0, 60.0)) == (120.0,)


def test_a_national_edition_is_stricter_in_three_cells_and_both_are_told():
    stricter = {
        (Form.SQUARE, 6.0): (5.0, 10.0),
        (Form.ROUND, 8.0): (5.0, 15.0),
        (Form.ROUND, 40.0): (120.0, 200.0),
    }
    for row in table().rows:
        for form in Form:
            got = safety_distances_mm(Opening(form, row.up_to_mm, 200.0))
            expected = stricter.get((form, row.up_to_mm))
            assert got == expected if expected else len(got) == 1


def test_above_the_table_no_distance_is_told():
    assert safety_distances_mm(Opening(Form.ROUND, 120.01, 120.01)) == ()


def test_distances_never_fall_as_openings_grow():
    for form in Form:
        rising = [max(safety_distances_mm(Opening(form, r.up_to_mm, 200.0))) for r in table().rows]
        assert rising == sorted(rising)
