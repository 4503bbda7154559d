"""The direct offset: every segment of a whole job moved sideways, and the joints made anew.

A line is shifted; an arc keeps its centre and changes its radius. Then each joint is one of

- smooth: both moved ends are the same point, or so near that one point serves both within 1e-9 mm;
- *concave*: the moved segments overlap and are cut back to where their carriers meet;
- *convex*: they gape. A *rolled* joint is an arc about the old corner, on which the cutter's edge
  stays at the corner's tip; a *mitred* one goes on along the tangents to where they meet and leaves
  the tip alone (at a square corner the cutter stops 0.41 radii off it). A mitre never reaches
  further than `MITRE_LIMIT` times the distance: sharper ones are cut across.

Nothing here knows whether the moved pieces collide; `turned` says which rings hold a piece that was
consumed by its neighbours, and `core.geometry.offset` proves the rest.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.geometry.carriers import Carriers, cross, crossings, dot, left_of
from core.geometry.rings import Rings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]

MITRE_LIMIT = 2.0
"""A mitre tip lies at most this many offset distances from its corner: corners of 60 deg and more
keep their tip, sharper ones are cut across (common practice, no source)."""

SMOOTH_MM = 4e-10
"""A convex joint that one point serves within this is no joint; the whole budget is 1e-9 mm."""

GONE_MM = 1e-10
"""A piece shorter than this has vanished; its neighbours meet there."""


def moved(source: Rings, right_mm: Array, mitre: Bools) -> tuple[Rings, Bools]:
    """Offset every ring to the right of its travel.

    Parameters
    ----------
    source : Rings
        The rings.
    right_mm : array of shape (r,)
        Distance to the right of the travel, negative to the left. [mm]
    mitre : bool array of shape (r,)
        Whether convex joints are mitred, else rolled.

    Returns
    -------
    rings : Rings
        The moved rings, nothing proven.
    turned : bool array of shape (r,)
        Rings that hold a piece which turned over, or neighbours that no longer meet.
    """
    shift = right_mm[source.ring]
    tangent_end = source.carriers.tangent_at(source.end)
    joints = _Joints(source, tangent_end, shift)
    start, end = joints.start.copy(), joints.end.copy()
    trim = ~joints.convex
    meeting, lost = joints.meetings(trim)
    end[trim], start[source.after[trim]] = meeting, meeting
    bulge, over = _reshaped(source, joints, start, end)
    over[trim] |= lost
    turned = np.bincount(source.ring[over], minlength=len(source)) > 0
    return _with_joints(source, joints, (start, end, bulge), mitre), turned


class _Joints:
    """The joint behind each piece: the turn there, and the moved ends that meet or gape."""

    def __init__(self, source: Rings, tangent_end: Array, shift: Array) -> None:
        old = source.carriers
        after = source.after
        self.after, self.shift = after, shift
        self.tangent_end, self.tangent_next = tangent_end, old.tangent[after]
        self.turn = np.arctan2(
            cross(tangent_end, self.tangent_next), dot(tangent_end, self.tangent_next)
        )
        self.start = source.start - shift[:, None] * left_of(old.tangent)
        self.end = source.end - shift[:, None] * left_of(tangent_end)
        self.growth = 1.0 + old.curvature * shift
        # an arc moved onto its own centre is a point: it is kept as a line of no length
        radius = np.abs(self.growth) / np.maximum(np.abs(old.curvature), 1e-300)
        self.point = (old.curvature != 0.0) & (radius <= GONE_MM)
        chord = source.end - source.start
        chord = chord / np.hypot(chord[:, 0], chord[:, 1])[:, None]
        with np.errstate(all="ignore"):
            bend = np.where(self.point, 0.0, old.curvature / self.growth)
        tangent = np.where(self.point[:, None], chord, old.tangent)
        self.carriers = Carriers(self.start, tangent, bend)
        miss = np.abs(shift) * (1.0 / np.maximum(np.cos(self.turn / 2.0), 1e-9) - 1.0)
        self.convex = (self.turn * shift > 0.0) & (miss > SMOOTH_MM)
        self.tip = self._tips(source)

    def _tips(self, source: Rings) -> Array:
        """Where the tangents at the moved ends meet, on the bisector of the corner, (n, 2)."""
        bisector = -left_of(self.tangent_end + self.tangent_next)
        stretch = 1.0 + dot(self.tangent_end, self.tangent_next)
        tip: Array = source.end + bisector * (self.shift / np.maximum(stretch, 1e-9))[:, None]
        return tip

    def meetings(self, which: Bools) -> tuple[Array, Bools]:
        """Return where the moved carriers of chosen joints meet, and which have lost each other."""
        before, tip = np.flatnonzero(which), self.tip[which]
        a, b = self.carriers[before], self.carriers[self.after[before]]
        # on carriers that bend too little to leave their tangents here, the tip is the meeting
        slip = np.abs(self.shift[before] * np.tan(self.turn[before] / 2.0))
        bend = np.maximum(np.abs(a.curvature), np.abs(b.curvature))
        curved = slip**2 * bend > GONE_MM / 4.0
        meeting, lost = tip.copy(), np.zeros(len(tip), dtype=bool)
        if curved.any():
            near, far, apart = crossings(a[curved], b[curved])
            aim = tip[curved]
            with np.errstate(invalid="ignore"):
                farther = ~(_span(near - aim) <= _span(far - aim)) & np.isfinite(far[:, 0])
            meeting[curved] = np.where(farther[:, None], far, near)
            lost[curved] = apart | ~np.isfinite(meeting[curved][:, 0])
        meeting[lost] = tip[lost]
        return meeting, lost


def _span(a: Array) -> Array:
    """Length of rows, shape (n,)."""
    return np.hypot(a[:, 0], a[:, 1])


def _reshaped(source: Rings, joints: _Joints, start: Array, end: Array) -> tuple[Array, Bools]:
    """Return the bulge of each moved piece between its new ends, and whether it turned over."""
    chord = end - start
    long = _span(chord)
    line = joints.carriers.curvature == 0.0
    over = line & (dot(joints.carriers.tangent, chord) < -GONE_MM)
    bulge = np.where(line, 0.0, source.bulge)
    over |= ~line & (joints.growth <= 0.0)
    shifted = (start != joints.start).any(axis=1) | (end != joints.end).any(axis=1)
    again = np.flatnonzero(~line & ~over & shifted & (long > GONE_MM))
    tangent = joints.carriers[again].tangent_at(start[again])
    half = np.arctan2(cross(tangent, chord[again]), dot(tangent, chord[again]))
    # an arc that is only cut back sweeps no more than before, 0.01 rad being room for smooth joints
    room = 2.0 * np.arctan(np.abs(source.bulge[again])) + 0.01
    forward = half * np.sign(source.bulge[again])
    over[again] = (forward < -1e-6) | (forward > room)
    bulge[again] = np.tan(half / 2.0)
    bulge[long <= GONE_MM] = 0.0
    return bulge, over


def _with_joints(
    source: Rings, joints: _Joints, pieces: tuple[Array, Array, Array], mitre: Bools
) -> Rings:
    """Lay the moved pieces and the pieces of their convex joints one behind the other."""
    start, end, bulge = pieces
    count = len(bulge)
    # slots behind one another: the piece; along its tangent, or the arc; across; along the next
    starts, ends = np.empty((count, 4, 2)), np.empty((count, 4, 2))
    bulges, keep = np.zeros((count, 4)), np.zeros((count, 4), dtype=bool)
    starts[:, 0], ends[:, 0], bulges[:, 0] = start, end, bulge
    keep[:, 0] = _span(end - start) > GONE_MM
    rolled = np.flatnonzero(joints.convex & ~mitre[source.ring])
    starts[rolled, 1], ends[rolled, 1] = joints.end[rolled], joints.start[source.after[rolled]]
    bulges[rolled, 1], keep[rolled, 1] = np.tan(joints.turn[rolled] / 4.0), True
    _mitred(source, joints, starts, ends, keep, np.flatnonzero(joints.convex & mitre[source.ring]))
    origin_of = np.repeat(source.source[:, None], 4, axis=1)
    origin_of[:, 1:] = -1 - origin_of[:, 1:]
    count_of = np.bincount(source.ring, keep.sum(axis=1), len(source)).astype(np.intp)
    first = np.concatenate([[0], np.cumsum(count_of)])
    return Rings(starts[keep], ends[keep], bulges[keep], origin_of[keep], first, source.origin)


def _mitred(
    source: Rings, joints: _Joints, starts: Array, ends: Array, keep: Bools, which: NDArray[np.intp]
) -> None:
    """Fill the slots of mitred joints: lines are lengthened, arcs go on along their tangent."""
    after = source.after[which]
    half = np.abs(joints.turn[which]) / 2.0
    # along the tangent to the tip, or to the cut across where the tip would lie too far out
    full = np.tan(half)
    short = (MITRE_LIMIT - np.cos(half)) / np.sin(half)
    sharp = np.cos(half) * MITRE_LIMIT < 1.0
    reach = (np.abs(joints.shift[which]) * np.where(sharp, short, full))[:, None]
    leave = joints.end[which] + reach * joints.tangent_end[which]
    join = joints.start[after] - reach * joints.tangent_next[which]
    leave = np.where(sharp[:, None], leave, joints.tip[which])
    join = np.where(sharp[:, None], join, leave)
    line = source.bulge == 0.0
    straight_on, straight_in = line[which], line[after]
    starts[which, 1], ends[which, 1], keep[which, 1] = joints.end[which], leave, ~straight_on
    starts[which, 2], ends[which, 2], keep[which, 2] = leave, join, sharp
    starts[which, 3], ends[which, 3], keep[which, 3] = join, joints.start[after], ~straight_in
    ends[which[straight_on], 0] = leave[straight_on]
    starts[after[straight_in], 0] = join[straight_in]
