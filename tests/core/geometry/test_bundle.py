"""A bundle of paths does what each path does alone."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.geometry.bundle import bundle_of
from core.geometry.path import circle
from tests.core.geometry.seeded import rectangle, slot, stars

PATHS = [rectangle(), circle((900.0, -40.0), 5.0), slot(), *stars(4, 3)]
RINGS = bundle_of(PATHS, closed=True)
WAYS = st.lists(st.floats(-900.0, 900.0), min_size=len(PATHS), max_size=len(PATHS))


def test_it_gives_back_the_paths_it_was_made_of():
    for one, other in zip(PATHS, RINGS.paths(), strict=True):
        assert np.array_equal(one.points, other.points)
        assert np.array_equal(one.bulges, other.bulges)


def test_it_measures_each_path():
    assert RINGS.length_mm == pytest.approx([path.length_mm for path in PATHS])
    assert RINGS.area_mm2 == pytest.approx([path.area_mm2 for path in PATHS])


@given(WAYS)
def test_its_places_are_those_of_each_path(ways):
    places = RINGS.places(np.arange(len(PATHS)), np.array(ways))
    for path, way, point in zip(PATHS, ways, RINGS.points_at(places), strict=True):
        assert point == pytest.approx(path.point_and_heading_at(way)[0], abs=1e-9)


@given(WAYS, st.floats(0.0, 900.0))
def test_its_stretches_are_those_of_each_path(begins, long_mm):
    start = np.array(begins)
    found = RINGS.stretches(np.arange(len(PATHS)), start, start + long_mm)
    for path, begin, stretch in zip(PATHS, begins, found.paths(), strict=True):
        alone = path.cut(begin, begin + long_mm)
        assert stretch.length_mm == pytest.approx(alone.length_mm, abs=3e-9)
        assert stretch.points[[0, -1]] == pytest.approx(alone.points[[0, -1]], abs=3e-9)


def test_a_stretch_of_no_length_stands_still_where_it_was_asked_for():
    (still,) = RINGS.stretches(np.array([0]), np.array([30.0]), np.array([30.0])).paths()
    assert still.points == pytest.approx(np.array([[30.0, 0.0]]))


@given(WAYS)
def test_a_lap_ends_exactly_where_it_began(ways):
    for path, lap in zip(PATHS, RINGS.laps_from(np.array(ways)).paths(), strict=True):
        assert np.array_equal(lap.points[0], lap.points[-1])
        assert lap.length_mm == pytest.approx(path.length_mm)


@pytest.mark.parametrize("way_round", [True, False])
def test_paths_run_the_way_that_is_asked_for_from_their_own_first_point(way_round):
    turned = RINGS.running(np.full(len(PATHS), way_round))
    assert ((turned.area_mm2 > 0.0) == way_round).all()
    assert np.array_equal(turned.points[turned.first[:-1]], RINGS.points[RINGS.first[:-1]])
    back = RINGS.running(~(RINGS.area_mm2 > 0.0)).paths()
    for path, other in zip(PATHS, back, strict=True):
        assert np.array_equal(other.points, path.reversed().points)
        assert np.array_equal(other.bulges, path.reversed().bulges)


def test_some_stretches_get_one_more_segment_at_their_end():
    three = np.arange(3)
    ways = RINGS.stretches(three, np.zeros(3), np.full(3, 5.0))
    longer = ways.with_ends(np.array([0, 2]), np.array([[1.0, 2.0], [3.0, 4.0]]), np.array([0, 1]))
    before, after = ways.paths(), longer.paths()
    assert [len(b.bulges) - len(a.bulges) for a, b in zip(before, after, strict=True)] == [1, 0, 1]
    assert after[2].points[-1] == pytest.approx([3.0, 4.0])
    assert after[2].bulges[-1] == 1.0
    assert np.array_equal(after[1].points, before[1].points)
