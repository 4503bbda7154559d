"""What holds for the offset of any contour.

`CONTOURS=10000 pytest tests/core/geometry/test_offset_properties.py` tries ten thousand of them.
"""

import math
import os
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.geometry.distance import contains, distance_to
from core.geometry.offset import offset
from core.geometry.path import Path
from core.geometry.simple import are_simple
from tests.core.geometry.seeded import along, plates, stars

CASES = 37
"""Over so many tests the contours are spread."""

COUNT = int(os.environ.get("CONTOURS", "1480")) // CASES


def nudge_mm(found):
    """How much the distance of a flagged offset was changed, by its own words."""
    said = re.search(r"made ([-+.e0-9]+) mm larger", found.reason)
    return abs(float(said.group(1))) if said else 0.0


def check(paths, distance_mm):
    for path, found in zip(paths, offset(paths, distance_mm), strict=True):
        assert "no sound offset" not in found.reason
        assert nudge_mm(found) <= 2e-3
        for ring in found.paths:
            away = distance_to(path, along(ring)) - abs(distance_mm)
            assert np.abs(away).max() <= 1e-9 + 1.1 * nudge_mm(found)
        assert are_simple(found.paths).all()


@pytest.mark.parametrize("distance_mm", [1.0, -1.0, 3.0, -3.0, 8.0, -8.0, 20.0, -15.0])
def test_every_point_of_the_offset_of_a_star_is_at_its_distance(distance_mm):
    paths = stars(COUNT, 31)
    check(paths, distance_mm)
    assert not any(found.flagged for found in offset(paths, distance_mm))


@pytest.mark.parametrize("distance_mm", [1.25, -1.0, 2.5, -2.5, 5.0, -5.0])
@pytest.mark.parametrize("noise_mm", [0.0, 1e-8, 1e-6, 1e-4])
def test_every_point_of_the_offset_of_a_plate_is_at_its_distance(distance_mm, noise_mm):
    check(plates(COUNT, 32, noise_mm), distance_mm)


def test_no_point_of_a_mitred_offset_is_nearer_than_its_distance():
    paths = stars(COUNT, 33)
    for distance_mm in (3.0, -3.0):
        for path, found in zip(paths, offset(paths, distance_mm, "mitre"), strict=True):
            assert are_simple(found.paths).all()
            for ring in found.paths:
                away = distance_to(path, along(ring))
                assert away.min() >= 3.0 - 1e-9
                # a tip is two distances off at most; the ends of a cut across root five
                assert away.max() <= math.sqrt(5.0) * 3.0 + 1e-9


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 10_000),
    st.floats(0.2, 12.0),
    st.floats(-math.pi, math.pi),
    st.tuples(st.floats(-18e3, 18e3), st.floats(-18e3, 18e3)),
)
def test_turned_and_moved_the_offset_is_the_same(seed, distance_mm, turn_rad, by_mm):
    path = stars(1, seed)[0]
    for signed in (distance_mm, -distance_mm):
        here, there = offset([path, path.moved(by_mm, turn_rad)], signed)
        assert len(here.paths) == len(there.paths)
        for ring, other in zip(here.paths, there.paths, strict=True):
            assert other.area_mm2 == pytest.approx(ring.area_mm2, rel=1e-6, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.floats(-12.0, 12.0))
def test_mirrored_the_offset_is_the_mirror_image(seed, distance_mm):
    path = stars(1, seed)[0]
    image = Path(path.points * [-1.0, 1.0], -path.bulges)
    here, there = offset([path, image], distance_mm)
    areas = [[ring.area_mm2 for ring in found.paths] for found in (here, there)]
    assert areas[1] == pytest.approx([-area for area in areas[0]], rel=1e-9, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.2, 10.0))
def test_in_and_out_again_never_leaves_the_path(seed, distance_mm):
    path = stars(1, seed)[0]
    inner = offset([path], -distance_mm)[0].paths
    again = [ring for found in offset(inner, distance_mm) for ring in found.paths]
    for ring in again:
        points = along(ring)
        assert (contains(path, points) | (distance_to(path, points) < 1e-9)).all()


def test_out_and_in_again_gives_a_convex_path_back():
    points = np.array([[0, 0], [50, 0], [70, 30], [40, 60], [0, 40]], float)
    path = Path(points, np.array([0.1, 0, 0.3, 0, 0.05]))
    grown = offset([path], 4.0)[0].paths
    (back,) = offset(grown, -4.0)[0].paths
    assert back.area_mm2 == pytest.approx(path.area_mm2, abs=1e-9)
    assert distance_to(path, along(back)).max() < 1e-9


@pytest.mark.parametrize("size_mm", [1e-8, 1e-7, 1e-6, 1e-4])
def test_tiny_segments_do_no_harm(size_mm):
    rng = np.random.default_rng(7)
    paths = []
    for path in stars(COUNT, 34):
        at = np.flatnonzero(rng.random(len(path.points)) < 0.5)
        spot = path.points[at] + rng.normal(size=(len(at), 2)) * size_mm
        paths.append(
            Path(np.insert(path.points, at, spot, axis=0), np.insert(path.bulges, at, 0.0))
        )
    paths = [path for path, good in zip(paths, are_simple(paths), strict=True) if good]
    assert paths
    for distance_mm in (2.0, -2.0):
        check(paths, distance_mm)


def test_a_cusp_is_offset_on_both_sides():
    # two arcs that meet tangentially in a point, as a crescent has
    points = np.array([[0, 0], [20, 0]], float)
    crescent = Path(points, np.array([1.0, -0.3]))
    check([crescent], 2.0)
    check([crescent], -2.0)


def test_a_point_too_many_on_a_line_and_on_an_arc_changes_nothing():
    path = stars(1, 35)[0]
    more = path.with_start(path.ends_mm[1] / 2.0)
    for distance_mm in (3.0, -3.0):
        plain, split = offset([path, more], distance_mm)
        assert sum(r.area_mm2 for r in split.paths) == pytest.approx(
            sum(r.area_mm2 for r in plain.paths), abs=1e-8
        )
