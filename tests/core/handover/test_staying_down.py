"""The way back in the cutter's own slot to the next depth, and what lies between passes."""

from dataclasses import replace

import numpy as np
import pytest
from handed import planned, small_job

from core.geometry.distance import distance_to
from core.geometry.path import Path, circle
from core.motion.staying import STAYS_DOWN_MM, way_back, way_time_s


def levels(thickness_mm=14.0):
    """Return the trips of the hole's first step, deep enough for several."""
    results = planned(small_job(thickness_mm=thickness_mm))
    trips = [p.toolpath for p in results.plan.passes]
    first = trips[0].step.name
    hole = next(c.id for c in results.contours[0].contours if c.circle_diameter_mm)
    found = [t for t in trips if t.contour_id == hole and t.step.name == first]
    ring = [t for t in found if t.cut.length_mm == found[-1].cut.length_mm]
    assert len({t.level for t in ring}) >= 2
    return sorted(ring, key=lambda t: t.level)


def test_the_way_back_leads_from_one_depth_to_the_next_along_the_ring():
    before, after = levels()[:2]
    way = way_back(before, after)
    assert way is not None
    assert np.allclose(way.points[0], before.exit.points[-1])
    assert np.allclose(way.points[-1], after.entry.points[0])
    places = way.flattened(1e-3)
    assert distance_to(before.cut, places).max() < 2e-3
    assert 0.0 < way.length_mm <= STAYS_DOWN_MM


def test_on_a_ring_of_two_half_circles_the_right_half_is_taken():
    before, after = levels()[:2]
    ring = circle((0.0, 0.0), 0.3)
    cut = Path(np.vstack([ring.points, ring.points[:1]]), ring.bulges, closed=False)
    length = cut.length_mm
    before = replace(before, cut=cut, exit=cut.cut(0.0, 0.9))
    for begins in (0.2, 0.8, 1.2, 1.7):
        after = replace(after, cut=cut, entry=cut.cut(begins, length))
        way = way_back(before, after)
        assert way is not None
        assert np.allclose(way.points[-1], after.entry.points[0])
        assert way.length_mm == pytest.approx(0.9 + length - begins)


def test_the_cutter_is_lifted_to_another_ring_contour_or_step():
    before, after = levels()[:2]
    assert way_back(before, replace(after, level=before.level)) is None
    assert way_back(before, replace(after, contour_id=99)) is None
    away = Path(after.cut.points + 1.0, after.cut.bulges, closed=False)
    assert way_back(before, replace(after, cut=away)) is None


def test_a_way_out_that_leaves_the_ring_is_not_gone_back():
    before, after = levels()[:2]
    end = before.exit.points[-1]
    out = Path(np.array([end, end + 1.0]), np.zeros(1), closed=False)
    assert way_back(replace(before, exit=out), after) is None


def test_the_way_back_is_run_from_rest_to_rest():
    line = Path(np.array([[0.0, 0.0], [10.0, 0.0]]), np.zeros(1), closed=False)
    # 10 mm at 1000 mm/s2 from rest to rest, never at full feed: 2 sqrt(L / a)
    assert way_time_s(line, 500.0, 1000.0) == pytest.approx(2.0 * (10.0 / 1000.0) ** 0.5)
    corner = Path(np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]]), np.zeros(2), closed=False)
    assert way_time_s(corner, 500.0, 1000.0) == pytest.approx(4.0 * (10.0 / 1000.0) ** 0.5)
