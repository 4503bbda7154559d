"""The nearest point of a line or an arc to a point (its *foot*), and where segments cross."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import points_on

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.path import Segments


def foot(
    segments: Segments, which: NDArray[np.intp], points: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return distance and share of the nearest point, pair by pair.

    Parameters
    ----------
    segments : Segments
        Lines and arcs. [mm]
    which : array of int, shape (k,)
        Segment of each pair.
    points : array of shape (k, 2)
        Point of each pair. [mm]

    Returns
    -------
    distance : array of shape (k,)
        From the point to the segment. [mm]
    share : array of shape (k,)
        Where on the segment the foot lies, 0 at its start, 1 at its end.
    """
    start, chord = segments.start[which], segments.end[which] - segments.start[which]
    square = np.maximum((chord**2).sum(axis=1), 1e-300)
    share = ((points - start) * chord).sum(axis=1) / square
    arcs = np.flatnonzero(segments.is_arc[which])
    if len(arcs):
        share[arcs] = _share_of_arc(segments, which[arcs], points[arcs])
    share = np.clip(share, 0.0, 1.0)
    gap = points - points_on(segments, which, share)
    return np.hypot(gap[:, 0], gap[:, 1]), share


def _share_of_arc(
    segments: Segments, which: NDArray[np.intp], points: NDArray[np.float64]
) -> NDArray[np.float64]:
    centre, sweep = segments.centre_mm[which], segments.sweep_rad[which]
    ray, begin = points - centre, segments.start[which] - centre
    turn = np.arctan2(ray[:, 1], ray[:, 0]) - np.arctan2(begin[:, 1], begin[:, 0])
    turn = np.mod(np.copysign(1.0, sweep) * turn, math.tau)
    # beyond the end the nearer end counts: past half of what is left of the circle it is the start
    turn = np.where(turn - np.abs(sweep) > math.tau - turn, turn - math.tau, turn)
    return np.asarray(turn / np.abs(sweep))


def crossings(segments: Segments, a: int, b: int) -> list[tuple[float, float]]:
    """Return the points in which the carriers of two segments cross: lines and whole circles."""
    line_a, line_b = not segments.is_arc[a], not segments.is_arc[b]
    if line_a and line_b:
        return _line_line(segments, a, b)
    if line_a or line_b:
        line, arc = (a, b) if line_a else (b, a)
        return _line_circle(segments, line, arc)
    return _circle_circle(segments, a, b)


def _line_line(segments: Segments, a: int, b: int) -> list[tuple[float, float]]:
    p, q = segments.start[a], segments.start[b]
    u, v = segments.end[a] - p, segments.end[b] - q
    cross = float(u[0] * v[1] - u[1] * v[0])
    if abs(cross) <= 1e-9 * float(np.hypot(*u) * np.hypot(*v)):
        return []
    share = float((q - p)[0] * v[1] - (q - p)[1] * v[0]) / cross
    x, y = p + share * u
    return [(float(x), float(y))]


def _line_circle(segments: Segments, line: int, arc: int) -> list[tuple[float, float]]:
    start, centre = segments.start[line], segments.centre_mm[arc]
    way = segments.end[line] - start
    way = way / max(float(np.hypot(*way)), 1e-300)
    along = float((centre - start) @ way)
    middle = start + along * way
    square = float(segments.radius_mm[arc]) ** 2 - float(((centre - middle) ** 2).sum())
    if square < 0.0:
        return []
    reach = math.sqrt(square)
    return [(float(x), float(y)) for x, y in (middle + reach * way, middle - reach * way)]


def _circle_circle(segments: Segments, a: int, b: int) -> list[tuple[float, float]]:
    r_a, r_b = float(segments.radius_mm[a]), float(segments.radius_mm[b])
    way = segments.centre_mm[b] - segments.centre_mm[a]
    apart = float(np.hypot(*way))
    if apart <= 1e-9:
        return []
    along = (r_a**2 - r_b**2 + apart**2) / (2.0 * apart)
    square = r_a**2 - along**2
    if square < 0.0:
        return []
    way = way / apart
    middle = segments.centre_mm[a] + along * way
    across = math.sqrt(square) * np.array([-way[1], way[0]])
    return [(float(x), float(y)) for x, y in (middle + across, middle - across)]
