import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.geometry.path import Path, Segments, circle
from tests.core.geometry.seeded import rectangle, slot, stars


@pytest.mark.parametrize(
    ("s_mm", "point", "heading_deg"),
    [
        (0.0, (0, 0), 0),
        (30.0, (30, 0), 0),
        (100.0, (100, 0), 90),
        (310.0, (0, 10), -90),
        (350.0, (30, 0), 0),
        (-10.0, (0, 10), -90),
    ],
)
def test_a_place_on_a_closed_path_counts_on_lap_after_lap(s_mm, point, heading_deg):
    at, heading = rectangle().point_and_heading_at(s_mm)
    assert at == pytest.approx(point)
    assert math.degrees(heading) == pytest.approx(heading_deg)


def test_a_place_on_an_arc_has_the_heading_of_its_tangent():
    at, heading = circle((0, 0), 5.0).point_and_heading_at(5.0 * math.radians(60))
    assert at == pytest.approx((2.5, 5.0 * math.sin(math.radians(60))))
    assert math.degrees(heading) == pytest.approx(150.0)


def test_a_place_on_an_open_path_is_held_between_its_ends():
    path = Path(np.array([[0, 0], [10, 0]]), np.zeros(1), closed=False)
    assert path.point_and_heading_at(99.0)[0] == pytest.approx((10, 0))
    assert path.point_and_heading_at(-1.0)[0] == pytest.approx((0, 0))


@given(st.floats(0.0, 200.0), st.floats(0.0, 300.0))
def test_a_stretch_is_as_long_as_asked_and_ends_where_asked(start_mm, long_mm):
    ring = slot()
    stretch = ring.cut(start_mm, start_mm + long_mm)
    assert not stretch.closed
    assert stretch.length_mm == pytest.approx(long_mm, abs=3e-9)
    ends = ring.point_and_heading_at(start_mm)[0], ring.point_and_heading_at(start_mm + long_mm)[0]
    assert stretch.points[0] == pytest.approx(ends[0], abs=3e-9)
    assert stretch.points[-1] == pytest.approx(ends[1], abs=3e-9)


def test_a_stretch_may_pass_the_seam_for_an_overlap():
    lap = rectangle().cut(300.0, 300.0 + 320.0 + 5.0)
    assert lap.length_mm == pytest.approx(325.0)
    assert lap.points[-1] == pytest.approx((0.0, 15.0))


def test_whole_segments_of_a_stretch_keep_their_bulge_to_the_last_digit():
    path = stars(1, 3)[0]
    assert (path.cut(0.0, path.length_mm).bulges == path.bulges).all()


def test_a_stretch_runs_forwards():
    with pytest.raises(ValueError, match="forwards"):
        rectangle().cut(5.0, 4.0)


@pytest.mark.parametrize("seed", range(5))
def test_boxes_of_arcs_hold_their_points_and_no_more(seed):
    path = stars(1, seed)[0]
    points = path.flattened(1e-5)
    low, high = points.min(axis=0), points.max(axis=0)
    assert path.bounds_mm == pytest.approx((*low, *high), abs=2e-5)


def test_the_box_of_a_nearly_flat_arc_is_not_lost_in_its_centre():
    arc = Segments(np.array([[0.0, 0.0]]), np.array([[1000.0, 0.0]]), np.array([2e-12]))
    assert arc.bounds_mm == pytest.approx((0.0, 0.0, 1000.0, 0.0), abs=1e-8)
