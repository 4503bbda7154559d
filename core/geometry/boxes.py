"""Which boxes overlap: the whole job at once, by sorting.

Boxes belong to groups; only boxes of one group are compared. Groups are set apart along the axis
that is swept, so that one sorted sweep serves all of them. The other axis is swept instead where
the first one leaves many pairs to look at (parts stacked above one another).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]
    Begun = tuple[Index, Index, Index]

PAIRS_AT_ONCE = 1_000_000
"""Pairs looked at in one go; bounds the memory that large contours take."""

FEW_PAIRS = 16
"""A sweep that leaves no more pairs than this for each box is good enough."""


@dataclass(frozen=True, eq=False, slots=True)
class Boxes:
    """Boxes: `low` and `high` corners (2, n) [mm], `group` (n,)."""

    low: Array
    high: Array
    group: Index

    def ends(self, axis: int, wide: float) -> tuple[Array, Array]:
        """Return both ends along an axis, the groups set apart by `wide`."""
        apart = self.group * wide
        return self.low[axis] + apart, self.high[axis] + apart


def overlapping(boxes: Boxes) -> Iterator[tuple[Index, Index]]:
    """Yield the pairs of boxes that overlap, each pair once, in blocks of two index arrays."""
    if not len(boxes.group):
        return
    begin = np.arange(1, len(boxes.group) + 1)
    axis, (order, count) = 0, _swept(boxes, 0)
    if count.sum() > FEW_PAIRS * len(order):
        order_y, count_y = _swept(boxes, 1)
        if count_y.sum() < count.sum():
            axis, order, count = 1, order_y, count_y
    for one, other in _spread(begin, count):
        yield _meeting(boxes, boxes, order[one], order[other], 1 - axis)


def _swept(boxes: Boxes, axis: int) -> tuple[Index, Index]:
    """Order boxes along an axis, and how many that follow begin before each one ends."""
    low, high = boxes.ends(axis, _width(boxes, boxes, axis))
    order = np.argsort(low, kind="stable")
    until = np.searchsorted(low[order], high[order], side="right")
    return order, until - np.arange(1, len(order) + 1)


def overlapping_between(a: Boxes, b: Boxes) -> Iterator[tuple[Index, Index]]:
    """Yield the pairs of a box of `a` and a box of `b` that overlap, in blocks."""
    if not len(a.group) or not len(b.group):
        return
    axis, plan = 0, _swept_between(a, b, 0)
    if _pairs_of(plan) > FEW_PAIRS * (len(a.group) + len(b.group)):
        plan_y = _swept_between(a, b, 1)
        if _pairs_of(plan_y) < _pairs_of(plan):
            axis, plan = 1, plan_y
    (order_b, first, count), (order_a, begin, many) = plan
    for one, other in _spread(first, count):
        yield _meeting(a, b, one, order_b[other], 1 - axis)
    for one, other in _spread(begin, many):
        yield _meeting(a, b, order_a[other], one, 1 - axis)


def _swept_between(a: Boxes, b: Boxes, axis: int) -> tuple[Begun, Begun]:
    """Plan the pairs along an axis: those where b begins within a, and a within b."""
    wide = _width(a, b, axis)
    ends_a, ends_b = a.ends(axis, wide), b.ends(axis, wide)
    return _begun(ends_a, ends_b[0], "left"), _begun(ends_b, ends_a[0], "right")


def _pairs_of(plan: tuple[Begun, Begun]) -> int:
    """Return how many pairs a plan leaves to look at."""
    return int(plan[0][2].sum() + plan[1][2].sum())


def _width(a: Boxes, b: Boxes, axis: int) -> float:
    """Room that a group takes along an axis. [mm]."""
    high = max(a.high[axis].max(), b.high[axis].max())
    return float(high - min(a.low[axis].min(), b.low[axis].min()) + 1.0)


def _begun(ends: tuple[Array, Array], begins: Array, side: Literal["left", "right"]) -> Begun:
    """Order what begins; for each span the first and the number of those that begin within it.

    With `side` "right", those that begin exactly where it does are left out.
    """
    order = np.argsort(begins, kind="stable")
    begins = begins[order]
    first = np.searchsorted(begins, ends[0], side=side)
    return order, first, np.searchsorted(begins, ends[1], side="right") - first


def _spread(begin: Index, count: Index) -> Iterator[tuple[Index, Index]]:
    """Yield (i, begin[i]), (i, begin[i] + 1), ... count[i] of them for every i, in blocks."""
    total = np.cumsum(count)
    marks = np.searchsorted(total, np.arange(PAIRS_AT_ONCE, int(total[-1]), PAIRS_AT_ONCE))
    for low, high in pairwise([0, *(marks + 1).tolist(), len(count)]):
        many = count[low:high]
        one = np.repeat(np.arange(low, high), many)
        offset = begin[low:high] - np.cumsum(many) + many
        yield one, np.arange(len(one)) + np.repeat(offset, many)


def _meeting(a: Boxes, b: Boxes, one: Index, other: Index, axis: int) -> tuple[Index, Index]:
    """Return the pairs that overlap along the axis that was not swept."""
    meet = a.low[axis][one] <= b.high[axis][other]
    meet &= b.low[axis][other] <= a.high[axis][one]
    return one[meet], other[meet]
