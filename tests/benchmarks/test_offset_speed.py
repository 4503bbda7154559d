"""How long the offset of a whole job takes; the floor is a polygon buffer at 0.01 mm.

`pytest tests/benchmarks/test_offset_speed.py -n 0 --benchmark-enable`. The goal is half the floor
for a job of holes, slots, rounded plates and panels. The floor is for speed only: it has no arcs,
and is wrong on fine concave ones.
"""

import math

import numpy as np
import pytest
import shapely

from core.geometry.offset import offset
from core.geometry.path import Path, circle
from core.geometry.swept import unreached_of
from tests.core.geometry.seeded import QUARTER, slot, stars


def plate(width, height, radius):
    r, w, h = radius, width, height
    points = [(r, 0), (w - r, 0), (w, r), (w, h - r), (w - r, h), (r, h), (0, h - r), (0, r)]
    return Path(np.array(points, float), np.array([0, QUARTER] * 4))


def panel(width, height):
    """A plate with a half-round notch of 12 mm and a step."""
    points = [
        *((0, 0), (width / 2 - 12, 0), (width / 2 + 12, 0), (width, 0)),
        *((width, height / 2), (width / 2, height / 2), (width / 2, height), (0, height)),
    ]
    return Path(np.array(points, float), np.array([0, -1.0, 0, 0, 0, 0, 0, 0]))


def job():
    """500 contours: 300 holes, 100 slots, 60 plates, 30 panels, 10 stars."""
    rng, found = np.random.default_rng(8), []
    found += [circle((0, 0), radius) for radius in rng.uniform(4, 15, 300)]
    found += [slot(*size) for size in rng.uniform((15, 4), (60, 8), (100, 2))]
    found += [plate(*size) for size in rng.uniform((60, 60, 5), (300, 200, 12), (60, 3))]
    found += [panel(*size) for size in rng.uniform((200, 200), (500, 400), (30, 2))]
    return [*found, *stars(10, 9)]


@pytest.mark.parametrize("corner", ["roll", "mitre"])
@pytest.mark.parametrize("distance_mm", [3.0, -3.0])
def test_five_hundred_contours(benchmark, distance_mm, corner):
    paths = job()
    found = benchmark(lambda: offset(paths, distance_mm, corner))
    assert not any("no sound" in one.reason for one in found)


@pytest.mark.parametrize("distance_mm", [3.0, -3.0])
def test_floor_polygon_buffer_of_five_hundred_contours(benchmark, distance_mm):
    paths = job()
    quarter = math.ceil(math.pi / 4.0 / math.acos(1.0 - 0.01 / abs(distance_mm)))

    # flattened beforehand: that is not what is measured
    rings = [path.flattened(0.01) for path in paths]
    index = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    points = np.concatenate(rings)

    def buffered():
        polygons = shapely.polygons(shapely.linearrings(points, indices=index))
        return shapely.buffer(polygons, distance_mm, quad_segs=quarter)

    assert len(benchmark(buffered)) == 500


def test_what_a_cutter_leaves_of_five_hundred_contours(benchmark):
    paths = job()
    left = benchmark(lambda: unreached_of(paths, 3.0, [True] * len(paths)))
    assert sum(area > 0 for area, _ in left) >= 40
