"""Loading a drawing of 10 000 entities to lines and arcs, beside `ezdxf.readfile` alone.

Goal: at most 1.2 of it.
Run: pytest tests/benchmarks -n 0 --benchmark-enable --benchmark-group-by=param:version
"""

from __future__ import annotations

import math
import random

import ezdxf
import pytest

from core.drawing import open_drawing_file, read_drawing

ENTITIES = 10_000


@pytest.fixture(scope="module", params=["R12", "R2010"])
def version(request):
    return request.param


@pytest.fixture(scope="module")
def path(version, tmp_path_factory):
    """A drawing of lines, arcs, circles, polylines, straight and round splines, and blocks."""
    chance, document = random.Random(3), ezdxf.new(version)
    space, corner = document.modelspace(), math.tan(math.pi / 8.0)
    document.blocks.new("HOLE").add_circle((0, 0), 3)
    for _ in range(ENTITIES):
        x, y, kind = chance.uniform(0, 2440), chance.uniform(0, 1220), chance.random()
        if kind < 0.45:
            space.add_line((x, y), (x + chance.uniform(-50, 50), y + chance.uniform(-50, 50)))
        elif kind < 0.65:
            space.add_arc((x, y), chance.uniform(1, 40), chance.uniform(0, 360), 30)
        elif kind < 0.80:
            space.add_circle((x, y), chance.uniform(1, 20))
        elif kind < 0.93:
            ring = [(x + 5, y, 0), (x + 45, y, corner), (x + 50, y + 5, 0), (x, y + 40, 0)]
            add = space.add_polyline2d if version == "R12" else space.add_lwpolyline
            add(ring, format="xyb", close=True)
        elif kind < 0.96 and version != "R12":
            space.add_open_spline([(x, y), (x + 3, y + 3), (x + 6, y + 6), (x + 9, y + 9)])
        else:
            space.add_blockref("HOLE", (x, y))
    file = tmp_path_factory.mktemp("speed") / "mixed.dxf"
    document.saveas(file)
    return file


def test_load_10_000_entities(benchmark, path, version):
    drawing = benchmark(lambda: read_drawing(open_drawing_file(path)))
    assert len(drawing.segments) > ENTITIES


def test_floor_readfile_of_the_same(benchmark, path, version):
    document = benchmark(ezdxf.readfile, path)
    assert len(document.modelspace()) == ENTITIES
