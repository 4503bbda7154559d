"""Chip geometry, rubbing, run-out, feed marks, gullet."""

import math

import pytest

from core.cutting.chip import (
    chip_thickness_mm,
    engagement_angle_rad,
    feed_for_mark_height_mm,
    feed_mark_height_mm,
    h_max_mm,
    h_mean_mm,
    mark_roughness_mm,
    trochoid_mark_height_mm,
)
from core.cutting.rubbing import (
    chip_loads_with_run_out_mm,
    finish_chip_ratio,
    rubbing_share,
    rubbing_thickness_mm,
)
from core.cutting.section import chip_packing, gullet_area_mm2, one_edge_section
from tests.studies.true_chip import true_greatest_chip_mm


def towards_wall(wall_radius_mm, concave, cutter_radius_mm=3.0):
    """Return the curvature of the centre path for a wall of a radius."""
    if concave:
        return -1.0 / (wall_radius_mm - cutter_radius_mm)
    return 1.0 / (wall_radius_mm + cutter_radius_mm)


# h = f sin phi and its mean: H. El-Hofy, Fundamentals of Machining Processes, chapter on milling
# (p. 174 for cos phi = 1 - 2 a_e / D); worked by hand, last digit
@pytest.mark.parametrize(
    ("width", "degrees", "greatest", "mean"),
    [
        (6.0, 180.0, 0.3300, 0.2101),
        (3.0, 90.0, 0.3300, 0.2101),
        (1.5, 60.0, 0.2858, 0.1576),
        (0.5, 33.557, 0.1824, 0.0939),
    ],
)
def test_engagement_and_chip_on_a_straight_wall(width, degrees, greatest, mean):
    angle = engagement_angle_rad(width, 6.0)
    assert math.degrees(angle) == pytest.approx(degrees, abs=1e-3)
    assert float(h_max_mm(0.33, angle)) == pytest.approx(greatest, abs=5e-5)
    assert float(h_mean_mm(0.33, angle)) == pytest.approx(mean, abs=5e-5)


# closed forms of the circular model, computed independently: last printed digit
@pytest.mark.parametrize(
    ("ratio", "greatest", "mean"),
    [
        (0.02, 0.2800, 0.140947),
        (0.05, 0.43589, 0.221716),
        (0.10, 0.6000, 0.310800),
        (0.15, 0.71414, 0.377169),
        (0.20, 0.8000, 0.431362),
        (0.25, 0.86603, 0.477465),
        (0.30, 0.91652, 0.517563),
        (0.40, 0.97980, 0.584181),
        (0.50, 1.0000, 0.636620),
    ],
)
def test_radial_thinning(ratio, greatest, mean):
    angle = engagement_angle_rad(ratio, 1.0)
    assert float(h_max_mm(1.0, angle)) == pytest.approx(greatest, abs=5e-6)
    assert float(h_mean_mm(1.0, angle)) == pytest.approx(mean, abs=5e-7)


@pytest.mark.parametrize(
    ("diameter", "width", "ratio", "degrees"),
    [
        (6.0, 0.5, 0.55277, 33.5573),
        (6.0, 0.75, 0.66144, 41.4096),
        (6.0, 1.0, 0.74536, 48.1897),
        (8.0, 0.5, 0.48412, None),
        (10.0, 1.0, 0.60000, 36.8699),
        (12.0, 1.0, 0.55277, None),
        (3.0, 0.75, 0.86603, 60.0000),
    ],
)
def test_finish_stocks(diameter, width, ratio, degrees):
    angle = engagement_angle_rad(width, diameter)
    assert float(h_max_mm(1.0, angle)) == pytest.approx(ratio, abs=5e-6)
    if degrees is not None:
        assert math.degrees(angle) == pytest.approx(degrees, abs=5e-5)


# derived; the identity of mass conservation is exact
@pytest.mark.parametrize(
    ("wall", "concave", "degrees"),
    [(5, True, 52.83), (10, True, 39.84), (25, True, 35.66), (10, False, 29.71), (5, False, 27.05)],
)
def test_engagement_on_arcs(wall, concave, degrees):
    angle = engagement_angle_rad(0.5, 6.0, towards_wall(wall, concave))
    assert math.degrees(angle) == pytest.approx(degrees, abs=0.01)


# simulation of the true paths with the free surface of the stock: 0.5 %
@pytest.mark.parametrize(
    ("width", "feed", "conventional", "true"),
    [
        (1.5, 0.33, True, 0.2781),
        (0.5, 0.33, True, 0.1667),
        (0.5, 0.33, False, 0.1715),
        (0.5, 0.10, True, 0.0539),
        (6.0, 0.33, True, 0.3301),
    ],
)
def test_the_circular_chip_with_its_finish_ratio_is_near_the_true_one(
    width, feed, conventional, true
):
    assert true_greatest_chip_mm(width, feed, conventional) == pytest.approx(true, rel=0.005)
    ours = float(h_max_mm(feed, engagement_angle_rad(width, 6.0)) * finish_chip_ratio(feed, width))
    # 4.5 % to the thin side where the ratio applies, 3 % to the thick side where it does not
    assert -0.045 * true <= ours - true <= 0.03 * true


# envelope of the trochoids, numerically (Martellotti 1941 for the form, abstract): 0.2 %
@pytest.mark.parametrize(
    ("edges", "feed", "climb", "um"),
    [
        (1, 0.33, False, 4.386),
        (1, 0.33, True, 4.704),
        (1, 0.1, False, 0.4123),
        (2, 0.33, False, 4.239),
        (3, 0.2, True, 1.779),
    ],
)
def test_feed_marks_along_the_true_path(edges, feed, climb, um):
    height = float(trochoid_mark_height_mm(feed, edges, 6.0, climb=climb)) * 1000.0
    assert height == pytest.approx(um, rel=2e-3)


# intersection of two circles: 0.2 %
@pytest.mark.parametrize(
    ("wall", "concave", "um"),
    [
        (5, True, 11.333),
        (10, True, 6.485),
        (25, True, 5.160),
        (10, False, 3.494),
        (5, False, 2.839),
    ],
)
def test_feed_marks_on_arc_walls(wall, concave, um):
    height = float(feed_mark_height_mm(0.33, 6.0, towards_wall(wall, concave))) * 1000.0
    assert height == pytest.approx(um, rel=2e-3)


@pytest.mark.parametrize(("diameter", "feed", "um"), [(6.0, 0.15, 0.9375), (12.0, 0.3, 1.875)])
def test_peripheral_cusp(diameter, feed, um):
    # Martellotti 1941, from memory; closed form, exact circle 0.93765 um
    assert float(feed_mark_height_mm(feed, diameter)) * 1000.0 == pytest.approx(um, abs=1e-9)


def test_marks_of_5_um_allow_0_346_mm_a_revolution():
    # f <= sqrt(8 R h), derived: last digit
    assert float(feed_for_mark_height_mm(0.005, 6.0)) == pytest.approx(0.346, abs=5e-4)


def test_roughness_of_feed_marks():
    # 4 / (9 sqrt 3) = 0.2566, derived: last digit
    assert float(mark_roughness_mm(1.0)) == pytest.approx(0.2566, abs=5e-5)


@pytest.mark.parametrize(
    ("offset", "loads"), [(0.01, (0.05, 0.01)), (0.02, (0.06, 0.0)), (0.05, (0.06, 0.0))]
)
def test_run_out_of_two_edges(offset, loads):
    # by hand, exact
    assert chip_loads_with_run_out_mm(0.03, (offset, -offset)) == pytest.approx(loads, abs=1e-12)


# k = 0.33 measured on PMMA (James et al. 2014, abstract); closed form: 1 % of the value
@pytest.mark.parametrize(
    ("width", "feed", "per_cent"),
    [(6.0, 0.33, 0.32), (6.0, 0.03, 3.5), (0.5, 0.33, 0.85), (0.5, 0.03, 9.4)],
)
def test_rubbing_share_at_an_edge_radius_of_5_um(width, feed, per_cent):
    share = rubbing_share(feed, engagement_angle_rad(width, 6.0), rubbing_thickness_mm(5.0))
    assert float(share) * 100.0 == pytest.approx(per_cent, rel=0.01)


def test_the_measured_rubbing_limit():
    # James et al. 2014, abstract: 0.33 of an edge radius of 48 um; 0.01 um
    assert float(rubbing_thickness_mm(48.0)) * 1000.0 == pytest.approx(15.84, abs=0.01)


def test_a_thin_finish_pass_has_a_mean_chip_of_6_um():
    # derived: f_z 0.03, a_e 0.25, D 6 -> 0.0061 mm; last digit
    angle = engagement_angle_rad(0.25, 6.0)
    assert float(h_mean_mm(0.03, angle)) == pytest.approx(0.0061, abs=5e-5)
    assert float(chip_thickness_mm(0.03, angle)) < 0.03


@pytest.mark.parametrize(
    ("diameter", "feed"), [(3.0, 0.235), (4.0, 0.313), (6.0, 0.470), (8.0, 0.626)]
)
def test_the_feed_that_fills_the_gullet_in_a_slot(diameter, feed):
    # estimate of gullet and bulk factor; arithmetic, last digit
    fill = chip_packing(feed, diameter, gullet_area_mm2(diameter))
    assert float(fill) == pytest.approx(1.0, abs=2.5e-3)


def test_the_section_of_a_one_edge_cutter():
    # closed form against polygons: gullet 40 % of the disc, D_eq 0.74 weakest, 0.81 mean
    section = one_edge_section()
    assert section.gullet_area / math.pi == pytest.approx(0.40, abs=0.005)
    assert section.weakest_ratio == pytest.approx(0.74, abs=0.005)
    assert section.mean_ratio == pytest.approx(0.81, abs=0.005)
