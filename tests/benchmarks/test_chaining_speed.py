"""Chaining 100 000 loose segments, beside what the geometry library takes to merge them.

Goal: at most 0.4 of `shapely.line_merge` on the same drawing, with every loop found.
Run: pytest tests/benchmarks -n 0 --benchmark-enable --benchmark-group-by=param:flaws
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from core.contours.chaining import chained, entity_loops
from core.contours.nodes import nodes_of
from core.contours.wires import Wires, specks, twins
from core.geometry.path import Segments, points_on

PARTS = 12_500
FLAWS = {
    "clean": (0.0, 0.0, 0.0),
    "gaps": (0.01, 0.0, 0.0),
    "gaps, copies and stubs": (0.01, 0.01, 0.005),
}


def rounded_rectangles(gap_mm: float, copies: float, stubs: float) -> Segments:
    """Return parts of four lines and four arcs on a grid, in pieces, shuffled and turned about."""
    chance = np.random.default_rng(7)
    place = np.arange(PARTS)
    left, low = (place % 110) * 60.0, (place // 110) * 60.0
    width, height = chance.uniform(20.0, 50.0, (2, PARTS))
    r = chance.uniform(1.0, 5.0, PARTS)
    right, top = left + width, low + height
    corners = np.array(
        [
            *([left + r, low], [right - r, low], [right, low + r], [right, top - r]),
            *([right - r, top], [left + r, top], [left, top - r], [left, low + r]),
        ]
    ).transpose(2, 0, 1)
    bulge = np.tile([0.0, math.tan(math.pi / 8.0)] * 4, (PARTS, 1))
    rows = np.dstack([corners, np.roll(corners, -1, axis=1), bulge]).reshape(-1, 5)
    rows[:, :4] += chance.uniform(-gap_mm / 4.0, gap_mm / 4.0, (len(rows), 4))
    doubled = rows[chance.choice(len(rows), int(copies * len(rows)), replace=False)]
    sides = rows[chance.choice(np.flatnonzero(rows[:, 4] == 0.0), int(stubs * len(rows)))]
    middle = (sides[:, :2] + sides[:, 2:4]) / 2.0
    branch = np.column_stack([middle, middle + 4.0, np.zeros(len(middle))])
    rows = np.vstack([rows, doubled, branch])[
        chance.permutation(8 * PARTS + len(doubled) + len(branch))
    ]
    back = chance.random(len(rows)) < 0.5
    rows[back] = np.column_stack([rows[back, 2:4], rows[back, :2], -rows[back, 4]])
    return Segments(rows[:, :2], rows[:, 2:4], rows[:, 4])


def chain(segments: Segments) -> int:
    count = len(segments)
    ends = np.stack([segments.start, segments.end], axis=1).reshape(-1, 2)
    wires = Wires(segments, nodes_of(ends), np.zeros(count, dtype=int), np.arange(count))
    kept = ~specks(wires)
    assert entity_loops(wires, kept) == []
    copies = twins(wires, kept, np.zeros(count, dtype=bool)) >= 0
    return len(chained(wires.node, np.flatnonzero(kept & ~copies)).loops)


def merge(lines: shapely.MultiLineString) -> int:
    return int(shapely.is_closed(shapely.get_parts(shapely.line_merge(lines))).sum())


@pytest.mark.parametrize("flaws", FLAWS)
def test_chain_100_000_segments(benchmark, flaws):
    assert benchmark(chain, rounded_rectangles(*FLAWS[flaws])) == PARTS


@pytest.mark.parametrize("flaws", FLAWS)
def test_floor_line_merge_of_the_same(benchmark, flaws):
    seg = rounded_rectangles(*FLAWS[flaws])
    middle = points_on(seg, np.arange(len(seg)), np.full(len(seg), 0.5))
    ways = np.stack([seg.start, middle, seg.end], axis=1)
    straight = shapely.linestrings(ways[~seg.is_arc][:, ::2])
    bent = shapely.linestrings(ways[seg.is_arc])
    found = benchmark(merge, shapely.multilinestrings(np.concatenate([straight, bent])))
    assert (found == PARTS) is (flaws == "clean")
