"""Exact distances from points to paths, and which points and paths lie inside a path.

The foot of a point on a segment is found without the centre of an arc: with t the tangents at the
start s and the end e, the foot lies on the segment when t_s . (x - s) >= 0 >= t_e . (x - e). That
holds for lines and for arcs up to half a turn. With f and k of `core.geometry.carriers`, the
distance to the left of the carrier is 2 f / (1 + sqrt(1 - 2 k f)).
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import Boxes, overlapping_between
from core.geometry.carriers import cross, dot, left_of, span
from core.geometry.path import points_on
from core.geometry.rings import Pieces, carriers_of

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from core.geometry.carriers import Carriers
    from core.geometry.path import Path

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

AT_ONCE = 400_000
"""Pairs of point and segment looked at in one go: few enough to stay in the cache."""


def distance_to(path: Path, points_mm: ArrayLike) -> Array:
    """Return the exact distance of points to a path, open or closed.

    Parameters
    ----------
    path : Path
        Lines and arcs.
    points_mm : array of shape (m, 2) or (2,)
        Points. [mm]

    Returns
    -------
    array of shape (m,)
        Distances, never negative. [mm]
    """
    at = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2) - path.points[0]
    corners = path.points - path.points[0]
    start, end = corners[: len(path.bulges)], np.roll(corners, -1, axis=0)[: len(path.bulges)]
    long = span(end - start) > 0.0
    pieces = Pieces(start[long], end[long], path.bulges[long], np.flatnonzero(long))
    block = max(AT_ONCE // len(corners), 1)
    least = [np.zeros(0)]
    for here in (at[i : i + block, None] for i in range(0, len(at), block)):
        nearest = span(here - corners).min(axis=1)
        aside = _foot_distance(pieces.carriers, pieces.tangent_end, pieces.end, here)
        least.append(np.minimum(nearest, aside.min(axis=1, initial=np.inf)))
    return np.concatenate(least)


def way_to(path: Path, points_mm: ArrayLike) -> Array:
    """Return the way along a path to its points nearest to given ones, shape (m,). [mm]."""
    at = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2) - path.points[0]
    corners = path.points - path.points[0]
    start, end = corners[: len(path.bulges)], np.roll(corners, -1, axis=0)[: len(path.bulges)]
    long = np.flatnonzero(span(end - start) > 0.0)
    pieces = Pieces(start[long], end[long], path.bulges[long], long)
    here = at[:, None]
    aside = _foot_distance(pieces.carriers, pieces.tangent_end, pieces.end, here)
    to_start, to_end = span(here - pieces.start), span(here - pieces.end)
    which = np.minimum(np.minimum(to_start, to_end), aside).argmin(axis=1)
    carriers, away = pieces.carriers[which], at - pieces.start[which]
    # the turn of the tangent from the start of the carrier to the foot of the point
    bend = carriers.curvature
    ahead = dot(carriers.tangent, away)
    turn = np.arctan2(bend * ahead, 1.0 - bend * cross(carriers.tangent, away))
    # half a turn may come out either way round
    backwards = turn * np.sign(bend) < -math.pi / 2.0
    turn = np.where(backwards, turn + np.copysign(2.0 * math.pi, bend), turn)
    along = np.divide(turn, bend, out=ahead, where=bend != 0.0)
    length = path.segments.length_mm[long][which]
    way: Array = path.ends_mm[long[which]] + np.clip(along, 0.0, length)
    return way


def _foot_distance(carriers: Carriers, tangent_end: Array, end: Array, at: Array) -> Array:
    """Distance to segments where the foot lies on them, else inf; they run along the last axis."""
    away = at - carriers.point
    on = (dot(carriers.tangent, away) >= 0.0) & (dot(tangent_end, at - end) <= 0.0)
    level = carriers.left_distance(at)
    under = 1.0 - 2.0 * carriers.curvature * level
    least = np.where(on, np.abs(2.0 * level / (1.0 + np.sqrt(np.maximum(under, 0.0)))), np.inf)
    # near the centre of an arc the root loses digits; there the centre itself is close at hand
    deep = np.nonzero(on & (under < 0.25))
    if len(deep[0]):
        bend = carriers.curvature[deep[-1]]
        centre = left_of(carriers.tangent[deep[-1]]) / bend[:, None]
        least[deep] = np.abs(1.0 / np.abs(bend) - span(away[deep] - centre))
    return least


def bounded_distance(
    pieces: Pieces, group: Index, at: Array, at_group: Index, bound_mm: Array
) -> Array:
    """Return the distance of places to the pieces of their own group, as far as it is bounded.

    Parameters
    ----------
    pieces : Pieces
        Pieces that follow each other in rings.
    group : int array of shape (n,)
        Group of each piece.
    at, at_group : arrays of shape (m, 2), (m,)
        Places [mm], and their groups.
    bound_mm : array of shape (m,)
        Distance up to which it is wanted. [mm]

    Returns
    -------
    array of shape (m,)
        The distance, or inf if it is more than the bound. [mm]
    """
    least = np.full(len(at), np.inf)
    around = Boxes(at.T - bound_mm, at.T + bound_mm, at_group)
    for piece, place in overlapping_between(pieces.boxes(group), around):
        here, end = at[place], pieces.end[piece]
        aside = _foot_distance(pieces.carriers[piece], pieces.tangent_end[piece], end, here)
        np.minimum.at(least, place, np.minimum(aside, span(here - end)))
    return np.where(least <= bound_mm, least, np.inf)


def contains(path: Path, points_mm: ArrayLike) -> Bools:
    """Return which points lie inside a closed path, shape (m,).

    Inside is counted by crossings (even-odd): once for the polygon of the chords, and once for each
    cap between an arc and its chord. Exact; on the path itself either answer may come.
    """
    at = np.asarray(points_mm, dtype=np.float64).reshape(-1, 2) - path.points[0]
    start = path.points - path.points[0]
    end = np.roll(start, -1, axis=0)
    block = max(AT_ONCE // len(start), 1)
    inside = [
        _inside(start, end, path.bulges, at[i : i + block, None, :])
        for i in range(0, len(at), block)
    ]
    return np.concatenate(inside) if inside else np.zeros(0, dtype=bool)


def _inside(start: Array, end: Array, bulge: Array, here: Array) -> Bools:
    """Count crossings of a ray to the right with the chords, and the caps, odd or even."""
    delta, away = end - start, here - start
    aside = cross(delta, away)
    rises = (start[:, 1] <= here[..., 1]) & (end[:, 1] > here[..., 1])
    falls = (end[:, 1] <= here[..., 1]) & (start[:, 1] > here[..., 1])
    odd = ((rises & (aside > 0.0)) | (falls & (aside < 0.0))).sum(axis=1) % 2 == 1
    arc = np.flatnonzero(bulge)
    carriers = carriers_of(start[arc], delta[arc], bulge[arc])
    level = cross(carriers.tangent, away[:, arc]) - carriers.curvature / 2.0 * dot(
        away[:, arc], away[:, arc]
    )
    sign = np.sign(bulge[arc])
    # a point on a chord lies a hair to its right and above it, as it does for the ray: the middle
    # of a circle of two arcs lies on both chords
    dx, dy = delta[arc].T
    side = np.where(aside[:, arc] != 0.0, aside[:, arc], np.where(dy != 0.0, -dy, dx))
    cap = (level * sign > 0.0) & (side * sign < 0.0)
    inside: Bools = odd ^ (cap.sum(axis=1) % 2 == 1)
    return inside


def encloses(outer: Path, inner: Path, tolerance_mm: float = 1e-6) -> bool:
    """Whether a path lies inside a closed path that it does not cross; it may touch it.

    Points of `inner` that lie on `outer` within the tolerance do not count; if all do, the paths
    are the same and neither encloses the other.
    """
    count = len(inner.bulges)
    middles = points_on(inner.segments, np.arange(count), np.full(count, 0.5))
    probes = np.vstack([inner.points, middles])
    clear = distance_to(outer, probes) > tolerance_mm
    return bool(clear.any() and contains(outer, probes[clear]).all())
