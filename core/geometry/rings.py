"""Many closed paths as one set of arrays, so that one numpy call serves the whole job.

A *ring* is a closed run of pieces; a *piece* is a line or an arc that remembers where it came
from: `source` is the number of the source segment that it runs beside, or -1 - i for a piece of
the joint round the point that ends source segment i. Coordinates are local: each ring is shifted
by the first point of its source, so that a job 18 m from the origin loses no digits.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.carriers import Carriers
from core.geometry.path import Path, Segments

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

FLAT_MM = 1e-11
"""An arc that rises less than this above its chord is a line."""


@dataclass(frozen=True, eq=False)
class Rings:
    """Pieces of many rings, one ring behind the other.

    Parameters
    ----------
    start, end : array of shape (m, 2)
        End points of the pieces, local. [mm]
    bulge : array of shape (m,)
        tan(sweep / 4), left positive.
    source : int array of shape (m,)
        Where each piece came from.
    first : int array of shape (r + 1,)
        Where each ring begins.
    origin : array of shape (r, 2)
        What was taken off the coordinates of each ring. [mm]
    """

    start: Array
    end: Array
    bulge: Array
    source: Index
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
    def segments(self) -> Segments:
        """The pieces as loose segments, local."""
        return Segments(self.start, self.end, self.bulge)

    @cached_property
    def carriers(self) -> Carriers:
        """Carriers of the pieces, from their start."""
        delta = self.end - self.start
        return carriers_of(self.start, delta, self.bulge)

    @cached_property
    def area_mm2(self) -> Array:
        """Enclosed area of each ring, counter-clockwise positive, shape (r,). [mm2]."""
        chord = self.segments.chord_mm
        shoelace = self.start[:, 0] * self.end[:, 1] - self.end[:, 0] * self.start[:, 1]
        each = shoelace / 2.0 + chord**2 * cap_share(self.bulge)
        return np.bincount(self.ring, each, len(self)).astype(np.float64)

    def path(self, ring: int) -> Path:
        """Return one ring as a path, back in its place."""
        piece = slice(self.first[ring], self.first[ring + 1])
        return Path(self.start[piece] + self.origin[ring], self.bulge[piece])

    def paths(self) -> list[Path]:
        """Return every ring as a path, back in its place."""
        points = self.start + self.origin[self.ring]
        points.flags.writeable = False
        bulges = self.bulge.view()
        bulges.flags.writeable = False
        marks = self.first.tolist()
        return [Path(points[i:j], bulges[i:j]) for i, j in pairwise(marks)]

    def kept(self, piece: NDArray[np.bool_]) -> Rings:
        """Return the rings with only the chosen pieces; the ends must meet as they are."""
        count = np.bincount(self.ring[piece], minlength=len(self))
        first = np.concatenate([[0], np.cumsum(count)])
        return Rings(
            self.start[piece],
            self.end[piece],
            self.bulge[piece],
            self.source[piece],
            first,
            self.origin,
        )


def cap_share(bulge: Array) -> Array:
    """Area between an arc and its chord over the chord squared, left-turning positive.

    (sweep - sin sweep) / (8 sin(sweep / 2)^2), by its series b / 3 where the arc is flat.
    """
    sweep = 4.0 * np.arctan(bulge)
    with np.errstate(all="ignore"):
        exact = (sweep - np.sin(sweep)) / (8.0 * np.sin(sweep / 2.0) ** 2)
    return np.where(np.abs(bulge) < 1e-3, bulge / 3.0 * (1.0 + bulge**2 / 5.0), exact)


def carriers_of(start: Array, delta: Array, bulge: Array) -> Carriers:
    """Return the carriers of segments from their start, chord vector and bulge."""
    chord = np.maximum(np.hypot(delta[:, 0], delta[:, 1]), 1e-300)
    along = delta / chord[:, None]
    # the tangent at the start lies half a sweep to the right of the chord
    scale = 1.0 / (1.0 + bulge**2)
    cos, sin = (1.0 - bulge**2) * scale, 2.0 * bulge * scale
    tangent = np.column_stack(
        [along[:, 0] * cos + along[:, 1] * sin, along[:, 1] * cos - along[:, 0] * sin]
    )
    return Carriers(start, tangent, 2.0 * sin / chord)


def rings_of(paths: Sequence[Path]) -> Rings:
    """Return closed paths as rings; points that repeat are left out, flat arcs become lines."""
    count = np.array([len(path.points) for path in paths], dtype=np.intp)
    first = np.concatenate([[0], np.cumsum(count)])
    points = np.concatenate([path.points for path in paths])
    bulge = np.concatenate([path.bulges for path in paths])
    origin = points[np.minimum(first[:-1], max(len(points) - 1, 0))]
    start = points - np.repeat(origin, count, axis=0)
    rings = Rings(start, start, bulge, np.arange(len(bulge)), first, origin)
    end = start[rings.after]
    chord = np.hypot(*(end - start).T)
    bulge = np.where(np.abs(bulge) * chord / 2.0 <= FLAT_MM, 0.0, bulge)
    whole = Rings(start, end, bulge, rings.source, first, origin)
    return whole if (chord > 0.0).all() else whole.kept(chord > 0.0)
