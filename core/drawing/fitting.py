"""The fewest lines and arcs through samples of a smooth curve, tangents kept.

One line is tried first, then one arc, then pairs of arcs that meet smoothly (*biarcs*) on halves,
quarters and so on until each stays within the tolerance. Biarcs keep the curve's tangents, so the
machine sees no corner where the curve has none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.placing import arc_rows

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.drawing.placing import Row

FLATTEST_BULGE = 1e-7
"""Below this an arc is drawn as the line it is: its height is 5e-8 of its chord."""


@dataclass(frozen=True, eq=False)
class Samples:
    """Points along a smooth curve and directions of travel there, each of shape (m, 2).

    Where a direction is missing (a control point drawn twice), the way to the neighbours stands in.
    """

    points: NDArray[np.float64]
    directions: NDArray[np.float64]

    def __post_init__(self) -> None:
        if not (np.isfinite(self.points).all() and np.isfinite(self.directions).all()):
            raise ValueError("a curve leaves the range of numbers")
        size = np.hypot(*self.directions.T)
        ways = np.gradient(self.points, axis=0)
        usable = size > 1e-9 * max(float(size.max(initial=0.0)), 1e-300)
        directions = np.where(usable[:, None], self.directions, ways)
        length = np.maximum(np.hypot(*directions.T), 1e-300)
        object.__setattr__(self, "directions", directions / length[:, None])


def fit(samples: Samples, tolerance: float) -> tuple[list[Row], float]:
    """Return lines and arcs through the first and the last sample.

    Returns
    -------
    rows : list of row
    deviation : float
        Greatest distance of a sample from its line or arc.
    """
    points = samples.points
    if float(np.ptp(points, axis=0).max()) <= 1e-12:
        return [], 0.0
    for attempt in (_line, _arc):
        rows, deviation = attempt(points)
        if deviation <= tolerance:
            return rows, deviation
    return _biarcs(samples, tolerance)


def _line(points: NDArray[np.float64]) -> tuple[list[Row], float]:
    start, end = points[0], points[-1]
    chord = end - start
    length = float(np.hypot(*chord))
    if length <= 1e-12:
        return [], math.inf
    along = (points - start) @ chord / length
    if np.any(np.diff(along) < -1e-9 * length):
        return [], math.inf  # it comes back on itself
    across = (points - start) @ np.array([-chord[1], chord[0]]) / length
    return [(*start.tolist(), *end.tolist(), 0.0)], float(np.abs(across).max())


def _arc(points: NDArray[np.float64]) -> tuple[list[Row], float]:
    closed = bool(np.all(np.abs(points[0] - points[-1]) <= 1e-9))
    third = len(points) // 3
    a, b, c = (
        points[0],
        points[len(points) // 2 if not closed else third],
        points[-1 - third * closed],
    )
    circle = circle_through(a, b, c)
    if circle is None:
        return [], math.inf
    centre, radius = circle
    rays = points - centre
    deviation = float(np.abs(np.hypot(*rays.T) - radius).max())
    turns = np.diff(np.unwrap(np.arctan2(rays[:, 1], rays[:, 0])))
    if turns.max() > 0.0 > turns.min():
        return [], math.inf
    sweep = float(turns.sum())
    begin = math.atan2(rays[0, 1], rays[0, 0])
    rows = list(arc_rows(float(centre[0]), float(centre[1]), radius, begin, sweep))
    # the ends stay where the curve ends, to the last digit
    rows[0] = (*points[0].tolist(), *rows[0][2:])
    rows[-1] = (*rows[-1][:2], *points[-1].tolist(), rows[-1][4])
    return rows, deviation


def circle_through(
    a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float] | None:
    """Return centre and radius of the circle through three points, None if they are in line."""
    (bx, by), (cx, cy) = b - a, c - a
    twice = 2.0 * (bx * cy - by * cx)
    if abs(twice) <= 1e-12 * (bx * bx + by * by + cx * cx + cy * cy):
        return None
    x = (cy * (bx * bx + by * by) - by * (cx * cx + cy * cy)) / twice
    y = (bx * (cx * cx + cy * cy) - cx * (bx * bx + by * by)) / twice
    return a + np.array([x, y]), math.hypot(x, y)


def _biarcs(samples: Samples, tolerance: float) -> tuple[list[Row], float]:
    """Return biarcs over spans of samples that are halved until they fit."""
    rows: list[Row] = []
    worst = 0.0
    spans = [(0, len(samples.points) - 1)]
    while spans:
        first, last = spans.pop()
        points = samples.points[first : last + 1]
        pair, deviation = _biarc(points, samples.directions[first], samples.directions[last])
        if deviation <= tolerance or last - first <= 1:
            rows += pair
            worst = max(worst, deviation if last - first > 1 else 0.0)
        else:
            middle = (first + last) // 2
            spans += [(middle, last), (first, middle)]
    return rows, worst


def _biarc(
    points: NDArray[np.float64], leaving: NDArray[np.float64], arriving: NDArray[np.float64]
) -> tuple[list[Row], float]:
    """Return two arcs that leave and arrive in given directions and meet smoothly.

    Of the possible pairs the one with equally long tangents is taken. Two samples without room
    between them are joined by a line.
    """
    start, end = points[0], points[-1]
    chord = end - start
    if len(points) == 2 or float(chord @ chord) <= 1e-24:
        return [(*start.tolist(), *end.tolist(), 0.0)], 0.0 if len(points) == 2 else math.inf
    both = leaving + arriving
    a, b = 2.0 * (1.0 - float(leaving @ arriving)), 2.0 * float(chord @ both)
    square = float(chord @ chord)
    if a > 1e-12:
        reach = (-b + math.sqrt(b * b + 4.0 * a * square)) / (2.0 * a)
    elif b > 1e-12 * square:
        reach = square / b
    else:
        return [], math.inf
    meeting = (start + end + reach * (leaving - arriving)) / 2.0
    first = _arc_from(start, leaving, meeting)
    second = _arc_from(end, -arriving, meeting)
    pair: list[Row] = [
        (*start.tolist(), *meeting.tolist(), first),
        (*meeting.tolist(), *end.tolist(), -second),
    ]
    if max(abs(first), abs(second)) > 1.0:
        return pair, math.inf
    return pair, _strayed(points[1:-1], pair)


def _arc_from(
    start: NDArray[np.float64], direction: NDArray[np.float64], end: NDArray[np.float64]
) -> float:
    """Return the bulge of the arc that leaves `start` in a direction and ends at `end`."""
    chord = end - start
    across = float(direction[0] * chord[1] - direction[1] * chord[0])
    # the tangent turns by half of the sweep to the chord; tan(half / 2) by the half-angle formula
    bulge = across / max(float(np.hypot(*chord)) + float(direction @ chord), 1e-300)
    return bulge if abs(bulge) > FLATTEST_BULGE else 0.0


def _strayed(points: NDArray[np.float64], rows: list[Row]) -> float:
    """Return the greatest distance of points from the nearer of a few rows."""
    distances = [_distance(points, row) for row in rows]
    return float(np.minimum.reduce(distances).max(initial=0.0))


def _distance(points: NDArray[np.float64], row: Row) -> NDArray[np.float64]:
    """Return the distance of points from a line or from an arc of at most half a turn."""
    start, end, bulge = np.array(row[:2]), np.array(row[2:4]), row[4]
    chord = end - start
    square = max(float(chord @ chord), 1e-300)
    share = (points - start) @ chord / square
    if bulge == 0.0:
        foot = start + np.clip(share, 0.0, 1.0)[:, None] * chord
        return _sizes(points - foot)
    reach = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = (start + end) / 2.0 + np.array([-chord[1], chord[0]]) * reach
    radius = math.sqrt(square) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    on_arc = np.abs(_sizes(points - centre) - radius)
    # with at most half a turn, what lies beside the chord's ends is nearer to an end
    at_ends = np.minimum(_sizes(points - start), _sizes(points - end))
    return np.where((share >= 0.0) & (share <= 1.0), on_arc, at_ends)


def _sizes(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.hypot(vectors[:, 0], vectors[:, 1]))
