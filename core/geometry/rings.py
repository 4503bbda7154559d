"""Many closed paths as one set of arrays, so that one numpy call serves the whole job.

A *piece* is a line or an arc that remembers where it came from: `source` is the number of the
source piece that it runs beside, or -1 - i for a joint round the point that ends source piece i.
A *ring* is a closed run of pieces. Coordinates are local: each ring is shifted by the first point
of its source, so that a job 18 m from the origin loses no digits.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import Boxes
from core.geometry.carriers import Carriers, cross, dot, span
from core.geometry.path import SAME_POINT_MM, Path, Segments, points_on

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

FLAT_MM = 1e-11
"""An arc that rises less than this above its chord is a line."""


@dataclass(frozen=True, eq=False)
class Pieces:
    """Lines and arcs.

    Parameters
    ----------
    start, end : array of shape (m, 2)
        End points, local. [mm]
    bulge : array of shape (m,)
        tan(sweep / 4), left positive; at most half a turn.
    source : int array of shape (m,)
        Where each piece came from.
    """

    start: Array
    end: Array
    bulge: Array
    source: Index

    @cached_property
    def delta(self) -> Array:
        """Chord vectors, shape (m, 2). [mm]."""
        return self.end - self.start

    @cached_property
    def chord_mm(self) -> Array:
        """Chord lengths, shape (m,). [mm]."""
        return span(self.delta)

    @cached_property
    def carriers(self) -> Carriers:
        """Carriers of the pieces, from their start."""
        return carriers_of(self.start, self.delta, self.bulge)

    @cached_property
    def tangent_end(self) -> Array:
        """Unit tangent at the end, shape (m, 2)."""
        return self.carriers.tangent_at(self.end)

    def at(self, share: float) -> Array:
        """Return the points at a share of each piece's length, shape (m, 2). [mm]."""
        count = len(self.bulge)
        segments = Segments(self.start, self.end, self.bulge)
        return points_on(segments, np.arange(count), np.full(count, share))

    def holds(self, which: Index, point: Array) -> Bools:
        """Whether points on the carriers of pieces lie between their ends; nan never does."""
        delta, bulge = self.delta[which], self.bulge[which]
        chord = np.maximum(self.chord_mm[which], 1e-300)
        away = point - self.start[which]
        with np.errstate(invalid="ignore"):
            ahead = dot(delta, away) / chord
            aside = cross(delta, away) / chord * np.sign(bulge)
            inside: Bools = (ahead >= -SAME_POINT_MM) & (ahead <= chord + SAME_POINT_MM)
            inside &= aside <= SAME_POINT_MM
        return inside

    def boxes(self, group: Index) -> Boxes:
        """Return boxes that hold each piece, a little wide for arcs."""
        rise = np.abs(self.bulge) * self.chord_mm / 2.0 + SAME_POINT_MM
        start, end = np.ascontiguousarray(self.start.T), self.end.T
        low, high = np.minimum(start, end), np.maximum(start, end)
        return Boxes(low - rise, high + rise, group)


@dataclass(frozen=True, eq=False)
class Rings(Pieces):
    """Pieces of many rings, one ring behind the other.

    Parameters
    ----------
    first : int array of shape (r + 1,)
        Where each ring begins.
    origin : array of shape (r, 2)
        What was taken off the coordinates of each ring. [mm]
    """

    first: Index
    origin: Array

    def __len__(self) -> int:
        return len(self.first) - 1

    @cached_property
    def count(self) -> Index:
        """Pieces of each ring, shape (r,)."""
        return np.diff(self.first)

    @cached_property
    def ring(self) -> Index:
        """Ring of each piece, shape (m,)."""
        return np.repeat(np.arange(len(self)), self.count)

    @cached_property
    def after(self) -> Index:
        """The piece that follows each piece, shape (m,)."""
        follows = np.arange(1, len(self.bulge) + 1)
        full = self.count > 0
        follows[self.first[1:][full] - 1] = self.first[:-1][full]
        return follows

    @cached_property
    def before(self) -> Index:
        """The piece before each piece, shape (m,)."""
        comes = np.empty(len(self.bulge), dtype=np.intp)
        comes[self.after] = np.arange(len(self.bulge))
        return comes

    @cached_property
    def area_mm2(self) -> Array:
        """Enclosed area of each ring, counter-clockwise positive, shape (r,). [mm2]."""
        each = cross(self.start, self.end) / 2.0 + self.chord_mm**2 * cap_share(self.bulge)
        return np.bincount(self.ring, each, len(self)).astype(np.float64)

    @cached_property
    def extent_mm(self) -> Array:
        """Width and height of the box of each ring, arcs included, shape (r, 2). [mm]."""
        low, high = Segments(self.start, self.end, self.bulge).boxes_mm
        begin = self.first[:-1]
        return np.maximum.reduceat(high, begin) - np.minimum.reduceat(low, begin)

    def paths(self) -> list[Path]:
        """Return every ring as a path, back in its place."""
        points, bulges = self.start + self.origin[self.ring], self.bulge.view()
        points.flags.writeable = bulges.flags.writeable = False
        return [Path(points[i:j], bulges[i:j]) for i, j in pairwise(self.first.tolist())]

    def subset(self, which: Index) -> Rings:
        """Return some of the rings, their pieces numbered from 0."""
        chosen = np.zeros(len(self), dtype=bool)
        chosen[which] = True
        kept = self.kept(chosen[self.ring])
        first = np.concatenate([[0], np.cumsum(self.count[which])])
        source = np.arange(len(kept.bulge))
        return replace(kept, source=source, first=first, origin=self.origin[which])

    def together(self, group: Index) -> Rings:
        """Return the rings with the origin of the first ring of their group."""
        _, leader, own = np.unique(group, return_index=True, return_inverse=True)
        origin = self.origin[leader[own]]
        away = (self.origin - origin)[self.ring]
        return replace(self, start=self.start + away, end=self.end + away, origin=origin)

    def reversed(self) -> Rings:
        """Return every ring run the other way, its pieces numbered from 0."""
        every = np.arange(len(self.bulge))
        back = self.first[self.ring] + self.first[self.ring + 1] - 1 - every
        start, end, bulge = self.end[back], self.start[back], -self.bulge[back]
        return Rings(start, end, bulge, every, self.first, self.origin)

    def kept(self, piece: Bools) -> Rings:
        """Return the rings with only the chosen pieces; the ends must meet as they are."""
        count = np.bincount(self.ring[piece], minlength=len(self))
        first = np.concatenate([[0], np.cumsum(count)])
        start, end, bulge = self.start[piece], self.end[piece], self.bulge[piece]
        return Rings(start, end, bulge, self.source[piece], first, self.origin)


def chained(rings: Sequence[Rings]) -> Rings:
    """Return sets of rings as one set."""
    fields = ("start", "end", "bulge", "source", "origin")
    start, end, bulge, source, origin = (
        np.concatenate([getattr(part, name) for part in rings]) for name in fields
    )
    first = np.concatenate([[0], np.cumsum(np.concatenate([part.count for part in rings]))])
    return Rings(start, end, bulge, source, first, origin)


def cap_share(bulge: Array) -> Array:
    """Area between an arc and its chord over the chord squared, left-turning positive.

    (sweep - sin sweep) / (8 sin(sweep / 2)^2), by its series b / 3 (1 + b^2 / 5) where flat.
    """
    sweep = 4.0 * np.arctan(bulge)
    with np.errstate(all="ignore"):
        exact = (sweep - np.sin(sweep)) / (8.0 * np.sin(sweep / 2.0) ** 2)
    return np.where(np.abs(bulge) < 1e-3, bulge / 3.0 * (1.0 + bulge**2 / 5.0), exact)


def carriers_of(start: Array, delta: Array, bulge: Array) -> Carriers:
    """Return the carriers of segments from their start, chord vector and bulge."""
    chord = np.maximum(span(delta), 1e-300)
    along = delta / chord[:, None]
    # the tangent at the start lies half a sweep to the right of the chord
    scale = 1.0 / (1.0 + bulge**2)
    cos, sin = (1.0 - bulge**2) * scale, 2.0 * bulge * scale
    tangent = np.empty_like(along)
    tangent[:, 0] = along[:, 0] * cos + along[:, 1] * sin
    tangent[:, 1] = along[:, 1] * cos - along[:, 0] * sin
    return Carriers(start, tangent, 2.0 * sin / chord)


def rings_of(paths: Sequence[Path]) -> Rings:
    """Return closed paths as rings; points that repeat are left out, flat arcs become lines."""
    count = np.array([len(path.points) for path in paths], dtype=np.intp)
    first = np.concatenate([[0], np.cumsum(count)])
    points = np.concatenate([path.points for path in paths])
    bulge = np.concatenate([path.bulges for path in paths])
    origin = points[np.minimum(first[:-1], len(points) - 1)]
    start = points - np.repeat(origin, count, axis=0)
    every = np.arange(len(bulge))
    end = start[Rings(start, start, bulge, every, first, origin).after]
    chord = span(end - start)
    bulge = np.where(np.abs(bulge) * chord / 2.0 <= FLAT_MM, 0.0, bulge)
    rings = Rings(start, end, bulge, every, first, origin)
    if (chord > 0.0).all():
        return rings
    rings = rings.kept(chord > 0.0)
    return replace(rings, source=np.arange(len(rings.bulge)))
