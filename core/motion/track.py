"""All toolpaths of a job, one behind the other in flat arrays: what a spindle lever leaves alone.

Terms: a *track* is the way in, the main cut and the way out of every toolpath, in order. A *node*
is where a segment begins or the last one ends. A *facet* is a turn so slight that it belongs to a
curve drawn in short lines; a *sharp corner* turns by more. A *run* is a stretch of one curvature
without a turn: cutting a segment in two changes no run.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from core.errors import PlanError
from core.geometry.path import Segments
from core.plan.records import Entry

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.path import Path
    from core.plan.records import Toolpath

SHARP_RAD = math.radians(5.0)
"""Above this a turn is a sharp corner; see tests/studies/sharp_corner.py."""

TURN_RAD = 1e-9
"""Below this a turn is rounding noise of the coordinates."""

SHORTEST_MM = 1e-9
"""Segments shorter than this have no direction and are left out."""


@dataclass(frozen=True, eq=False)
class Track:
    """The toolpaths of a job as arrays; n segments, n + 1 nodes, p toolpaths.

    Parameters
    ----------
    segments : Segments
        Cutter centre, seen from above; n segments. [mm]
    pass_index : int array of shape (n,)
        Which toolpath a segment belongs to.
    is_cut : bool array of shape (n,)
        True on main cuts, False on ways in and out.
    slope : array of shape (n,)
        Drop over way, seen from above: how steep a ramp or helix goes down; 0 on the flat.
    plunge_mm : array of shape (p,)
        Vertical way into the sheet before the track begins. [mm]
    fall_mm : array of shape (n,)
        Way straight down of the pecks of a drill, which stand still seen from above; else 0. [mm]
    feed_share : array of shape (n,)
        Share of the pass's feed with which a segment is run.
    """

    segments: Segments
    pass_index: NDArray[np.intp]
    is_cut: NDArray[np.bool_]
    slope: NDArray[np.float64]
    plunge_mm: NDArray[np.float64]
    fall_mm: NDArray[np.float64]
    feed_share: NDArray[np.float64]

    @cached_property
    def length_mm(self) -> NDArray[np.float64]:
        """Length in space, shape (n,). [mm]."""
        return self.segments.length_mm * np.sqrt(1.0 + self.slope**2) + self.fall_mm

    @cached_property
    def curvature_per_mm(self) -> NDArray[np.float64]:
        """Curvature in space, without sign, shape (n,); that of a helix on a ramped arc. [1/mm]."""
        return np.abs(self.segments.curvature_per_mm) / (1.0 + self.slope**2)

    @cached_property
    def is_end(self) -> NDArray[np.bool_]:
        """Nodes where a toolpath or a peck begins or ends, shape (n + 1,)."""
        ends = np.ones(len(self.pass_index) + 1, bool)
        falls = self.fall_mm > 0.0
        ends[1:-1] = (np.diff(self.pass_index) != 0) | falls[1:] | falls[:-1]
        return ends

    @cached_property
    def turn_rad(self) -> NDArray[np.float64]:
        """Turn at each node, left positive, shape (n + 1,); 0 where a toolpath ends. [rad]."""
        seg, turn = self.segments, np.zeros(len(self.segments) + 1)
        bend = seg.heading_rad[1:] - seg.heading_rad[:-1] - seg.sweep_rad[:-1]
        turn[1:-1] = np.mod(bend + math.pi, 2.0 * math.pi) - math.pi
        turn[self.is_end | (np.abs(turn) < TURN_RAD)] = 0.0
        return turn

    @cached_property
    def fit_radius_mm(self) -> NDArray[np.float64]:
        """Largest arc that rounds the turn within half of both runs, shape (n + 1,). [mm]."""
        run = self._run_length_mm
        shorter = np.full(len(run) + 1, np.inf)
        shorter[1:-1] = np.minimum(run[:-1], run[1:])
        with np.errstate(divide="ignore"):
            return np.where(
                self.turn_rad == 0.0, np.inf, shorter / (2.0 * np.tan(np.abs(self.turn_rad) / 2.0))
            )

    @cached_property
    def _run_length_mm(self) -> NDArray[np.float64]:
        """Length of the run that each segment belongs to, shape (n,). [mm]."""
        curve = self.segments.curvature_per_mm
        bent = np.abs(np.diff(curve)) > 1e-9 * np.abs(curve[1:])
        begins = self.is_end[:-1] | (self.turn_rad[:-1] != 0.0)
        begins[1:] |= bent
        first = np.flatnonzero(begins)
        total = np.add.reduceat(self.length_mm, first)
        return np.repeat(total, np.diff(np.append(first, len(curve))))

    @cached_property
    def first_cut(self) -> NDArray[np.intp]:
        """Index of the first main-cut segment of each toolpath among the cut segments, (p + 1,)."""
        count = np.bincount(self.pass_index[self.is_cut], minlength=len(self.plunge_mm))
        return np.concatenate([[0], np.cumsum(count)])


@lru_cache(maxsize=8)
def lay_track(toolpaths: tuple[Toolpath, ...]) -> Track:
    """Return the track of some toolpaths; remembered, because a feed or speed leaves it alone.

    Raises
    ------
    PlanError
        If a toolpath has no main cut.
    """
    parts = [part for t in toolpaths for part in (t.entry, t.cut, t.exit)]
    start, end, bulge = zip(*map(_raw, parts), strict=True) if parts else ((), (), ())
    count = np.array([len(b) for b in bulge], dtype=np.intp)
    segments = Segments(_stacked(start), _stacked(end), np.concatenate([*bulge, np.empty(0)]))
    which = np.repeat(np.arange(len(parts)), count)
    fall, share = _pecks(toolpaths, count)
    keep = (segments.length_mm > SHORTEST_MM) | (fall > 0.0)
    if not keep.all():
        which, fall, share = which[keep], fall[keep], share[keep]
        segments = Segments(segments.start[keep], segments.end[keep], segments.bulge[keep])
    way = np.bincount(which, segments.length_mm + fall, minlength=len(parts))
    if not (way[1::3] > 0.0).all():
        raise PlanError("a toolpath has no main cut")
    drop = np.array([_drop_mm(t) for t in toolpaths], dtype=np.float64)
    ramped = np.array([t.entry_kind is not Entry.PLUNGE for t in toolpaths], dtype=bool)
    ramped &= way[0::3] > 0.0
    slope = np.zeros(len(parts))
    np.divide(drop, way[0::3], out=slope[0::3], where=ramped)
    plunge = np.where(ramped, 0.0, drop)
    return Track(segments, which // 3, which % 3 == 1, slope[which], plunge, fall, share)


def _drop_mm(path: Toolpath) -> float:
    """Return how far a trip goes down through the sheet before or on its way in. [mm]."""
    return 0.0 if path.pecks else path.entry_from_mm - path.z_bottom_mm


def _pecks(
    toolpaths: tuple[Toolpath, ...], count: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return way straight down and share of the feed of every segment of all parts."""
    fall, share = np.zeros(count.sum()), np.ones(count.sum())
    begin = np.concatenate([[0], np.cumsum(count)])
    for number, path in enumerate(toolpaths):
        if path.pecks:
            own = slice(begin[3 * number + 1], begin[3 * number + 2])
            fall[own] = [peck.way_mm for peck in path.pecks]
            share[own] = [peck.feed_share for peck in path.pecks]
    return fall, share


def _raw(
    path: Path,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return starts, ends and bulges of a path's segments."""
    points, count = path.points, len(path.bulges)
    after = np.roll(points, -1, axis=0) if path.closed else points[1:]
    return points[:count], after[:count], path.bulges


def _stacked(points: tuple[NDArray[np.float64], ...]) -> NDArray[np.float64]:
    """Return rows of points as one array, also where there are none."""
    return np.concatenate([*points, np.empty((0, 2))])
