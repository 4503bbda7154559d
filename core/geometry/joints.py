"""Segments moved sideways, and the joints between them.

A line is shifted; an arc keeps its centre and changes its radius. Then each joint is one of

- smooth: both moved ends are the same point, or so near that one point serves both within 1e-9 mm;
- *concave*: the moved segments overlap and are trimmed to where their carriers meet;
- *convex*: they gape. A *rolled* joint is an arc about the old corner, on which the cutter's edge
  stays at the corner's tip; a *mitred* one goes on along the tangents to where they meet and leaves
  the tip alone (at a square corner the cutter stops 0.41 radii off it). Where the tip would lie
  further off than `MITRE_LIMIT` times the distance, the mitre is cut across at that distance.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.carriers import Carriers, cross, crossings, dot, left_of, nearer, span

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.rings import Rings

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

MITRE_LIMIT = 2.0
"""A mitre tip lies at most this many offset distances from its corner: corners of 60 deg and more
keep their tip, sharper ones are cut across (common practice, no source)."""

SMOOTH_MM = 2e-10
"""A convex joint that one point serves within this is no joint; the whole budget is 1e-9 mm."""

GONE_MM = 1e-10
"""A piece shorter than this has vanished; its neighbours meet there."""

SMOOTH_TURN_RAD = 0.01
"""Sweep that an arc may gain where a smooth joint lengthens it."""


class Joints:
    """Every piece moved to its right, and the joint behind it.

    Parameters
    ----------
    source : Rings
        The rings, n pieces.
    shift : array of shape (n,)
        Distance of each piece to the right, negative to the left. [mm]

    Attributes
    ----------
    start, end : array of shape (n, 2)
        Ends of the moved pieces as they are, neither trimmed nor joined. [mm]
    carriers : Carriers
        Carriers of the moved pieces.
    inverted : bool array of shape (n,)
        Arcs moved beyond their own centre.
    turn : array of shape (n,)
        Turn from each piece to the next, left positive. [rad]
    convex : bool array of shape (n,)
        Whether the joint behind each piece gapes.
    tip : array of shape (n, 2)
        Where the tangents at the moved ends meet, on the bisector of the corner. [mm]
    """

    def __init__(self, source: Rings, shift: Array) -> None:
        self.source, self.shift, self.after = source, shift, source.after
        tangent = source.carriers.tangent
        self.tangent_end, self.tangent_next = source.tangent_end, tangent[self.after]
        self.turn = np.arctan2(
            cross(self.tangent_end, self.tangent_next), dot(self.tangent_end, self.tangent_next)
        )
        self.start = source.start - shift[:, None] * left_of(tangent)
        self.end = source.end - shift[:, None] * left_of(self.tangent_end)
        self.carriers, self.inverted = self._moved()
        miss = np.abs(shift) * (1.0 / np.maximum(np.cos(self.turn / 2.0), 1e-9) - 1.0)
        self.convex = (self.turn * shift > 0.0) & (miss > SMOOTH_MM)
        bisector = -left_of(self.tangent_end + self.tangent_next)
        stretch = np.maximum(1.0 + dot(self.tangent_end, self.tangent_next), 1e-9)
        self.tip = source.end + bisector * (shift / stretch)[:, None]

    def _moved(self) -> tuple[Carriers, Bools]:
        """Return the moved carriers, and which arcs went beyond their centre.

        An arc moved onto its own centre is a point, and kept as a line of no length.
        """
        source, old = self.source, self.source.carriers
        growth = 1.0 + old.curvature * self.shift
        radius = np.abs(growth) / np.maximum(np.abs(old.curvature), 1e-300)
        point = (old.curvature != 0.0) & (radius <= GONE_MM)
        tangent = old.tangent
        if point.any():
            along = source.delta / source.chord_mm[:, None]
            tangent = np.where(point[:, None], along, tangent)
        with np.errstate(all="ignore"):
            curvature = np.where(point, 0.0, old.curvature / growth)
        return Carriers(self.start, tangent, curvature), (growth <= 0.0) & ~point

    @cached_property
    def meeting(self) -> tuple[Array, Bools]:
        """Where the moved carriers meet at each joint that does not gape, and which do not meet."""
        before = np.flatnonzero(~self.convex)
        tip, lost = self.tip.copy(), np.zeros(len(self.turn), dtype=bool)
        a, b = self.carriers[before], self.carriers[self.after[before]]
        # on carriers that bend too little to leave their tangents there, the tip is the meeting
        slip = np.abs(self.shift[before] * np.tan(self.turn[before] / 2.0))
        bend = np.maximum(np.abs(a.curvature), np.abs(b.curvature))
        curved = np.flatnonzero(slip**2 * bend > GONE_MM / 4.0)
        if len(curved):
            which = before[curved]
            met = nearer(*crossings(a[curved], b[curved]), tip[which])
            lost[which] = ~np.isfinite(met[:, 0])
            tip[which] = np.where(lost[which, None], tip[which], met)
        return tip, lost

    def trimmed(self, loose: Bools | None = None) -> tuple[Array, Array, Array, Bools]:
        """Trim the moved pieces at their joints.

        Parameters
        ----------
        loose : bool array of shape (n,), optional
            Joints to leave alone.

        Returns
        -------
        start, end, bulge : arrays
            The pieces.
        over : bool array of shape (n,)
            Pieces that their neighbours consume, or that no longer meet the next one.
        """
        start, end = self.start.copy(), self.end.copy()
        trim = ~self.convex if loose is None else ~self.convex & ~loose
        meeting, lost = self.meeting
        end[trim], start[self.after[trim]] = meeting[trim], meeting[trim]
        bulge, over = self._reshaped(start, end)
        return start, end, bulge, over | (trim & lost)

    def _reshaped(self, start: Array, end: Array) -> tuple[Array, Bools]:
        """Return the bulges between new ends, and which pieces turned over."""
        bulge = np.where(self.carriers.curvature == 0.0, 0.0, self.source.bulge)
        chord = end - start
        gone = span(chord) <= GONE_MM
        over = (bulge == 0.0) & (dot(self.carriers.tangent, chord) < -GONE_MM)
        over |= self.inverted
        shifted = (start != self.start).any(axis=1) | (end != self.end).any(axis=1)
        again = np.flatnonzero((bulge != 0.0) & ~over & shifted & ~gone)
        half = self.carriers[again].half_sweep(start[again], chord[again])
        # an arc that is only trimmed sweeps no more than before
        room = 2.0 * np.arctan(np.abs(bulge[again])) + SMOOTH_TURN_RAD
        forward = half * np.sign(bulge[again])
        over[again] = (forward < -1e-6) | (forward > room)
        bulge[again] = np.tan(half / 2.0)
        bulge[gone] = 0.0
        return bulge, over

    def mitres(self, which: Index) -> tuple[Array, Array]:
        """Return where mitres leave the first tangent and where they join the next.

        Both are the tip, but for corners so sharp that the mitre is cut across.
        """
        half = np.abs(self.turn[which]) / 2.0
        sharp = np.cos(half) * MITRE_LIMIT < 1.0
        with np.errstate(divide="ignore", invalid="ignore"):
            reach = np.abs(self.shift[which]) * (MITRE_LIMIT - np.cos(half)) / np.sin(half)
        leave, join = self.tip[which].copy(), self.tip[which].copy()
        cut, reach = which[sharp], reach[sharp, None]
        leave[sharp] = self.end[cut] + reach * self.tangent_end[cut]
        join[sharp] = self.start[self.after[cut]] - reach * self.tangent_next[cut]
        return leave, join
