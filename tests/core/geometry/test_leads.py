import math

import numpy as np
import pytest

from core.geometry.bundle import bundle_of
from core.geometry.leads import gentle_places, gentlest_places, lead_arcs
from core.geometry.path import Path, circle
from tests.core.geometry.seeded import QUARTER, rectangle, slot


def lead(point, heading, radius, turn, *, leaving):
    """Return one lead as a path."""
    at, one = np.array([point], float), np.ones(1)
    far, bulge = lead_arcs(at, heading * one, radius * one, turn * one, leaving)
    ends = np.vstack([at, far] if leaving else [far, at])
    return Path(ends, bulge, closed=False)


def gentlest(path):
    return float(gentlest_places(bundle_of([path], closed=True))[0])


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("heading_deg", [0.0, 37.0, 180.0, -100.0])
def test_a_lead_in_meets_the_path_tangentially_from_its_side(side, heading_deg):
    heading = math.radians(heading_deg)
    arc = lead((3.0, 4.0), heading, 2.0, side * math.pi / 2.0, leaving=False)
    point, arrives = arc.point_and_heading_at(arc.length_mm)
    assert point == pytest.approx((3.0, 4.0))
    assert math.cos(arrives - heading) == pytest.approx(1.0)
    assert arc.length_mm == pytest.approx(math.pi)
    x, y = arc.points[0] - [3.0, 4.0]
    assert side * (math.cos(heading) * y - math.sin(heading) * x) == pytest.approx(2.0)


@pytest.mark.parametrize("side", [1, -1])
def test_a_lead_out_leaves_tangentially_to_its_side(side):
    arc = lead((0.0, 0.0), 0.0, 2.0, side * math.pi / 2.0, leaving=True)
    assert arc.point_and_heading_at(0.0)[1] == pytest.approx(0.0)
    assert arc.points[-1] == pytest.approx((2.0, 2.0 * side))


def test_a_lead_may_sweep_less_than_a_quarter():
    arc = lead((0.0, 0.0), 0.0, 5.0, math.radians(30), leaving=False)
    assert arc.length_mm == pytest.approx(5.0 * math.radians(30))


def test_the_longest_straight_is_entered_in_its_middle():
    assert gentlest(rectangle()) == pytest.approx(50.0)
    assert gentlest(rectangle(40, 60)) == pytest.approx(70.0)


def test_a_straight_broken_by_points_counts_as_one():
    points = np.array([[0, 0], [30, 0], [60, 0], [60, 50], [0, 50]], float)
    assert gentlest(Path(points, np.zeros(5))) == pytest.approx(30.0)


def test_a_straight_across_the_seam_counts_as_one():
    points = np.array([[0, 0], [100, 0], [80, 60], [20, 60]], float)
    ring = Path(points, np.zeros(4)).with_start(30.0)
    assert gentlest(ring) == pytest.approx(20.0)


def test_a_straight_is_preferred_to_a_half_circle_that_is_longer():
    ring = slot(length=12.0, radius=5.0)
    assert gentlest(ring) == pytest.approx(6.0)


def test_a_circle_is_entered_in_the_middle_of_its_first_half():
    assert gentlest(circle((0, 0), 4.0)) == pytest.approx(2.0 * math.pi)


def test_a_place_on_a_rounded_rectangle_is_not_on_its_rounding():
    r = 5.0
    points = [
        (r, 0),
        (50 - r, 0),
        (50, r),
        (50, 40 - r),
        (50 - r, 40),
        (r, 40),
        (0, 40 - r),
        (0, r),
    ]
    path = Path(np.array(points), np.array([0, QUARTER] * 4))
    assert gentlest(path) == pytest.approx(20.0)


def test_many_paths_are_entered_as_each_alone():
    paths = [rectangle(), circle((3.0, 4.0), 5.0), slot(length=12.0, radius=5.0), rectangle(40, 60)]
    together = gentlest_places(bundle_of(paths, closed=True))
    assert together == pytest.approx([gentlest(path) for path in paths])


def test_the_gentle_places_begin_with_the_gentlest_and_keep_off_corners_and_roundings():
    path = Path(rectangle(100, 60).points, np.zeros(4))
    places = gentle_places(bundle_of([path], closed=True), 8)[0]
    assert places[0] == pytest.approx(gentlest(path))
    corners = np.array([0.0, 100.0, 160.0, 260.0, 320.0])
    assert np.abs(places[:, None] - corners).min() > 10.0
    assert len(np.unique(places)) > 4


def test_a_circle_may_be_entered_all_round():
    places = gentle_places(bundle_of([circle((0, 0), 4.0)], closed=True), 8)[0]
    assert np.diff(np.sort(places)) == pytest.approx(math.pi)


def test_a_short_side_is_no_gentle_place():
    places = gentle_places(bundle_of([rectangle(100, 20)], closed=True), 8)[0]
    assert ((places < 100.0) | ((places > 120.0) & (places < 220.0))).all()
