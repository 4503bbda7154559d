"""Where closed paths are entered, and the arcs that enter and leave them; many at once.

Terms: a *lead* is an arc that meets the path tangentially, or leaves it so; it lies on one *side*
of the travel, +1 left, -1 right: the side of the waste. The *gentle* places of a path are the
stretches without a corner; the gentlest one bends least.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.bundle import Bundle

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]

CORNER_RAD = math.radians(0.5)
"""A turn between two segments above this is a corner; below, a drawing's rounding."""

GENTLE_SHARE = 0.5
"""A stretch that counts this share of the gentlest one is as good a place to enter."""

LEAST_WEIGHT = 0.05
"""Share of its length that a stretch of half a turn counts: an outline of half circles has one."""


def lead_arcs(
    point_mm: Array, heading_rad: Array, radius_mm: Array, turn_rad: Array, leaving: bool
) -> tuple[Array, Array]:
    """Return the far ends and the bulges of arcs that meet or leave paths tangentially.

    Parameters
    ----------
    point_mm, heading_rad : array of shape (m, 2), (m,)
        Place on the path, and the heading there. [mm], [rad]
    radius_mm : array of shape (m,)
        Radius of each arc. [mm]
    turn_rad : array of shape (m,)
        Turn of each arc, at most half a turn. An arc that leaves to the left, or comes from the
        left, turns left: it is positive. [rad]
    leaving : bool
        Whether they begin at the places instead of ending there.

    Returns
    -------
    (array of shape (m, 2), array of shape (m,))
        Where an arc begins, or ends if it leaves [mm]; tan(turn / 4).
    """
    way = 1.0 if leaving else -1.0
    middle = heading_rad + way * turn_rad / 2.0
    chord = way * 2.0 * radius_mm * np.sin(np.abs(turn_rad) / 2.0)
    far = point_mm + chord[:, None] * np.column_stack([np.cos(middle), np.sin(middle)])
    return far, np.tan(turn_rad / 4.0)


def gentlest_places(rings: Bundle) -> Array:
    """Return the way along each closed path to the middle of its longest gentle stretch. [mm].

    A stretch is a run of segments of one curvature that continue each other. Its length is weighed
    by the cosine of half its turn, so that a straight one is preferred to a bent one as long. On a
    circle every place is as good, and the middle of its first segment is taken.
    """
    place = rings.segments.length_mm[rings.first[:-1]] / 2.0
    runs = _stretches(rings)
    good = np.flatnonzero(runs.weight >= (1.0 - 1e-9) * runs.most)
    path, leader = np.unique(runs.path[good], return_index=True)
    best = good[leader]
    place[path] = (runs.begin_mm[best] + runs.span_mm[best] / 2.0) % rings.length_mm[path]
    return place


def gentle_places(rings: Bundle, most: int) -> Array:
    """Return places at which each closed path may as well be entered, shape (p, most). [mm].

    Even places on all stretches that count at least half as much as the gentlest, the gentlest
    place first; all round on a circle. Where there are fewer than `most` the first one is repeated.
    """
    first = gentlest_places(rings)
    found = first[:, None] + rings.length_mm[:, None] * np.arange(most) / most
    runs = _stretches(rings)
    bent = np.unique(runs.path)
    found[bent] = first[bent, None]
    good = np.flatnonzero(runs.weight >= GENTLE_SHARE * runs.most)
    path = runs.path[good]
    shares = runs.weight[good] / np.bincount(path, runs.weight[good], len(rings))[path]
    many = np.maximum(np.floor((most - 1) * shares), 1.0).astype(np.intp)
    run = np.repeat(good, many)
    nth = np.arange(len(run)) - np.repeat(np.cumsum(many) - many, many)
    at = runs.begin_mm[run] + runs.span_mm[run] * (nth + 0.5) / np.repeat(many, many)
    # of the places of a path, as many as there is room for, evenly picked
    total = np.bincount(runs.path[run], minlength=len(rings))
    start = np.cumsum(total) - total
    for column in range(1, most):
        here = bent[column - 1 < total[bent]]
        step = np.maximum(total[here] / (most - 1), 1.0)
        found[here, column] = at[start[here] + np.floor((column - 1) * step).astype(np.intp)]
    return found % rings.length_mm[:, None]


@dataclass(frozen=True, eq=False, slots=True)
class _Stretches:
    """Stretches of one curvature, those of a path side by side; circles have none.

    `path`, where each begins and how long it is [mm], what it counts, and the most that a stretch
    of its path counts.
    """

    path: NDArray[np.intp]
    begin_mm: Array
    span_mm: Array
    weight: Array
    most: Array


def _stretches(rings: Bundle) -> _Stretches:
    begin = np.flatnonzero(_breaks(rings))
    path, starts = rings.of[begin], rings.begins_mm[begin]
    if not len(begin):
        return _Stretches(path, starts, starts, starts, starts)
    first = np.flatnonzero(np.append(True, path[1:] != path[:-1]))
    last = np.append(first[1:], len(begin)) - 1
    # from one break to the next, the last one of a path across its seam
    until = np.append(starts[1:], 0.0)
    until[last] = starts[first] + rings.length_mm[path[first]]
    span = until - starts
    turn = rings.segments.curvature_per_mm[begin] * span
    weight = span * np.maximum(np.cos(turn / 2.0), LEAST_WEIGHT)
    most = np.repeat(np.maximum.reduceat(weight, first), last - first + 1)
    return _Stretches(path, starts, span, weight, most)


def _breaks(rings: Bundle) -> Bools:
    """Whether a new stretch begins at each segment: a corner, or a change of curvature, (n,)."""
    seg = rings.segments
    before = np.arange(-1, len(rings.of) - 1)
    before[rings.first[:-1]] = rings.first[1:] - 1
    arrive = (seg.heading_rad + seg.sweep_rad)[before]
    turn = np.remainder(seg.heading_rad - arrive + math.pi, 2.0 * math.pi) - math.pi
    bend = seg.curvature_per_mm
    past = bend[before]
    same = np.abs(bend - past) <= 1e-6 * np.maximum(np.abs(bend), np.abs(past)) + 1e-9
    broken: Bools = (np.abs(turn) > CORNER_RAD) | ~same
    return broken
