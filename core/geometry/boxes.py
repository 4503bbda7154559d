"""Which boxes overlap: the whole job at once, by sorting.

Boxes belong to groups; only boxes of one group are compared. Groups are set apart along the axis
that is swept, so that one sorted sweep serves all of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

PAIRS_AT_ONCE = 1_000_000
"""Pairs looked at in one go; bounds the memory that large contours take."""


@dataclass(frozen=True, eq=False, slots=True)
class Boxes:
    """Boxes: `low` and `high` corners (n, 2) [mm], `group` (n,)."""

    low: Array
    high: Array
    group: Index


def overlapping(boxes: Boxes) -> Iterator[tuple[Index, Index]]:
    """Yield the pairs of boxes that overlap, each pair once, in blocks of two index arrays."""
    if not len(boxes.group):
        return
    apart = boxes.group[:, None] * (boxes.high.max(axis=0) - boxes.low.min(axis=0) + 1.0)
    sweeps = []
    for low, high in zip((boxes.low + apart).T, (boxes.high + apart).T, strict=True):
        order = np.argsort(low, kind="stable")
        until = np.searchsorted(low[order], high[order], side="right")
        begin = np.arange(1, len(order) + 1)
        sweeps.append((order, begin, np.maximum(until - begin, 0)))
    order, begin, count = min(sweeps, key=lambda sweep: int(sweep[2].sum()))
    for one, other in _spread(begin, count):
        yield _meeting(boxes, boxes, order[one], order[other])


def overlapping_between(a: Boxes, b: Boxes) -> Iterator[tuple[Index, Index]]:
    """Yield the pairs of a box of `a` and a box of `b` that overlap, in blocks."""
    if not len(a.group) or not len(b.group):
        return
    low = np.minimum(a.low.min(axis=0), b.low.min(axis=0))
    wide = np.maximum(a.high.max(axis=0), b.high.max(axis=0)) - low + 1.0
    # a pair overlaps if b begins within a, or a begins within b
    plans = [
        (_begun(a, b, wide, axis, "left"), _begun(b, a, wide, axis, "right")) for axis in (0, 1)
    ]
    first, second = min(plans, key=lambda plan: int(plan[0][2].sum() + plan[1][2].sum()))
    for one, other in _spread(first[1], first[2]):
        yield _meeting(a, b, one, first[0][other])
    for one, other in _spread(second[1], second[2]):
        yield _meeting(a, b, second[0][other], one)


def _begun(a: Boxes, b: Boxes, wide: Array, axis: int, side: str) -> tuple[Index, Index, Index]:
    """Order b along an axis; for each of a the first and the number of b that begin within it.

    With `side` "right", those that begin exactly where it does are left out.
    """
    begins = b.low[:, axis] + b.group * wide[axis]
    order = np.argsort(begins, kind="stable")
    low, high = a.low[:, axis] + a.group * wide[axis], a.high[:, axis] + a.group * wide[axis]
    first = np.searchsorted(begins[order], low, side="left" if side == "left" else "right")
    until = np.searchsorted(begins[order], high, side="right")
    return order, first, np.maximum(until - first, 0)


def _spread(begin: Index, count: Index) -> Iterator[tuple[Index, Index]]:
    """Yield (i, begin[i]), (i, begin[i] + 1), ... count[i] of them for every i, in blocks."""
    block = np.cumsum(count) // PAIRS_AT_ONCE
    for which in np.unique(block):
        member = np.flatnonzero((block == which) & (count > 0))
        many = count[member]
        one = np.repeat(member, many)
        step = np.arange(len(one)) - np.repeat(np.cumsum(many) - many, many)
        yield one, begin[one] + step


def _meeting(a: Boxes, b: Boxes, one: Index, other: Index) -> tuple[Index, Index]:
    """Return the pairs that overlap along both axes and are of one group."""
    meet = a.group[one] == b.group[other]
    for axis in (0, 1):
        meet &= a.low[one, axis] <= b.high[other, axis]
        meet &= b.low[other, axis] <= a.high[one, axis]
    return one[meet], other[meet]
