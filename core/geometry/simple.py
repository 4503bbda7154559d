"""Whether rings of lines and arcs are *simple*: no piece crosses or touches another.

Exact, without flattening. Pairs whose boxes overlap are found by sorting, the whole job at once;
then carriers are intersected. Two pieces that share a point may meet only there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.geometry.carriers import cross, crossings, dot
from core.geometry.rings import Rings, rings_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

TOUCH_MM = 1e-9
"""Pieces that come this close where they should not are touching."""

PAIRS_AT_ONCE = 2_000_000
"""Pairs looked at in one go; bounds the memory of large contours."""


def are_simple(paths: Sequence[Path]) -> Bools:
    """Return which closed paths neither cross nor touch themselves, shape (n,)."""
    return simple_rings(rings_of(paths)) if len(paths) else np.zeros(0, dtype=bool)


def simple_rings(rings: Rings) -> Bools:
    """Return which rings neither cross nor touch themselves; a ring of one piece does."""
    simple = rings.count >= 2
    low, high = _boxes(rings)
    for one, other in _pairs(rings, low, high):
        hit = _meet(rings, one, other)
        simple[rings.ring[one[hit]]] = False
    simple[rings.ring[_doubles_back(rings)]] = False
    return simple


def _boxes(rings: Rings) -> tuple[Array, Array]:
    """Boxes that hold each piece, a little wide for arcs: low and high corner, (m, 2). [mm]."""
    rise = (np.abs(rings.bulge) * rings.segments.chord_mm / 2.0 + TOUCH_MM)[:, None]
    low = np.minimum(rings.start, rings.end) - rise
    return low, np.maximum(rings.start, rings.end) + rise


def _pairs(rings: Rings, low: Array, high: Array) -> list[tuple[Index, Index]]:
    """Pairs of pieces of the same ring whose boxes overlap, in blocks."""
    low, high = low.copy(), high.copy()
    if not len(rings.bulge):
        return []
    # rings are set apart from each other, so that one sorted sweep serves all of them
    width = (high.max(axis=0) - low.min(axis=0)) + 1.0
    apart = rings.ring[:, None] * width
    sweeps = [_sweep(a, b) for a, b in zip((low + apart).T, (high + apart).T, strict=True)]
    order, count = min(sweeps, key=lambda sweep: int(sweep[1].sum()))
    blocks = np.cumsum(count) // PAIRS_AT_ONCE
    found = []
    for block in np.unique(blocks):
        member = np.flatnonzero((blocks == block) & (count > 0))
        one = np.repeat(member, count[member])
        begin = np.repeat(np.cumsum(count[member]) - count[member], count[member])
        other = one + 1 + np.arange(len(one)) - begin
        one, other = order[one], order[other]
        overlap = ((low[one] <= high[other]) & (low[other] <= high[one])).all(axis=1)
        found.append((one[overlap], other[overlap]))
    return found


def _sweep(low: Array, high: Array) -> tuple[Index, Index]:
    """Order by `low`, and how many of the following ones begin before each one ends."""
    order = np.argsort(low, kind="stable")
    until = np.searchsorted(low[order], high[order], side="right")
    return order, np.maximum(until - np.arange(len(order)) - 1, 0)


def _meet(rings: Rings, one: Index, other: Index) -> Bools:
    """Whether pairs of pieces meet anywhere but in a point that they share."""
    hit = np.zeros(len(one), dtype=bool)
    swap = rings.after[other] == one
    first, then = np.where(swap, other, one), np.where(swap, one, other)
    joined = rings.after[first] == then
    hit[joined] = _meet_again(rings, first[joined], then[joined])
    free = np.flatnonzero(~joined)
    hit[free] = _cross(rings, one[free], other[free]) | _touch(rings, one[free], other[free])
    return hit


def _cross(rings: Rings, one: Index, other: Index) -> Bools:
    """Whether two pieces without a common end cross."""
    near, far, _ = crossings(rings.carriers[one], rings.carriers[other])
    return (_holds(rings, one, near) & _holds(rings, other, near)) | (
        _holds(rings, one, far) & _holds(rings, other, far)
    )


def _touch(rings: Rings, one: Index, other: Index) -> Bools:
    """Whether an end of one piece lies on the other: also finds pieces that lie on each other."""
    hit = np.zeros(len(one), dtype=bool)
    for piece, at in ((one, other), (other, one)):
        carrier = rings.carriers[piece]
        for point in (rings.start[at], rings.end[at]):
            near = np.abs(carrier.left_distance(point)) <= TOUCH_MM
            hit |= near & _holds(rings, piece, point)
    return hit


def _meet_again(rings: Rings, first: Index, then: Index) -> Bools:
    """Whether pieces that follow each other meet at a second point too.

    Both carriers pass through the common point; the other meeting is its mirror image in the line
    of their centres. Two pieces that make a whole ring share both points.
    """
    a, b = rings.carriers[first], rings.carriers[then]
    near, far, _ = crossings(b, a)
    hit = np.zeros(len(first), dtype=bool)
    for point in (near, far):
        away = point - rings.end[first]
        with np.errstate(invalid="ignore"):
            distinct = np.hypot(away[:, 0], away[:, 1]) > 4.0 * TOUCH_MM
        hit |= distinct & _holds(rings, first, point) & _holds(rings, then, point)
    hit &= rings.after[then] != first
    return hit


def _holds(rings: Rings, piece: Index, point: Array) -> Bools:
    """Whether points on the carriers of pieces lie between their ends; nan never does."""
    delta = rings.end[piece] - rings.start[piece]
    long = np.maximum(rings.segments.chord_mm[piece], 1e-300)
    away = point - rings.start[piece]
    with np.errstate(invalid="ignore"):
        ahead = dot(delta, away) / long
        aside = cross(delta, away) / long * np.sign(rings.bulge[piece])
        between: Bools = (ahead >= -TOUCH_MM) & (ahead <= long + TOUCH_MM) & (aside <= TOUCH_MM)
    return between


def _doubles_back(rings: Rings) -> Bools:
    """Whether the ring turns right back behind each piece."""
    arrive = rings.carriers.tangent_at(rings.end)
    leave = rings.carriers.tangent[rings.after]
    back: Bools = (dot(arrive, leave) < 0.0) & (np.abs(cross(arrive, leave)) < 1e-6)
    return back
