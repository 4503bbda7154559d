"""Nodes, chaining, nesting and the foot of a point, on arrays without any file."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.contours.feet import crossings, foot
from core.contours.measures import measures_of, polygons_of
from core.contours.nodes import nodes_of
from core.contours.outlines import outlines_of
from core.contours.rings import nesting
from core.geometry.path import Path, Segments, circle


def test_points_closer_than_the_tolerance_share_a_node():
    points = np.array([(0, 0), (0.009, 0), (0.03, 0), (5, 5), (5, 5.0099)])
    nodes = nodes_of(points)
    assert nodes[0] == nodes[1] != nodes[2]
    assert nodes[3] == nodes[4]


def test_a_row_of_neighbours_that_spreads_too_far_is_gathered_anew():
    points = np.column_stack([np.arange(300) * 0.008, np.zeros(300)])
    assert len(set(nodes_of(points).tolist())) == 300


@given(st.integers(0, 2**32 - 1), st.sampled_from([0.0, 0.004, 0.009]))
@settings(max_examples=25, deadline=None)
def test_every_ring_is_found_whatever_the_order_the_sense_and_the_rounding(seed, gap):
    chance = np.random.default_rng(seed)
    rows = []
    for k in range(12):
        x, y, w, h = 60.0 * k, 0.0, *chance.uniform(20, 50, 2)
        r = chance.uniform(1, 5)
        bulge = math.tan(math.pi / 8)
        corners = [
            *((x + r, y), (x + w - r, y), (x + w, y + r), (x + w, y + h - r)),
            *((x + w - r, y + h), (x + r, y + h), (x, y + h - r), (x, y + r)),
        ]
        for i, corner in enumerate(corners):
            rows.append((*corner, *corners[(i + 1) % 8], bulge * (i % 2)))
    table = np.array(rows)
    table[:, :4] += chance.uniform(-gap / 3, gap / 3, (len(table), 4))
    doubled = table[chance.choice(len(table), 9, replace=False)]
    table = chance.permutation(np.vstack([table, doubled]))
    back = chance.random(len(table)) < 0.5
    table[back] = np.column_stack([table[back, 2:4], table[back, :2], -table[back, 4]])
    segments = Segments(table[:, :2], table[:, 2:4], table[:, 4])
    zero = np.zeros(len(table), dtype=int)
    found = outlines_of(segments, zero, np.arange(len(table)))
    assert (len(found.closed), len(found.opens)) == (12, 0)
    assert {len(piece.path.points) for piece in found.closed} == {8}
    assert len([f for f in found.told if f.code == "duplicate-removed"]) == 9


def test_rings_know_their_depth_and_their_nearest_parent():
    rings = [circle((0, 0), r) for r in (5.0, 40.0, 20.0)] + [circle((30, 0), 4.0)]
    measures = measures_of(rings)
    nest = nesting(rings, polygons_of(rings), measures.area)
    assert nest.depth.tolist() == [2, 0, 1, 1]
    assert nest.parent.tolist() == [2, -1, 1, 1]


def test_measures_of_many_paths_are_those_of_each():
    paths = [
        circle((18_000.0, 3.0), 7.0),
        Path(np.array([(0, 0), (4, 0), (4, 3)]), np.array([0.0, 0.3, -0.2])),
        Path(np.array([(9, 9), (0, 0)]), np.array([0.4]), closed=False),
    ]
    measures = measures_of(paths)
    assert measures.box == pytest.approx(np.array([p.bounds_mm for p in paths]))
    assert measures.length == pytest.approx([p.length_mm for p in paths])
    assert measures.area[:2] == pytest.approx([p.area_mm2 for p in paths[:2]])


def test_rings_of_two_flat_arcs_still_make_polygons():
    lens = Path(np.array([(0.0, 0.0), (20.0, 0.0)]), np.array([1e-6, 1e-9]))
    polygons = polygons_of([circle((0, 0), 5), lens, circle((9, 0), 2)])
    assert [len(p.exterior.coords) for p in polygons][1] == 5


SEGMENTS = Segments(
    np.array([(0.0, 0.0), (10.0, 0.0), (0.0, -5.0)]),
    np.array([(10.0, 0.0), (-10.0, 0.0), (0.0, 20.0)]),
    np.array([0.0, 1.0, 0.0]),
)


@pytest.mark.parametrize(
    ("which", "point", "distance", "share"),
    [
        (0, (4.0, 3.0), 3.0, 0.4),
        (0, (12.0, 0.0), 2.0, 1.0),
        (1, (0.0, 12.0), 2.0, 0.5),
        (1, (-13.0, -4.0), 5.0, 1.0),
        (1, (13.0, -4.0), 5.0, 0.0),
    ],
)
def test_the_foot_of_a_point_on_lines_and_arcs(which, point, distance, share):
    found = foot(SEGMENTS, np.array([which]), np.array([point]))
    assert found[0] == pytest.approx([distance])
    assert found[1] == pytest.approx([share])


def test_carriers_cross_where_geometry_says():
    assert crossings(SEGMENTS, 0, 2) == [pytest.approx((0.0, 0.0))]
    assert sorted(crossings(SEGMENTS, 2, 1)) == [
        pytest.approx((0.0, -10.0)),
        pytest.approx((0.0, 10.0)),
    ]
