"""Whether rings of lines and arcs are *simple*: no piece crosses or touches another.

Exact, without flattening. Pairs whose boxes overlap are found by sorting, the whole job at once;
then carriers are intersected. Two pieces that share a point may meet only there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import overlapping
from core.geometry.carriers import cross, crossings, dot, span
from core.geometry.path import SAME_POINT_MM
from core.geometry.rings import Rings, rings_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]


def are_simple(paths: Sequence[Path]) -> Bools:
    """Return which closed paths neither cross nor touch themselves, shape (n,)."""
    return simple_rings(rings_of(paths)) if len(paths) else np.zeros(0, dtype=bool)


def simple_rings(rings: Rings, group: Index | None = None) -> Bools:
    """Return which rings are simple, shape (r,); a ring of a single piece never is.

    `group` as in `meeting_pieces`.
    """
    simple = rings.count >= 2
    simple[rings.ring[meeting_pieces(rings, group)]] = False
    return simple


def meeting_pieces(rings: Rings, group: Index | None = None) -> Bools:
    """Return which pieces meet another one where they should not, shape (m,).

    With `group`, of shape (r,), rings of one group must not meet each other either; they must have
    one common origin. Without, each ring is looked at alone.
    """
    group = np.arange(len(rings)) if group is None else group
    meeting = _doubles_back(rings)
    for one, other in overlapping(rings.boxes(group[rings.ring])):
        hit = _meet(rings, one, other)
        meeting[one[hit]] = meeting[other[hit]] = True
    return meeting


def _meet(rings: Rings, one: Index, other: Index) -> Bools:
    """Whether pairs of pieces meet anywhere but in a point that they share."""
    hit = np.zeros(len(one), dtype=bool)
    swap = rings.after[other] == one
    first, then = np.where(swap, other, one), np.where(swap, one, other)
    joined = rings.after[first] == then
    # two lines that follow each other cannot meet again
    bent = joined & ((rings.bulge[first] != 0.0) | (rings.bulge[then] != 0.0))
    hit[bent] = _meet_again(rings, first[bent], then[bent])
    free = np.flatnonzero(~joined)
    hit[free] = _cross(rings, one[free], other[free]) | _touch(rings, one[free], other[free])
    return hit


def _cross(rings: Rings, one: Index, other: Index) -> Bools:
    """Whether two pieces without a common end cross."""
    near, far = crossings(rings.carriers[one], rings.carriers[other])
    return (rings.holds(one, near) & rings.holds(other, near)) | (
        rings.holds(one, far) & rings.holds(other, far)
    )


def _touch(rings: Rings, one: Index, other: Index) -> Bools:
    """Whether an end of one piece lies on the other: also finds pieces that lie on each other."""
    hit = np.zeros(len(one), dtype=bool)
    for piece, at in ((one, other), (other, one)):
        carrier = rings.carriers[piece]
        for point in (rings.start[at], rings.end[at]):
            near = np.abs(carrier.left_distance(point)) <= SAME_POINT_MM
            hit |= near & rings.holds(piece, point)
    return hit


def _meet_again(rings: Rings, first: Index, then: Index) -> Bools:
    """Whether pieces that follow each other meet at a second point too.

    Both carriers pass through the common point; the other meeting is its mirror image in the line
    of their centres. Two pieces that make a whole ring share both points.
    """
    a, b = rings.carriers[first], rings.carriers[then]
    near, far = crossings(b, a)
    hit = np.zeros(len(first), dtype=bool)
    for point in (near, far):
        away = point - rings.end[first]
        with np.errstate(invalid="ignore"):
            distinct = span(away) > 4.0 * SAME_POINT_MM
        hit |= distinct & rings.holds(first, point) & rings.holds(then, point)
    hit &= rings.after[then] != first
    return hit


def _doubles_back(rings: Rings) -> Bools:
    """Whether the ring turns right back behind each piece."""
    arrive = rings.tangent_end
    leave = rings.carriers.tangent[rings.after]
    back: Bools = (dot(arrive, leave) < 0.0) & (np.abs(cross(arrive, leave)) < 1e-6)
    return back
