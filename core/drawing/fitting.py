"""The fewest lines and arcs through samples of a smooth curve, tangents kept.

One line is tried first, then one arc, then pairs of arcs that meet smoothly (*biarcs*), each
reaching about as far as the tolerance lets it. Biarcs keep the curve's tangents, so the
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

QUARTER_TURN_BULGE = math.tan(math.pi / 8.0)
"""An arc of a biarc turns no further, so that samples cannot be mistaken for its far side."""

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
    return fit_simply(points, tolerance) or _biarcs(samples, tolerance)


def fit_simply(points: NDArray[np.float64], tolerance: float) -> tuple[list[Row], float] | None:
    """Return one line or one arc (a full circle in two halves) through samples, None if none."""
    for attempt in (_line, _arc):
        rows, deviation = attempt(points)
        if deviation <= tolerance:
            return rows, deviation
    return None


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
    """Return biarcs, each over about as many samples as it can span."""
    rows: list[Row] = []
    worst, first, last = 0.0, 0, len(samples.points) - 1
    size = last
    while first < last:
        size, pair, deviation = _longest(samples, first, min(2 * size, last - first), tolerance)
        rows += pair
        worst = max(worst, deviation)
        first += size
    return rows, worst


def _longest(
    samples: Samples, first: int, size: int, tolerance: float
) -> tuple[int, list[Row], float]:
    """Return how far one biarc reaches from a sample, the biarc, and its deviation.

    The reach is bracketed between a span that fits and one that does not, to an eighth of it.
    """

    def attempt(span: int) -> tuple[list[Row], float]:
        points = samples.points[first : first + span + 1]
        return _biarc(points, samples.directions[first], samples.directions[first + span])

    fits, best = 1, attempt(1)
    fails = size + 1
    while fails - fits > max(fits // 8, 1):
        tried = attempt(size)
        if tried[1] <= tolerance:
            fits, best = size, tried
        else:
            fails = size
        size = (fits + fails) // 2
    return fits, *best


def _biarc(
    points: NDArray[np.float64], leaving: NDArray[np.float64], arriving: NDArray[np.float64]
) -> tuple[list[Row], float]:
    """Return two arcs that leave and arrive in given directions and meet smoothly.

    Of the possible pairs the one with equally long tangents is taken. Two samples without room
    between them are joined by a line. Plane vectors are complex numbers here: a fit tries some
    thousand biarcs, and numbers are a third of the cost of arrays of two.
    """
    samples = points[:, 0] + 1j * points[:, 1]
    start, end = complex(samples[0]), complex(samples[-1])
    if len(points) == 2:
        return [(start.real, start.imag, end.real, end.imag, 0.0)], 0.0
    out, into, chord = complex(*leaving), complex(*arriving), end - start
    reach = _tangent_length(chord, out, into)
    if reach is None:
        return [], math.inf
    first_corner, second_corner = start + reach * out, end - reach * into
    meeting = (first_corner + second_corner) / 2.0
    first, second = _bulge(start, out, meeting), -_bulge(end, -into, meeting)
    if max(abs(first), abs(second)) > QUARTER_TURN_BULGE:
        return [], math.inf
    before = ((samples - meeting) * (second_corner - first_corner).conjugate()).real < 0.0
    off = np.where(
        before,
        _off_arc(samples, start, meeting, first),
        _off_arc(samples, meeting, end, second),
    )
    pair: list[Row] = [
        (start.real, start.imag, meeting.real, meeting.imag, first),
        (meeting.real, meeting.imag, end.real, end.imag, second),
    ]
    return pair, float(np.abs(off).max())


def _tangent_length(chord: complex, out: complex, into: complex) -> float | None:
    """Return the length of both tangents of a biarc, None where there is none.

    The tangents' corners lie twice that length apart: |chord - d (out + into)| = 2 d.
    """
    square = abs(chord) ** 2
    both = out + into
    along = (chord * both.conjugate()).real
    spread = 4.0 - abs(both) ** 2
    if spread > 1e-12:
        return (math.sqrt(along * along + spread * square) - along) / spread
    return square / (2.0 * along) if along > 1e-12 * square else None


def _bulge(start: complex, direction: complex, end: complex) -> float:
    """Return the bulge of the arc that leaves `start` in a direction and ends at `end`."""
    chord = (end - start) * direction.conjugate()
    # the tangent turns by half of the sweep to the chord; tan(half / 2) by the half-angle formula
    bulge = chord.imag / max(abs(chord) + chord.real, 1e-300)
    return bulge if abs(bulge) > FLATTEST_BULGE else 0.0


def _off_arc(
    points: NDArray[np.complex128], start: complex, end: complex, bulge: float
) -> NDArray[np.float64]:
    """Return how far points lie beside the carrier of an arc or a line."""
    chord = end - start
    if bulge == 0.0:
        return np.asarray(((points - start) * chord.conjugate()).imag / max(abs(chord), 1e-300))
    centre = (start + end) / 2.0 + 1j * chord * (1.0 - bulge * bulge) / (4.0 * bulge)
    radius = abs(chord) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    return np.asarray(np.abs(points - centre) - radius)
