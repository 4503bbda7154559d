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

STRAYING = 324.0
"""Length cubed times change of curvature over the straying of a biarc; only a first guess."""

AIM = 0.7
"""Share of the tolerance that biarcs are spread to."""

ROUNDS = 2
"""How often joints are spread anew."""

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
    for attempt in (fit_line, _arc):
        found = attempt(points)
        if found is not None and found[1] <= tolerance:
            return found
    return None


def fit_line(points: NDArray[np.float64]) -> tuple[list[Row], float] | None:
    """Return the line from the first to the last point and how far the others lie beside it.

    None where they do not follow each other along it.
    """
    start, end = points[0], points[-1]
    (ax, ay), (bx, by) = start.tolist(), end.tolist()
    dx, dy = bx - ax, by - ay
    length = math.hypot(dx, dy)
    if length <= 1e-12:
        return None
    x, y = points[:, 0] - ax, points[:, 1] - ay
    along = x * dx + y * dy
    if (along[1:] < along[:-1] - 1e-9 * length * length).any():
        return None  # it comes back on itself
    return [(ax, ay, bx, by, 0.0)], float(np.abs(x * dy - y * dx).max()) / length


def _arc(points: NDArray[np.float64]) -> tuple[list[Row], float] | None:
    closed = bool(np.all(np.abs(points[0] - points[-1]) <= 1e-9))
    third = len(points) // 3
    a, b, c = (
        points[0],
        points[len(points) // 2 if not closed else third],
        points[-1 - third * closed],
    )
    circle = circle_through(a, b, c)
    if circle is None:
        return None
    centre, radius = circle
    rays = points - centre
    deviation = float(np.abs(np.hypot(*rays.T) - radius).max())
    turns = np.diff(np.unwrap(np.arctan2(rays[:, 1], rays[:, 0])))
    if turns.max() > 0.0 > turns.min():
        return None
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
    """Return biarcs through samples, about as few as the change of curvature asks for.

    Plane vectors are complex numbers here and all biarcs of a curve are made at once. Where they
    stray less or more than they may the joints are spread or crowded, a few times over; what
    still strays too far is halved.
    """
    points = samples.points[:, 0] + 1j * samples.points[:, 1]
    ways = samples.directions[:, 0] + 1j * samples.directions[:, 1]
    joints, need = _first_joints(points, ways, tolerance)
    for _ in range(ROUNDS):
        strayed = _strayed(points, joints, _pairs_between(points[joints], ways[joints]))
        # straying grows with the cube of the length
        share = np.cbrt(np.clip(strayed / (AIM * tolerance), 0.05, 8.0))
        need = need * np.repeat(share, np.diff(joints))
        joints = _joints(need)
    while True:
        pairs = _pairs_between(points[joints], ways[joints])
        strayed = _strayed(points, joints, pairs)
        wide = np.flatnonzero((strayed > tolerance) & (np.diff(joints) > 1))
        if not len(wide):
            return pairs.rows(), float(strayed[np.isfinite(strayed)].max(initial=0.0))
        joints = np.sort(np.append(joints, (joints[wide] + joints[wide + 1]) // 2))


def _first_joints(
    points: NDArray[np.complex128], ways: NDArray[np.complex128], tolerance: float
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """Return a first guess of the joints, and how many biarcs each step between samples needs.

    A biarc over a length h strays in proportion to h^3 times the change of curvature.
    """
    steps = np.maximum(np.abs(np.diff(points)), 1e-300)
    curvature = np.angle(ways[1:] * ways[:-1].conjugate()) / steps
    change = np.abs(np.diff(curvature)) / ((steps[1:] + steps[:-1]) / 2.0)
    need = steps * np.cbrt(np.concatenate([change[:1], change]) / (STRAYING * tolerance))
    need = np.maximum(need, 1e-9 / len(need))
    return _joints(need), need


def _joints(need: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the samples that part the need evenly, the two ends included."""
    total = np.concatenate([[0.0], np.cumsum(need)])
    count = max(math.ceil(min(total[-1], len(need))), 1)
    inner = np.searchsorted(total, total[-1] * np.arange(1, count) / count)
    return np.unique(np.concatenate([[0], inner, [len(need)]]))


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Biarcs, each from `start` by `meeting` to `end`, with the bulges of its arcs.

    `along` is the direction of travel at the meeting; `usable` is false where there is no biarc,
    which is then a line.
    """

    start: NDArray[np.complex128]
    meeting: NDArray[np.complex128]
    end: NDArray[np.complex128]
    first: NDArray[np.float64]
    second: NDArray[np.float64]
    along: NDArray[np.complex128]
    usable: NDArray[np.bool_]

    def rows(self) -> list[Row]:
        """Return lines and arcs in order."""
        out: list[Row] = []
        for a, m, b, p, q, usable in zip(
            *(v.tolist() for v in (self.start, self.meeting, self.end, self.first, self.second)),
            self.usable.tolist(),
            strict=True,
        ):
            if usable:
                out.append((a.real, a.imag, m.real, m.imag, p))
                out.append((m.real, m.imag, b.real, b.imag, q))
            elif a != b:
                out.append((a.real, a.imag, b.real, b.imag, 0.0))
        return out


def _pairs_between(points: NDArray[np.complex128], ways: NDArray[np.complex128]) -> _Pairs:
    """Return biarcs between joints that leave and arrive in given directions.

    Of the possible pairs the one with equally long tangents d is taken: their corners lie twice
    that length apart, |chord - d (out + into)| = 2 d.
    """
    start, end, out, into = points[:-1], points[1:], ways[:-1], ways[1:]
    chord, both = end - start, out + into
    square = np.abs(chord) ** 2
    along = (chord * both.conjugate()).real
    spread = 4.0 - np.abs(both) ** 2
    straight = spread < 1e-12
    root = np.sqrt(along**2 + np.maximum(spread, 0.0) * square)
    reach = np.where(
        straight,
        square / np.maximum(2.0 * along, 1e-300),
        (root - along) / np.maximum(spread, 1e-12),
    )
    corner, other = start + reach * out, end - reach * into
    meeting = (corner + other) / 2.0
    first, second = _bulges(start, out, meeting), -_bulges(end, -into, meeting)
    usable = np.maximum(np.abs(first), np.abs(second)) <= QUARTER_TURN_BULGE
    usable &= ~straight | (along > 1e-12 * square)
    return _Pairs(start, meeting, end, first, second, other - corner, usable)


def _bulges(
    start: NDArray[np.complex128], way: NDArray[np.complex128], end: NDArray[np.complex128]
) -> NDArray[np.float64]:
    """Return the bulges of arcs that leave `start` in a direction and end at `end`."""
    chord = (end - start) * way.conjugate()
    # the tangent turns by half of the sweep to the chord; tan(half / 2) by the half-angle formula
    bulge = chord.imag / np.maximum(np.abs(chord) + chord.real, 1e-300)
    return np.where(np.abs(bulge) > FLATTEST_BULGE, bulge, 0.0)


def _strayed(
    points: NDArray[np.complex128], joints: NDArray[np.intp], pairs: _Pairs
) -> NDArray[np.float64]:
    """Return how far the samples between two joints stray from their biarc, inf without one."""
    which = np.repeat(np.arange(len(joints) - 1), np.diff(joints))
    inner = points[:-1]
    before = ((inner - pairs.meeting[which]) * pairs.along[which].conjugate()).real < 0.0
    start = np.where(before, pairs.start[which], pairs.meeting[which])
    end = np.where(before, pairs.meeting[which], pairs.end[which])
    bulge = np.where(before, pairs.first[which], pairs.second[which])
    chord = np.where(end == start, 1.0, end - start)
    beside = ((inner - start) * chord.conjugate()).imag / np.abs(chord)
    bent = np.where(bulge == 0.0, 1.0, bulge)
    centre = (start + end) / 2.0 + 1j * chord * (1.0 - bent**2) / (4.0 * bent)
    radius = np.abs(chord) * (1.0 + bent**2) / (4.0 * np.abs(bent))
    off = np.abs(np.where(bulge == 0.0, beside, np.abs(inner - centre) - radius))
    worst = np.maximum.reduceat(off, joints[:-1])
    return np.where(pairs.usable, worst, np.inf)
