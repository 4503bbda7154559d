"""Samples along the main cuts: dense where the machine is slow, sparse where it cruises.

Each segment brings its own samples from its start to its end, so a joint of two segments is two
samples at one place and time, and the curvature of a sample is never in doubt. Ramps of speed are
cut into equal steps of time, which crowd together near a stop.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.motion.records import Along

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.path import Segments
    from core.motion.profile import Profile
    from core.motion.track import Track

RAMP_CELLS = 16
"""Cells on a ramp between rest and the highest speed; see tests/studies/sampling.py."""

ARC_STEP_RAD = math.radians(30.0)
"""Longest arc between two samples; the arc itself is known from the curvature."""

SHORTEST_S = 1e-12
"""A phase shorter than this is rounding noise."""


def sample_cuts(track: Track, profile: Profile) -> Along:
    """Return samples along the main cuts of a track.

    Parameters
    ----------
    track : Track
        The way, n segments.
    profile : Profile
        The speed along it.

    Returns
    -------
    Along
        Both ends of every segment, the places where it stops to accelerate and begins to brake,
        and steps in between. The weights add up to the length and time of each main cut.
    """
    cut = np.flatnonzero(track.is_cut)
    cells = _cells(track, profile, cut)
    count = cells.sum(axis=1)
    last = np.cumsum(count) - 1
    first = last + 1 - count
    of = np.repeat(np.arange(len(cut)), count)
    into_mm, into_s, speed = _motion_in_phases(profile, cut, cells)
    # exactly at the ends: a stop is a speed of 0, not of 1e-14
    speed[first], speed[last] = profile.node_speed_mm_s[cut], profile.node_speed_mm_s[cut + 1]
    length, begins = track.length_mm[cut], track.first_cut
    into_mm[last] = length
    s_mm = into_mm + _since_start(length, begins)[of]
    time_s = into_s + _since_start(profile.phase_s[cut].sum(axis=1), begins)[of]
    bounds = np.append(first, len(of))[begins]
    time_weight = _halves(time_s, bounds)
    return Along(
        first=bounds,
        pass_index=track.pass_index[cut][of],
        s_mm=s_mm,
        xy_mm=_places(
            track.segments, cut[of], np.where(track.fall_mm[cut[of]] > 0.0, 0.0, into_mm)
        ),
        curvature_per_mm=track.segments.curvature_per_mm[cut][of],
        speed_mm_s=speed,
        time_s=time_s,
        length_weight_mm=speed * time_weight,
        time_weight_s=time_weight,
        corner_rad=_corners(track, profile, cut, first, last),
    )


def _cells(track: Track, profile: Profile, cut: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return how many samples each phase of a segment ends, shape (k, 4).

    Ahead of accelerating, cruising and braking stands a phase without duration and with one
    sample: the start of the segment.
    """
    speed = profile.node_speed_mm_s
    peak, seconds = profile.peak_mm_s[cut], profile.phase_s[cut]
    rise = np.column_stack([peak - speed[cut], np.zeros(len(cut)), peak - speed[cut + 1]])
    sweep = seconds * (peak * np.abs(track.segments.curvature_per_mm[cut]))[:, None]
    steps = np.maximum(RAMP_CELLS * rise / peak[:, None], sweep / ARC_STEP_RAD)
    count = np.maximum(np.ceil(steps - 1e-9), 1.0) * (seconds > SHORTEST_S)
    count[count.sum(axis=1) == 0.0, 1] = 1.0
    return np.column_stack([np.ones(len(cut)), count]).astype(np.intp)


def _motion_in_phases(
    profile: Profile, cut: NDArray[np.intp], cells: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return way, time and speed of each sample since the start of its segment."""
    before, peak = profile.node_speed_mm_s[cut], profile.peak_mm_s[cut]
    gain = profile.acceleration_mm_s2[cut]
    still = np.zeros(len(cut))
    up, cruise, down = profile.phase_s[cut].T
    speed = np.column_stack([before, before, peak, peak]).ravel()
    change = np.column_stack([still, gain, still, -gain]).ravel()
    up_mm = (before + peak) / 2.0 * up
    way = np.column_stack([still, still, up_mm, up_mm + peak * cruise]).ravel()
    begin = np.column_stack([still, still, up, up + cruise]).ravel()
    lasts = np.column_stack([still, up, cruise, down]).ravel()
    count = cells.ravel()
    step_s = lasts / np.maximum(count, 1)
    nth = np.arange(1.0, count.sum() + 1.0) - np.repeat(np.cumsum(count) - count, count)
    tau = nth * np.repeat(step_s, count)
    entered, gained = np.repeat(speed, count), np.repeat(change, count) * tau
    into_mm = np.repeat(way, count) + (entered + gained / 2.0) * tau
    return into_mm, np.repeat(begin, count) + tau, entered + gained


def _since_start(amount: NDArray[np.float64], begins: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return the sum of what lies before each segment in its own main cut, shape (k,)."""
    total = np.concatenate([[0.0], np.cumsum(amount)])
    return np.asarray(total[:-1] - np.repeat(total[begins[:-1]], np.diff(begins)))


def _places(
    segments: Segments, which: NDArray[np.intp], into_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return where the samples lie, given the way into their segments, shape (m, 2). [mm].

    With k s the turn since the start, the chord so far is 2 sin(k s / 2) / k long and has turned by
    k s / 2; for a line that is s and 0.
    """
    curve = segments.curvature_per_mm
    straight = curve == 0.0
    half = into_mm * (curve / 2.0)[which]
    sine, cosine = np.sin(half), np.cos(half)
    chord = sine * (2.0 / np.where(straight, 1.0, curve))[which]
    line = straight[which]
    chord[line] = into_mm[line]
    ahead, aside = chord * cosine, chord * sine
    cos, sin = np.cos(segments.heading_rad)[which], np.sin(segments.heading_rad)[which]
    xy = segments.start[which]
    xy[:, 0] += ahead * cos - aside * sin
    xy[:, 1] += ahead * sin + aside * cos
    return xy


def _halves(time_s: NDArray[np.float64], bounds: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return half of the time to both neighbours of the same pass, shape (m,). [s]."""
    gap = np.diff(time_s)
    gap[bounds[1:-1] - 1] = 0.0
    weight = np.zeros(len(time_s))
    weight[:-1] = gap / 2.0
    weight[1:] += gap / 2.0
    return weight


def _corners(
    track: Track,
    profile: Profile,
    cut: NDArray[np.intp],
    first: NDArray[np.intp],
    last: NDArray[np.intp],
) -> NDArray[np.float64]:
    """Return the turn at stops in sharp corners, on both samples of the joint. [rad]."""
    stops = np.where(profile.node_speed_mm_s == 0.0, track.turn_rad, 0.0)
    turn = np.zeros(last[-1] + 1 if len(last) else 0)
    turn[first], turn[last] = stops[cut], stops[cut + 1]
    return turn
