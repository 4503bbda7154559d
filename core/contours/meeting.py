"""Outlines that come too close: that cross, share an edge, or are drawn as ribbons."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import numpy as np

from core.contours.shapes import millimetres
from core.contours.telling import listed
from core.errors import Finding, Severity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.scene import Scene

CROSSING_MM = 0.02
"""Rings that reach into each other by less only touch."""

WIDEST_STROKE_MM = 0.6
"""Pens of plots are thinner than this."""

MOST_PAIRS = 20_000
"""Pairs of rings that are looked at; with more the drawing is a pattern, and some are listed."""


def stroke_outline(scene: Scene) -> list[Finding]:
    """Ask about outlines drawn as ribbons: a ring and another at the width of a pen inside it."""
    if not len(scene.rings):
        return []
    area, length = np.abs(scene.measures.area), scene.measures.length
    child = np.flatnonzero(scene.nest.parent >= 0)
    parent = scene.nest.parent[child]
    width = 2.0 * (area[parent] - area[child]) / (length[parent] + length[child])
    ribbon = (width < WIDEST_STROKE_MM) & (length[child] > 0.5 * length[parent])
    alone = np.setdiff1d(np.flatnonzero(2.0 * area / length < WIDEST_STROKE_MM), child[ribbon])
    alone = alone[length[alone] > 20.0 * WIDEST_STROKE_MM]
    part_of_one = set(child[ribbon].tolist()) | set(parent[ribbon].tolist()) | set(alone.tolist())
    if not part_of_one:
        return []
    pens = np.concatenate([width[ribbon], (2.0 * area / length)[alone]])
    all_over = len(part_of_one) >= 0.5 * len(scene.rings) and np.ptp(pens) < 0.2 * pens.max()
    sentence = (
        f"Outlines are drawn as ribbons {millimetres(float(np.median(pens)))} mm wide, as a plot "
        "draws a pen: parts come out a pen too large and each edge would be cut twice. "
        "Ask for the outline without pen width."
        if all_over
        else f"Two outlines run {millimetres(float(pens.min()))} mm apart all the way: one of them "
        "is one too many, or a pen's width."
    )
    first = min(part_of_one)
    x, y = scene.rings[first].points[0].tolist()
    return [Finding("stroke-outline", Severity.TIGHT, sentence, (x, y))]


def self_crossing(scene: Scene) -> list[Finding]:
    """Ask about rings that cross or touch themselves."""
    import shapely

    if not len(scene.polygons):
        return []
    bad = np.flatnonzero(~shapely.is_valid(scene.polygons))
    places = []
    for k, reason in zip(
        bad.tolist(), np.atleast_1d(shapely.is_valid_reason(scene.polygons[bad])), strict=True
    ):
        numbers = re.findall(r"-?\d+\.?\d*(?:e[-+]?\d+)?", str(reason))
        first = scene.rings[k].points[0]
        places.append(
            (float(numbers[-2]), float(numbers[-1]))
            if len(numbers) >= 2
            else (float(first[0]), float(first[1]))
        )
    return listed(
        "self-crossing",
        Severity.TIGHT,
        "An outline crosses itself here: what is part and what is waste is not certain. "
        "Mend it in the drawing.",
        places,
    )


def crossing(scene: Scene) -> list[Finding]:
    """Ask about rings that cross each other or share an edge."""
    import shapely

    if len(scene.polygons) < 2:
        return []
    a, b = _close_pairs(scene)
    if not len(a):
        return []
    valid, rims = shapely.make_valid(scene.polygons), shapely.boundary(scene.polygons)
    shared = shapely.area(shapely.intersection(valid[a], valid[b]))
    smaller = np.minimum(shapely.area(valid[a]), shapely.area(valid[b]))
    depth = np.minimum(shared, smaller - shared) / np.sqrt(np.maximum(smaller, 1e-9))
    crosses = depth > CROSSING_MM
    belt = shapely.buffer(rims[b], CROSSING_MM / 2.0, quad_segs=2)
    along = shapely.length(shapely.intersection(rims[a], belt))
    shares = ~crosses & (along > 50.0 * CROSSING_MM)
    out = listed(
        "crossing-contours",
        Severity.TIGHT,
        "Two outlines cross here: one of them would be cut into the other. "
        "Mend the drawing, or leave one out.",
        [_meeting(rims[i], rims[j]) for i, j in zip(a[crosses], b[crosses], strict=True)],
    )
    return out + listed(
        "branch-point",
        Severity.TIGHT,
        "Two outlines share an edge here: a cutter's width lies between real parts. "
        "Move them apart, or cut the edge once.",
        [_meeting(rims[i], rims[j]) for i, j in zip(a[shares], b[shares], strict=True)],
    )


def _close_pairs(scene: Scene) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs of rings that come as close as touching, by their chords.

    Ring by ring, thousands of rings in rings would be compared each with all others.
    """
    import shapely

    points, ring = shapely.get_coordinates(scene.polygons, return_index=True)
    chord = np.flatnonzero(ring[1:] == ring[:-1])
    start, end, owner = points[chord], points[chord + 1], ring[chord]
    low, high = np.minimum(start, end), np.maximum(start, end)
    low, high = low - CROSSING_MM / 4.0, high + CROSSING_MM / 4.0
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, other = shapely.STRtree(boxes).query(boxes)
    apart = owner[one] < owner[other]
    one, other = one[apart], other[apart]
    near = _chords_meet(start[one], end[one], start[other], end[other])
    pairs = np.unique(np.column_stack([owner[one], owner[other]])[near], axis=0)
    return pairs[:MOST_PAIRS, 0], pairs[:MOST_PAIRS, 1]


def _chords_meet(
    a: NDArray[np.float64],
    b: NDArray[np.float64],
    c: NDArray[np.float64],
    d: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Return for which pairs the lines a-b and c-d cross or come as close as touching."""

    def side(p: NDArray[np.float64], q: NDArray[np.float64], r: NDArray[np.float64]) -> Any:
        return (q[:, 0] - p[:, 0]) * (r[:, 1] - p[:, 1]) - (q[:, 1] - p[:, 1]) * (r[:, 0] - p[:, 0])

    def reach(p: NDArray[np.float64], q: NDArray[np.float64], r: NDArray[np.float64]) -> Any:
        way = q - p
        square = np.maximum((way**2).sum(axis=1), 1e-300)
        share = np.clip(((r - p) * way).sum(axis=1) / square, 0.0, 1.0)
        return ((r - p - share[:, None] * way) ** 2).sum(axis=1)

    crosses = (side(a, b, c) * side(a, b, d) < 0.0) & (side(c, d, a) * side(c, d, b) < 0.0)
    gap = np.minimum.reduce([reach(a, b, c), reach(a, b, d), reach(c, d, a), reach(c, d, b)])
    return np.asarray(crosses | (gap <= (CROSSING_MM / 2.0) ** 2))


def _meeting(one: object, other: object) -> tuple[float, float]:
    import shapely

    line = shapely.shortest_line(one, other)
    x, y = shapely.get_coordinates(line)[0].tolist()
    return x, y
