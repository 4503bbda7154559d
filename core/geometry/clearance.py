"""How near lines and arcs come to each other, exactly: by centres, radii and half angles.

For the proof of what the offset kernel made; so nothing of that kernel is used here. Two segments
that do not cross are nearest in an end of one of them, or where the straight way between them is
square to both: on the line of two centres, or on the line from a centre square to a line. Those
places are looked at, for many pairs at once. Where segments cross, the greatest depth of the
crossing shows in the same places; so a pair that crosses by less than the distance asked for is
found too, and only a deeper one needs another look.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.path import Segments

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

FLAT_MM = 1e-6
"""An arc that rises less than this above its chord is taken for the chord."""


@dataclass(frozen=True, eq=False, slots=True)
class Curves:
    """Lines and arcs, n in number, as they are measured here.

    Parameters
    ----------
    start, end : array of shape (n, 2)
        Ends. [mm]
    is_arc : bool array of shape (n,)
        Which are arcs.
    centre, radius : array of shape (n, 2), (n,)
        Of the arcs. [mm]
    middle, half_cosine : array of shape (n, 2), (n,)
        Unit vector from the centre to the middle of an arc; cosine of half of its sweep.
    """

    start: Array
    end: Array
    is_arc: Bools
    centre: Array
    radius: Array
    middle: Array
    half_cosine: Array

    def __getitem__(self, which: Index | Bools) -> Curves:
        return Curves(*(getattr(self, name)[which] for name in self.__slots__))


def curves_of(segments: Segments) -> Curves:
    """Return segments as they are measured here."""
    rise = np.abs(segments.bulge) * segments.chord_mm / 2.0
    is_arc = rise > FLAT_MM
    bulge = np.where(is_arc, segments.bulge, 1.0)
    chord = segments.end - segments.start
    length = np.maximum(segments.chord_mm, 1e-300)
    square = np.column_stack([-chord[:, 1], chord[:, 0]])
    return Curves(
        start=segments.start,
        end=segments.end,
        is_arc=is_arc,
        centre=(segments.start + segments.end) / 2.0
        + square * ((1.0 - bulge**2) / (4.0 * bulge))[:, None],
        radius=length * (1.0 + bulge**2) / (4.0 * np.abs(bulge)),
        # a left turn lies to the right of its chord
        middle=-square / length[:, None] * np.sign(bulge)[:, None],
        half_cosine=(1.0 - bulge**2) / (1.0 + bulge**2),
    )


def near_pairs(a: Segments, reach_mm: Array, b: Segments) -> tuple[Index, Index]:
    """Return the pairs of segments whose boxes are no further apart than a reach for each of `a`.

    Parameters
    ----------
    a, b : Segments
        n and m segments.
    reach_mm : array of shape (n,)
        How far about each of `a` to look. [mm]
    """
    (x0, y0), (x1, y1) = (corner.T for corner in a.boxes_mm)
    around = shapely.box(x0 - reach_mm, y0 - reach_mm, x1 + reach_mm, y1 + reach_mm)
    low, high = (corner.T for corner in b.boxes_mm)
    one, other = shapely.STRtree(shapely.box(*low, *high)).query(around)
    return one, other


def nearest_mm(a: Curves, b: Curves) -> Array:
    """Return the least distance of each curve of `a` to the one beside it in `b`, shape (n,)."""
    least = np.minimum(_to_curve(a.start, b), _to_curve(a.end, b))
    np.minimum(least, np.minimum(_to_curve(b.start, a), _to_curve(b.end, a)), out=least)
    for one, other in ((a, b), (b, a)):
        square = np.flatnonzero(one.is_arc & ~other.is_arc)
        least[square] = np.minimum(least[square], _arc_to_line(one[square], other[square]))
    both = np.flatnonzero(a.is_arc & b.is_arc)
    least[both] = np.minimum(least[both], _arc_to_arc(a[both], b[both]))
    return least


def _to_curve(point: Array, curves: Curves) -> Array:
    """Distance of points to the curve beside each."""
    least = np.minimum(_long(point - curves.start), _long(point - curves.end))
    chord, away = curves.end - curves.start, point - curves.start
    share = _dot(chord, away) / np.maximum(_dot(chord, chord), 1e-300)
    foot = _long(away - chord * np.clip(share, 0.0, 1.0)[:, None])
    out = point - curves.centre
    radial = _long(out)
    on = curves.is_arc & _holds(curves, out, radial)
    beside = np.where(on, np.abs(radial - curves.radius), foot)
    return np.where(on | ~curves.is_arc, np.minimum(least, beside), least)


def _arc_to_line(arc: Curves, line: Curves) -> Array:
    """Distance where an arc is parallel to the line beside it, else inf."""
    chord = line.end - line.start
    square = np.maximum(_dot(chord, chord), 1e-300)
    share = _dot(chord, arc.centre - line.start) / square
    normal = np.column_stack([-chord[:, 1], chord[:, 0]]) / np.sqrt(square)[:, None]
    # signed distance of the line from the centre, along the normal
    away = _dot(normal, line.start - arc.centre)
    least = np.full(len(share), np.inf)
    one = np.ones(len(share))
    for way in (1.0, -1.0):
        met = (share >= 0.0) & (share <= 1.0) & _holds(arc, way * normal, one)
        distance = np.abs(away - way * arc.radius)
        least = np.where(met, np.minimum(least, distance), least)
    return least


def _arc_to_arc(a: Curves, b: Curves) -> Array:
    """Distance where an arc is parallel to the arc beside it, else inf.

    Arcs about one centre are parallel everywhere, an end of one of them included.
    """
    across = b.centre - a.centre
    apart = np.maximum(_long(across), 1e-300)
    along = across / apart[:, None]
    least = np.full(len(apart), np.inf)
    one = np.ones(len(apart))
    for from_a in (1.0, -1.0):
        held = _holds(a, from_a * along, one)
        for from_b in (1.0, -1.0):
            met = held & _holds(b, from_b * along, one)
            distance = np.abs(apart + from_b * b.radius - from_a * a.radius)
            least = np.where(met, np.minimum(least, distance), least)
    return least


def _holds(arcs: Curves, direction: Array, length: Array) -> Bools:
    """Whether each arc has a point in a direction of some length from its centre."""
    return np.asarray(_dot(direction, arcs.middle) >= arcs.half_cosine * length - 1e-15 * length)


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(a[:, 0] * b[:, 0] + a[:, 1] * b[:, 1])


def _long(a: Array) -> Array:
    return np.sqrt(_dot(a, a))
