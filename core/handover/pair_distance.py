"""The exact distance between two lines or arcs, pair by pair, and whether they cross.

The nearest points of two pieces are an end of one, or a place where both run square to the line
between them: for a line and an arc the foot of the arc's centre, for two arcs the line through both
centres. Each such place of one piece is held against the whole other piece.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

CROSSING_MM = 1e-7
"""A crossing of the carriers counts where it lies on both pieces within this."""

FARTHEST_MM = 1e7
"""Lines that all but run alongside each other cross farther away than any machine reaches."""

LEAST_MM2 = 1e-24
"""Squares of lengths below this are of no length."""


@dataclass(frozen=True, eq=False, slots=True)
class Pieces:
    """n lines (sweep 0) and arcs of up to a whole turn.

    Parameters
    ----------
    start, end, centre : array of shape (n, 2)
        Centre: nan for lines. [mm]
    sweep_rad : array of shape (n,)
        Turn, left positive. [rad]
    """

    start: Array
    end: Array
    centre: Array
    sweep_rad: Array

    def __len__(self) -> int:
        return len(self.sweep_rad)

    def __getitem__(self, which: NDArray[np.intp]) -> Pieces:
        return Pieces(self.start[which], self.end[which], self.centre[which], self.sweep_rad[which])

    @property
    def is_arc(self) -> NDArray[np.bool_]:
        """Which are arcs."""
        arcs: NDArray[np.bool_] = self.sweep_rad != 0.0
        return arcs

    @property
    def radius_mm(self) -> Array:
        """Radius of arcs, nan for lines. [mm]."""
        radius: Array = np.hypot(*(self.start - self.centre).T)
        return radius

    def boxes_mm(self) -> tuple[Array, Array]:
        """Low and high corners of boxes around them, two of shape (n, 2). [mm]."""
        low, high = np.minimum(self.start, self.end), np.maximum(self.start, self.end)
        arc, radius = self.is_arc, self.radius_mm[:, None]
        reach = np.where(arc[:, None], radius, 0.0)
        middle = np.where(arc[:, None], self.centre, self.start)
        # the whole circle's box: larger than need be, and never too small
        low = np.where(arc[:, None], np.minimum(middle - reach, low), low)
        return low, np.where(arc[:, None], np.maximum(middle + reach, high), high)


def point_distance(points: Array, pieces: Pieces) -> Array:
    """Return the distance of points from pieces, pair by pair, shape (n,). [mm]."""
    start, end = pieces.start, pieces.end
    delta, away = end - start, points - start
    square = np.maximum((delta**2).sum(axis=1), LEAST_MM2)
    share = np.clip((away * delta).sum(axis=1) / square, 0.0, 1.0)
    line = np.hypot(*(away - delta * share[:, None]).T)
    out, ray = start - pieces.centre, points - pieces.centre
    turn = np.arctan2(ray[:, 1], ray[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    turn = np.mod(np.copysign(1.0, pieces.sweep_rad) * turn, 2.0 * math.pi)
    inside = turn <= np.abs(pieces.sweep_rad)
    aside = np.abs(np.hypot(*ray.T) - pieces.radius_mm)
    ends = np.minimum(np.hypot(*away.T), np.hypot(*(points - end).T))
    distance: Array = np.where(pieces.is_arc, np.where(inside, aside, ends), line)
    return distance


def pair_distance(one: Pieces, other: Pieces) -> Array:
    """Return the distance between pieces, pair by pair, shape (n,); 0 where they cross. [mm]."""
    least = np.minimum(point_distance(one.start, other), point_distance(one.end, other))
    least = np.minimum(least, point_distance(other.start, one))
    least = np.minimum(least, point_distance(other.end, one))
    for a, b in ((one, other), (other, one)):
        for probe in _square_places(a, b):
            on = np.isfinite(probe[:, 0]) & (
                _off(probe, a) < 1e-9 * (1.0 + np.abs(probe).max(axis=1))
            )
            reach = np.where(on, point_distance(np.nan_to_num(probe), b), np.inf)
            least = np.minimum(least, reach)
    for point in _crossings(one, other):
        known: NDArray[np.bool_] = np.abs(point).max(axis=1) < FARTHEST_MM
        place = np.where(known[:, None], point, 0.0)
        on = point_distance(place, one) < CROSSING_MM
        on &= point_distance(place, other) < CROSSING_MM
        least = np.where(known & on, 0.0, least)
    return least


def _off(points: Array, pieces: Pieces) -> Array:
    return np.where(
        np.isfinite(points[:, 0]), point_distance(np.nan_to_num(points), pieces), np.inf
    )


def _square_places(one: Pieces, other: Pieces) -> list[Array]:
    """Return places on one piece where it runs square to the way to the other; nan for none."""
    arc, towards = one.is_arc[:, None], other.is_arc[:, None]
    delta = one.end - one.start
    square = np.maximum((delta**2).sum(axis=1), LEAST_MM2)
    share = ((other.centre - one.start) * delta).sum(axis=1) / square
    foot = one.start + delta * share[:, None]
    line = other.end - other.start
    normal = np.column_stack([-line[:, 1], line[:, 0]])
    ray = np.where(towards, other.centre - one.centre, normal)
    long = np.hypot(*ray.T)
    unit = ray / np.where(long > 0.0, long, 1.0)[:, None]
    reach = unit * one.radius_mm[:, None]
    nothing = np.full_like(foot, np.nan)
    near = np.where(arc, one.centre + reach, np.where(towards, foot, nothing))
    far = np.where(arc, one.centre - reach, nothing)
    return [near, far]


def _crossings(one: Pieces, other: Pieces) -> list[Array]:
    """Return the points in which the carriers of two pieces cross; nan where they do not."""
    both = one.is_arc & other.is_arc
    neither = ~one.is_arc & ~other.is_arc
    mixed = ~both & ~neither
    line_first = mixed & other.is_arc
    straight = _line_line(one, other)
    start = np.where(line_first[:, None], one.start, other.start)
    end = np.where(line_first[:, None], one.end, other.end)
    centre = np.where(line_first[:, None], other.centre, one.centre)
    radius = np.where(line_first, other.radius_mm, one.radius_mm)
    near, far = _line_circle(start, end - start, centre, radius)
    left, right = _circle_circle(one.centre, one.radius_mm, other.centre, other.radius_mm)
    first = np.where(neither[:, None], straight, np.where(mixed[:, None], near, left))
    second = np.where(neither[:, None], np.nan, np.where(mixed[:, None], far, right))
    return [first, second]


def _line_line(one: Pieces, other: Pieces) -> Array:
    a, b, gap = one.end - one.start, other.end - other.start, other.start - one.start
    with np.errstate(divide="ignore", invalid="ignore"):
        share = _cross(gap, b) / _cross(a, b)
        return one.start + a * share[:, None]


def _line_circle(start: Array, delta: Array, centre: Array, radius: Array) -> tuple[Array, Array]:
    with np.errstate(divide="ignore", invalid="ignore"):
        square = (delta**2).sum(axis=1)
        foot = start + delta * (((centre - start) * delta).sum(axis=1) / square)[:, None]
        half = np.sqrt(radius**2 - ((centre - foot) ** 2).sum(axis=1))
        step = delta * (half / np.sqrt(square))[:, None]
        return foot - step, foot + step


def _circle_circle(c1: Array, r1: Array, c2: Array, r2: Array) -> tuple[Array, Array]:
    with np.errstate(divide="ignore", invalid="ignore"):
        way = c2 - c1
        gap = np.hypot(*way.T)
        along = (gap**2 + r1**2 - r2**2) / (2.0 * gap)
        half = np.sqrt(r1**2 - along**2)
        unit = way / gap[:, None]
        middle = c1 + unit * along[:, None]
        aside = np.column_stack([-unit[:, 1], unit[:, 0]]) * half[:, None]
        return middle + aside, middle - aside


def _cross(a: Array, b: Array) -> Array:
    product: Array = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return product
