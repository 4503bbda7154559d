"""The line or circle that carries each segment, in one form that knows no centre.

A *carrier* passes through a point p with unit tangent t and signed curvature k (left positive).
With the left normal n and w = x - p it is the set where

    f(x) = n . w - k / 2 |w|^2 = 0,     gradient n - k w, of length 1 on the carrier,

so f is the distance to the left of it, to first order. Lines are the case k = 0, and arcs so flat
that their centre lies kilometres away lose no digits. Two carriers meet where the f of the more
bent one and a combination of both that is linear in x vanish: one quadratic equation for all cases.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]


def dot(a: Array, b: Array) -> Array:
    """Scalar product of rows, shape (n,)."""
    product: Array = a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1]
    return product


def cross(a: Array, b: Array) -> Array:
    """Cross product of rows, positive when b lies left of a, shape (n,)."""
    product: Array = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return product


def span(a: Array) -> Array:
    """Length of rows, shape (n,)."""
    length: Array = np.hypot(a[..., 0], a[..., 1])
    return length


def left_of(a: Array) -> Array:
    """Rows turned by a quarter to the left, shape (n, 2)."""
    turned = np.empty_like(a)
    turned[..., 0], turned[..., 1] = -a[..., 1], a[..., 0]
    return turned


@dataclass(frozen=True, eq=False, slots=True)
class Carriers:
    """Lines and circles: `point` (n, 2) [mm], unit `tangent` (n, 2), `curvature` (n,) [1/mm]."""

    point: Array
    tangent: Array
    curvature: Array

    def __getitem__(self, which: NDArray[np.intp] | NDArray[np.bool_]) -> Carriers:
        return Carriers(self.point[which], self.tangent[which], self.curvature[which])

    def left_distance(self, at: Array) -> Array:
        """First-order distance of points to the left of their carrier, shape (n,). [mm]."""
        away = at - self.point
        return cross(self.tangent, away) - self.curvature / 2.0 * dot(away, away)

    def half_sweep(self, start: Array, chord: Array) -> Array:
        """Half the sweep from points on the carriers along chords to others, left positive [rad].

        Forwards it lies within a quarter turn for an arc of half a turn, and is 0 for a line.
        """
        tangent = self.tangent_at(start)
        half: Array = np.arctan2(cross(tangent, chord), dot(tangent, chord))
        return half

    def tangent_at(self, at: Array) -> Array:
        """Return the unit tangent at points on the carrier, shape (n, 2)."""
        inward = left_of(self.tangent) - self.curvature[:, None] * (at - self.point)
        return -left_of(inward)


def nearer(one: Array, other: Array, aim: Array) -> Array:
    """Return of two sets of points row by row the one nearer to the aim; nan loses."""
    with np.errstate(invalid="ignore"):
        farther = ~(span(one - aim) <= span(other - aim)) & np.isfinite(other[:, 0])
    return np.where(farther[:, None], other, one)


def crossings(a: Carriers, b: Carriers) -> tuple[Array, Array]:
    """Return the two points where carriers meet, pair by pair.

    Returns
    -------
    near, far : arrays of shape (n, 2)
        The points, nan where there is none; `far` is the one that a line does not have. [mm]
    """
    swap = np.abs(b.curvature) > np.abs(a.curvature)
    turned = swap[:, None]
    bent, flat = np.where(swap, b.curvature, a.curvature), np.where(swap, a.curvature, b.curvature)
    normal = left_of(np.where(turned, b.tangent, a.tangent))
    other = np.where(turned, a.tangent, b.tangent)
    # seen from a point of the more bent one: from far off a small circle would lose its digits
    origin = np.where(turned, b.point, a.point)
    gap = np.where(turned, a.point, b.point) - origin
    with np.errstate(all="ignore"):
        share = np.where(bent == 0.0, 0.0, flat / bent)
        slope = left_of(other) + flat[:, None] * gap - share[:, None] * normal
        level = -cross(other, gap) - flat / 2.0 * dot(gap, gap)
        foot = -slope * (level / dot(slope, slope))[:, None]
        along = left_of(slope) / span(slope)[:, None]
        near, far = _quadratic(bent, normal, foot, along)
        return origin + foot + near[:, None] * along, origin + foot + far[:, None] * along


def _quadratic(bent: Array, normal: Array, foot: Array, along: Array) -> tuple[Array, Array]:
    """Solve c + B t - k / 2 t^2 = 0 for the way t along the radical line, stable for k = 0."""
    constant = dot(normal, foot) - bent / 2.0 * dot(foot, foot)
    linear = dot(normal, along)
    # nan where the carriers are apart
    half = linear + np.copysign(np.sqrt(linear**2 + 2.0 * bent * constant), linear)
    return -2.0 * constant / half, np.where(bent == 0.0, np.nan, half / bent)
