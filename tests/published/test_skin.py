"""Sheet tolerance by standard, and the skin under a part."""

import pytest

from core.cutting.skin import (
    needed_skin_mm,
    overcut_mm,
    programmed_skin_mm,
    skin_band,
    thickness_tolerance_mm,
)


# ISO 7823-1 as quoted by a sheet producer, the standard itself not read: exact
@pytest.mark.parametrize(
    ("thickness", "tolerance"),
    [(3, 0.70), (5, 0.90), (6, 1.00), (8, 1.20), (10, 1.40), (12, 1.60), (15, 1.90), (20, 2.40)],
)
def test_cast_acrylic(thickness, tolerance):
    assert thickness_tolerance_mm(thickness, 0.4, 0.1) == pytest.approx(tolerance, abs=1e-12)


# ISO 7823-2 as quoted by a sheet producer, the standard itself not read: exact
@pytest.mark.parametrize(("thickness", "tolerance"), [(2.0, 0.20), (3.0, 0.15), (6.0, 0.30)])
def test_extruded_acrylic(thickness, tolerance):
    assert thickness_tolerance_mm(thickness, 0.0, 0.05, 0.1) == pytest.approx(tolerance, abs=1e-12)


# arithmetic on ISO 7823-1 with bed +-0.1 and depth +-0.05 mm: last digit
@pytest.mark.parametrize(
    ("thickness", "from_top", "needed", "through"),
    [
        (3, -0.35, 1.05, 0.017),
        (6, -0.65, 1.35, 0.068),
        (10, -1.05, 1.75, 0.143),
        (20, -2.05, 2.75, 0.266),
    ],
)
def test_half_a_millimetre_of_skin(thickness, from_top, needed, through):
    tolerance = thickness_tolerance_mm(thickness, 0.4, 0.1)
    top = skin_band(0.5, 0.1, 0.05, tolerance)
    assert top.thinnest_mm == pytest.approx(from_top, abs=1e-9)
    assert needed_skin_mm(0.1, 0.05, tolerance) == pytest.approx(needed, abs=1e-9)
    # normal, the tolerance as three standard deviations: last digit
    assert top.cut_through_probability == pytest.approx(through, abs=1e-3)
    measured = skin_band(0.5, 0.1, 0.05, 0.05)
    assert measured.thinnest_mm == pytest.approx(0.30, abs=1e-9)


def test_from_the_bed_the_thickness_drops_out():
    # arithmetic: exact
    bed = skin_band(0.5, 0.1, 0.05)
    assert (bed.thinnest_mm, bed.thickest_mm) == pytest.approx((0.35, 0.65), abs=1e-12)
    assert needed_skin_mm(0.1, 0.05) == pytest.approx(0.35, abs=1e-12)
    assert programmed_skin_mm(0.35) == 0.4


def test_overcut():
    # F + e_z + 0.05, house rule: exact
    assert overcut_mm(0.1, 0.05) == pytest.approx(0.2, abs=1e-12)
