"""The time with jerk counted: the upper end of the bracket of a cycle time.

Terms: a *run* here is a stretch of one speed limit without a turn that slows. Each run goes from
node to node with no acceleration at either end: the S-curve of seven phases. That is the fastest
point-to-point motion on a single run; over a contour it is slower than the fastest, which would
carry acceleration through a node. So the true time lies between the profile of core.motion.profile
(no jerk) and this one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.motion.profile import Profile

BISECTIONS = 50
"""Halvings of the bracket of a peak speed: 100 mm/s to 1e-13 mm/s."""


def ramp(
    from_mm_s: NDArray[np.float64], to_mm_s: NDArray[np.float64], acceleration: float, jerk: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return way and time of a change of speed with no acceleration at its ends.

    Equation: T = dv / a + a / j where dv >= a^2 / j, else 2 sqrt(dv / j); d = (v_0 + v_1) / 2 T.

    Parameters
    ----------
    from_mm_s, to_mm_s : array
        Speeds v_0 and v_1. [mm/s]
    acceleration, jerk : float
        Limits a and j. [mm/s2], [mm/s3]

    Examples
    --------
    >>> way, time = ramp(np.array([0.0]), np.array([100.0]), 2000.0, 50000.0)
    >>> round(float(way[0]), 6), round(float(time[0]), 6)
    (4.5, 0.09)

    References
    ----------
    Double-S velocity profile, textbook (Biagiotti and Melchiorri), from memory.
    """
    change = np.abs(to_mm_s - from_mm_s)
    time = np.where(
        change >= acceleration**2 / jerk,
        change / acceleration + acceleration / jerk,
        2.0 * np.sqrt(change / jerk),
    )
    return (from_mm_s + to_mm_s) / 2.0 * time, time


def reach_mm_s(
    from_mm_s: NDArray[np.float64], way_mm: NDArray[np.float64], acceleration: float, jerk: float
) -> NDArray[np.float64]:
    """Return the highest speed that a ramp reaches on a way: the inverse of `ramp`.

    Equation: a quadratic where the acceleration is reached; else, with x = sqrt(v_1 - v_0),
    x^3 + 2 v_0 x = d sqrt(j).

    Examples
    --------
    >>> reached = reach_mm_s(np.array([0.0]), np.array([4.5]), 2000.0, 50000.0)
    >>> round(float(reached[0]), 6)
    100.0
    """
    half = from_mm_s / acceleration + acceleration / (2.0 * jerk)
    rest = from_mm_s * acceleration / jerk - way_mm
    long = acceleration * (np.sqrt(np.maximum(half**2 - 2.0 * rest / acceleration, 0.0)) - half)
    short = _cubic_root(2.0 * from_mm_s, way_mm * np.sqrt(jerk)) ** 2
    return np.asarray(from_mm_s + np.where(long >= acceleration**2 / jerk, long, short))


def _cubic_root(slope: NDArray[np.float64], value: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the real x of x^3 + slope x = value, for slope and value not negative."""
    # the hyperbolic form keeps its digits where the one with roots subtracts equals
    scale = np.sqrt(np.maximum(slope, 1e-12) / 3.0)
    bent = 2.0 * scale * np.sinh(np.arcsinh(value / (2.0 * scale**3)) / 3.0)
    return np.where(slope > 1e-12, bent, np.cbrt(value))


def jerk_times_s(
    length_mm: NDArray[np.float64],
    limit_mm_s: NDArray[np.float64],
    node_limit_mm_s: NDArray[np.float64],
    acceleration_mm_s2: float,
    jerk_mm_s3: float,
) -> NDArray[np.float64]:
    """Return the time of each run between nodes that are passed without acceleration.

    Parameters
    ----------
    length_mm, limit_mm_s : array of shape (n,)
        Length and highest speed of each run. [mm], [mm/s]
    node_limit_mm_s : array of shape (n + 1,)
        Highest speed at each node, within the limits of both runs. [mm/s]
    acceleration_mm_s2, jerk_mm_s3 : float
        Limits a and j.

    Returns
    -------
    array of shape (n,)
        Times. [s]

    Notes
    -----
    Equal to the time-optimal point-to-point motion leg by leg (tests/core/motion/test_jerk.py).

    Examples
    --------
    A line of 100 mm at 99 mm/s, 2 m/s2, 50 m/s3, from rest to rest: L / v + v / a + a / j

    >>> line = np.array([100.0]), np.array([99.0]), np.array([0.0, 0.0])
    >>> round(float(jerk_times_s(*line, 2000.0, 50000.0)[0]), 6)
    1.099601
    """
    speed = _slowed(node_limit_mm_s, length_mm, acceleration_mm_s2, jerk_mm_s3)
    speed = _slowed(speed[::-1], length_mm[::-1], acceleration_mm_s2, jerk_mm_s3)[::-1]
    before, after = speed[:-1], speed[1:]
    peak = _peak(length_mm, before, after, limit_mm_s, acceleration_mm_s2, jerk_mm_s3)
    up_mm, up_s = ramp(before, peak, acceleration_mm_s2, jerk_mm_s3)
    down_mm, down_s = ramp(peak, after, acceleration_mm_s2, jerk_mm_s3)
    cruise = np.maximum(length_mm - up_mm - down_mm, 0.0) / peak
    return np.asarray(up_s + cruise + down_s)


def _slowed(
    limit: NDArray[np.float64], length: NDArray[np.float64], acceleration: float, jerk: float
) -> NDArray[np.float64]:
    """Return node speeds lowered to what a ramp from the node before reaches.

    Only nodes behind one that was lowered are looked at again, so a job takes a few rounds. Where
    several short runs follow each other a node may be lowered a little more than it had to be:
    still a motion within the limits, so the time stays an upper end.
    """
    speed = limit.copy()
    rising = np.flatnonzero(speed[1:] > speed[:-1])
    while len(rising):
        reached = reach_mm_s(speed[rising], length[rising], acceleration, jerk)
        lower = reached < speed[rising + 1]
        behind = rising[lower] + 1
        speed[behind] = reached[lower]
        behind = behind[behind < len(length)]
        rising = behind[speed[behind + 1] > speed[behind]]
    return speed


def _peak(
    length: NDArray[np.float64],
    before: NDArray[np.float64],
    after: NDArray[np.float64],
    limit: NDArray[np.float64],
    acceleration: float,
    jerk: float,
) -> NDArray[np.float64]:
    """Return the highest speed in each run: the limit, or what fits between both ramps."""
    peak = np.maximum(limit, np.maximum(before, after))

    def way(which: NDArray[np.intp], top: NDArray[np.float64]) -> NDArray[np.float64]:
        up, _ = ramp(before[which], top, acceleration, jerk)
        down, _ = ramp(top, after[which], acceleration, jerk)
        return up + down

    tight = np.flatnonzero(way(np.arange(len(length)), peak) > length)
    low, high = np.maximum(before, after)[tight], peak[tight]
    for _ in range(BISECTIONS if len(tight) else 0):
        middle = (low + high) / 2.0
        fits = way(tight, middle) <= length[tight]
        low, high = np.where(fits, middle, low), np.where(fits, high, middle)
    peak[tight] = low
    return peak


def cut_times_with_jerk_s(
    profile: Profile,
    is_cut: NDArray[np.bool_],
    pass_index: NDArray[np.intp],
    acceleration_mm_s2: float,
    jerk_mm_s3: float,
) -> NDArray[np.float64]:
    """Return the time of each main cut with jerk counted.

    Parameters
    ----------
    profile : Profile
        The profile without jerk; n segments.
    is_cut : bool array of shape (n,)
        Segments of the main cuts.
    pass_index : int array of shape (n,)
        Which of the p passes a segment belongs to, rising.
    acceleration_mm_s2, jerk_mm_s3 : float
        Limits a and j.

    Returns
    -------
    array of shape (p,)
        Times. [s]
    """
    limit, node = profile.limit_mm_s, profile.node_limit_mm_s
    key = np.ones(len(node), bool)
    # a node inside a run: neither slower than its segments nor a border of the main cut
    key[1:-1] = node[1:-1] < np.maximum(limit[1:], limit[:-1]) * (1.0 - 1e-9)
    key[1:-1] |= is_cut[1:] != is_cut[:-1]
    first = np.flatnonzero(key[:-1])
    time = jerk_times_s(
        np.add.reduceat(profile.length_mm, first),
        np.minimum.reduceat(limit, first),
        node[key],
        acceleration_mm_s2,
        jerk_mm_s3,
    )
    cut = is_cut[first]
    return np.asarray(np.bincount(pass_index[first][cut], time[cut]), np.float64)
