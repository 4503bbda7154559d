"""The speed that the machine reaches: exact for a constant limit on tangential acceleration.

Terms: w = v^2. Along a way s at constant acceleration a, w changes by 2 a s; so the highest speed
at a node is the least, over all nodes, of that node's limit plus 2 a times the way between them.
With the *energy coordinate* A = sum 2 a L this is a running minimum, forwards and backwards, and
one numpy call serves all the passes of a job: every pass begins and ends at rest, so nothing leaks
from one to the next.

The limits are decoupled: arcs are bound by centripetal, ramps of speed by tangential acceleration,
each with the full value. Against the time-optimal solution with a limit per axis that is 0 to 3.2 %
slower, and where an arc is entered under braking the resultant can reach 1.41 a
(tests/studies/path_timing.py).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, eq=False, slots=True)
class Profile:
    """Speed along n segments: each accelerates, cruises and brakes.

    Parameters
    ----------
    length_mm, limit_mm_s, acceleration_mm_s2 : array of shape (n,)
        As given.
    node_limit_mm_s : array of shape (n + 1,)
        Speed allowed at each node. [mm/s]
    node_speed_mm_s : array of shape (n + 1,)
        Speed reached at each node. [mm/s]
    peak_mm_s : array of shape (n,)
        Highest speed in each segment. [mm/s]
    """

    length_mm: NDArray[np.float64]
    limit_mm_s: NDArray[np.float64]
    acceleration_mm_s2: NDArray[np.float64]
    node_limit_mm_s: NDArray[np.float64]
    node_speed_mm_s: NDArray[np.float64]
    peak_mm_s: NDArray[np.float64]

    @property
    def phase_s(self) -> NDArray[np.float64]:
        """Time to accelerate, to cruise and to brake in each segment, shape (n, 3). [s]."""
        before, after = self.node_speed_mm_s[:-1], self.node_speed_mm_s[1:]
        peak, acceleration = self.peak_mm_s, self.acceleration_mm_s2
        up, down = (peak - before) / acceleration, (peak - after) / acceleration
        ramps_mm = (up * (before + peak) + down * (peak + after)) / 2.0
        cruise = np.maximum(self.length_mm - ramps_mm, 0.0) / peak
        return np.stack([up, cruise, down], axis=1)

    @property
    def time_s(self) -> NDArray[np.float64]:
        """Time of each segment, shape (n,). [s]."""
        return np.asarray(self.phase_s.sum(axis=1))


def speed_profile(
    length_mm: NDArray[np.float64],
    limit_mm_s: NDArray[np.float64],
    node_limit_mm_s: NDArray[np.float64],
    acceleration_mm_s2: ArrayLike,
) -> Profile:
    """Return the fastest speed within all limits.

    Equation: v_i^2 = min over k of (limit_k^2 + |A_i - A_k|), A = cumulated 2 a L; in a segment
    v_peak = min(sqrt(a L + (v_0^2 + v_1^2) / 2), limit).

    Parameters
    ----------
    length_mm : array of shape (n,)
        Length of each segment, above 0. [mm]
    limit_mm_s : array of shape (n,)
        Highest speed in each segment, above 0. [mm/s]
    node_limit_mm_s : array of shape (n + 1,)
        Highest speed at each node; 0 is a stop. [mm/s]
    acceleration_mm_s2 : float or array of shape (n,)
        Limit of the tangential acceleration, above 0. [mm/s2]

    Notes
    -----
    Exact; cutting a segment in two changes nothing. Energies of up to 1e10 mm2/s2 (5 km of cut at
    1 m/s2) keep speeds of 100 mm/s to 1e-8 mm/s.

    Examples
    --------
    100 mm from rest to rest at 99 mm/s and 1 m/s2 take L / v + v / a:

    >>> line = speed_profile(np.array([100.0]), np.array([99.0]), np.array([0.0, 0.0]), 1000.0)
    >>> round(float(line.time_s[0]), 6)
    1.109101

    References
    ----------
    Two-pass scan over the phase plane: textbook, from memory. Written as a running minimum: derived
    here, tested against a plain loop.
    """
    acceleration = np.broadcast_to(np.asarray(acceleration_mm_s2, np.float64), length_mm.shape)
    allowed = node_limit_mm_s.copy()
    np.minimum(allowed[:-1], limit_mm_s, out=allowed[:-1])
    np.minimum(allowed[1:], limit_mm_s, out=allowed[1:])
    gain = 2.0 * acceleration * length_mm
    energy = np.concatenate([[0.0], np.cumsum(gain)])
    square = allowed**2
    ahead = np.minimum.accumulate(square - energy) + energy
    behind = np.minimum.accumulate((square + energy)[::-1])[::-1] - energy
    # the sums round: a stop stays a stop, a limit a limit
    reached = np.clip(np.minimum(ahead, behind), 0.0, square)
    highest = (gain + reached[:-1] + reached[1:]) / 2.0
    speed = np.sqrt(reached)
    peak = np.minimum(np.sqrt(highest), limit_mm_s)
    # ... and a peak a hair below its own ends
    np.maximum(peak, np.maximum(speed[:-1], speed[1:]), out=peak)
    return Profile(length_mm, limit_mm_s, acceleration, allowed, speed, peak)


def corner_speed_mm_s(
    turn_rad: ArrayLike,
    deviation_mm: ArrayLike,
    fit_radius_mm: ArrayLike,
    acceleration_mm_s2: float,
) -> NDArray[np.float64]:
    """Return the speed through a corner that the machine may round by a small deviation.

    Equation: R = delta cos(b/2) / (1 - cos(b/2)), not above the radius that fits; v = sqrt(a R).

    Parameters
    ----------
    turn_rad : float or array
        Turn b of the path. [rad]
    deviation_mm : float or array
        Distance delta between corner and path. [mm]
    fit_radius_mm : float or array
        Largest arc that fits between the halves of the neighbours. [mm]
    acceleration_mm_s2 : float
        Centripetal limit a. [mm/s2]

    Notes
    -----
    Holds for 0 <= b <= pi. Without the fit a circle drawn in facets would run far too fast.

    Examples
    --------
    >>> round(float(corner_speed_mm_s(np.pi / 2, 0.01, np.inf, 1000.0)), 4)
    4.9135

    References
    ----------
    Plane geometry, derived: the arc inscribed in the corner at distance delta from the vertex.
    """
    cos = np.cos(np.abs(np.asarray(turn_rad, np.float64)) / 2.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        inscribed = np.where(cos < 1.0, np.asarray(deviation_mm) * cos / (1.0 - cos), np.inf)
    radius = np.minimum(inscribed, fit_radius_mm)
    return np.asarray(np.sqrt(acceleration_mm_s2 * np.maximum(radius, 0.0)))


def travel_time_s(
    distance_mm: ArrayLike, speed_mm_s: float, acceleration_mm_s2: float
) -> NDArray[np.float64]:
    """Return the time of a straight move from rest to rest.

    Equation: T = L / v + v / a where L >= v^2 / a, else 2 sqrt(L / a).

    Parameters
    ----------
    distance_mm : float or array
        Way L. [mm]
    speed_mm_s, acceleration_mm_s2 : float
        Limits v and a. [mm/s], [mm/s2]

    Examples
    --------
    >>> round(float(travel_time_s(100.0, 99.0, 3000.0)), 6)
    1.043101

    References
    ----------
    Uniform acceleration, textbook, from memory.
    """
    way = np.asarray(distance_mm, np.float64)
    long = way / speed_mm_s + speed_mm_s / acceleration_mm_s2
    short = 2.0 * np.sqrt(way / acceleration_mm_s2)
    return np.where(way * acceleration_mm_s2 >= speed_mm_s**2, long, short)
