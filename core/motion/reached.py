"""What the machine makes of the planned chip load: the feed per tooth really reached.

Terms: *weighted by length* means that every millimetre of the main cut counts the same, however
long the cutter stays on it. A *thin place* is where the feed per tooth is below a threshold.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.motion.records import Along


LEVEL = 1e-9
"""Values this close, as a share of the greatest, are one value."""


@dataclass(frozen=True, eq=False, slots=True)
class Spreads:
    """5 %, mean and maximum of a value on each of p passes, weighted by length, shape (p,)."""

    p5: NDArray[np.float64]
    mean: NDArray[np.float64]
    max: NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class ThinPlaces:
    """Where the feed per tooth stays below a threshold, on each of p passes.

    Parameters
    ----------
    length_mm : array of shape (p,)
        Way cut below the threshold. [mm]
    revolutions : array of shape (p,)
        Turns of the spindle meanwhile.
    worst : int array of shape (p,)
        Index of the slowest sample; -1 where no place is thin.
    """

    length_mm: NDArray[np.float64]
    revolutions: NDArray[np.float64]
    worst: NDArray[np.intp]


def feed_per_tooth_reached_mm(
    along: Along, spindle_speed_rpm: NDArray[np.float64], tooth_count: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the feed per tooth reached at each sample, f_z = v / (n z), shape (m,). [mm].

    Parameters
    ----------
    along : Along
        m samples on p passes.
    spindle_speed_rpm, tooth_count : array of shape (p,)
        Of each pass. [rpm], [1]
    """
    per_second = spindle_speed_rpm * tooth_count / 60.0
    return np.asarray(along.speed_mm_s / per_second[along.pass_index])


def spreads(value: NDArray[np.float64], along: Along) -> Spreads:
    """Return 5 %, mean and maximum of a value along each pass, weighted by length.

    Parameters
    ----------
    value : array of shape (m,)
        One value a sample, not negative.
    along : Along
        The samples.

    Notes
    -----
    For values that follow the speed the mean is within 0.2 %, the 5 % value within 2 % where ramps
    between different speeds lie side by side, else within 0.5 % (tests/studies/sampling.py).
    """
    if not len(value):
        return Spreads(np.empty(0), np.empty(0), np.empty(0))
    begin, weight = along.first[:-1], along.length_weight_mm
    length = np.add.reduceat(weight, begin)
    mean = np.add.reduceat(weight * value, begin) / length
    return Spreads(_low_share(value, along), mean, np.maximum.reduceat(value, begin))


def _low_share(
    value: NDArray[np.float64], along: Along, share: float = 0.05
) -> NDArray[np.float64]:
    """Return the value that is not reached on a share of each pass's length, shape (p,).

    The way below a value is known exactly at each sample's value: what stays level there counts as
    a step, what passes it counts half. In between the way grows with the square of the value, as it
    does with the square of the speed.
    """
    scale = 2.0 * max(float(value.max(initial=0.0)), 1e-300)
    # one sort for all passes: the whole part of the key is the pass; a stable sort finds the runs
    # that are in order already, and there are many
    order = np.argsort(along.pass_index + value / scale, kind="stable")
    ordered, of = value[order], along.pass_index[order]
    new = np.flatnonzero((np.diff(ordered) > LEVEL * scale) | (np.diff(of) != 0)) + 1
    first = np.concatenate([[0], new])
    weight = np.add.reduceat(along.length_weight_mm[order], first)
    level = np.add.reduceat(_level_mm(value, along, LEVEL * scale)[order], first)
    low = np.cumsum(weight) - (weight + level) / 2.0
    high = low + level
    ends = np.searchsorted(of[first], np.arange(len(along.first)))
    begins = np.concatenate([[0.0], np.cumsum(weight)])[ends]
    wanted = begins[:-1] + share * np.diff(begins)
    at = np.clip(np.searchsorted(high, wanted), ends[:-1], ends[1:] - 1)
    before = np.maximum(at - 1, ends[:-1])
    gap = np.where(before < at, low[at] - high[before], 0.0)
    part = np.divide(wanted - high[before], gap, out=np.ones_like(gap), where=gap > 0.0)
    square = ordered[first] ** 2
    found = square[before] + np.clip(part, 0.0, 1.0) * (square[at] - square[before])
    return np.asarray(np.sqrt(found))


def _level_mm(value: NDArray[np.float64], along: Along, tolerance: float) -> NDArray[np.float64]:
    """Return the way that each sample stands for and on which the value stays. [mm]."""
    step = np.diff(along.s_mm)
    step *= (np.abs(np.diff(value)) <= tolerance) & (np.diff(along.pass_index) == 0)
    level = np.zeros(len(value))
    level[:-1] = step / 2.0
    level[1:] += step / 2.0
    return np.minimum(level, along.length_weight_mm)


def thin_places(
    along: Along,
    below_mm: NDArray[np.float64],
    spindle_speed_rpm: NDArray[np.float64],
    tooth_count: NDArray[np.float64],
) -> ThinPlaces:
    """Return where each pass runs below a feed per tooth.

    Parameters
    ----------
    along : Along
        m samples on p passes.
    below_mm : array of shape (p,)
        The threshold of each pass. [mm]
    spindle_speed_rpm, tooth_count : array of shape (p,)
        Of each pass. [rpm], [1]

    Notes
    -----
    Exact for the motion as it is modelled: between two samples v grows evenly with the time and
    v^2 with the way, so the part below the threshold is known without a finer grid.
    """
    slow = below_mm * spindle_speed_rpm * tooth_count / 60.0
    speed, begin = along.speed_mm_s, along.first[:-1]
    of = along.pass_index[:-1]
    low, high = np.minimum(speed[:-1], speed[1:]), np.maximum(speed[:-1], speed[1:])
    same = along.pass_index[1:] == of
    way = np.diff(along.s_mm) * same * _part_below(slow[of] ** 2, low**2, high**2)
    time = np.diff(along.time_s) * same * _part_below(slow[of], low, high)
    count = len(below_mm)
    turns = np.bincount(of, time, minlength=count) * spindle_speed_rpm / 60.0
    length = np.asarray(np.bincount(of, way, minlength=count), np.float64)
    worst = np.where(length > 0.0, _slowest(speed, begin), -1)
    return ThinPlaces(length, turns, worst)


def _part_below(
    limit: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return which part of an even change from low to high lies below a limit."""
    rise = high - low
    whole = (low < limit).astype(np.float64)
    return np.clip(np.divide(limit - low, rise, out=whole, where=rise > 0.0), 0.0, 1.0)


def _slowest(speed: NDArray[np.float64], begin: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the index of the first of the slowest samples of each pass, shape (p,)."""
    least = np.minimum.reduceat(speed, begin)
    count = np.diff(np.append(begin, len(speed)))
    hits = np.flatnonzero(speed == np.repeat(least, count))
    return np.asarray(hits[np.searchsorted(hits, begin)])
