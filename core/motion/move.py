"""From passes to motion: the limits of every segment, the profile, its samples and times.

Way in, main cut and way out are one continuous motion from rest to rest, so a main cut begins and
ends at the speed at which the leads are run through, and a start on the wall (no lead, or a sharp
corner into the cut) shows as what it is: a stop on the wall. Limits:

- the feed speed of the pass, everywhere, along the path in space;
- on a ramp or helix the plunge speed over the sine of its slope: the machine's limit on going down
  binds the vertical part only. The slight turn from the ramp to the level is run through, as a turn
  below `SHARP_RAD` is;
- on an arc sqrt(a r), with the radius in space of a ramped arc;
- in a sharp corner a stop, or the rounded corner's speed where the machine file allows a deviation;
- in a facet the speed of the arc that fits, so that a curve drawn in short lines runs like the arc;
- a plunge is a straight move from rest to rest at the plunge speed, before the way in;
- a peck of a drill is a straight move down from rest to rest at its share of the feed. Between two
  pecks the drill is lifted clear and let down again, both with the plunge speed.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.motion.jerk import cut_times_with_jerk_s
from core.motion.profile import Profile, corner_speed_mm_s, speed_profile, travel_time_s
from core.motion.records import Motion
from core.motion.sample import sample_cuts
from core.motion.track import SHARP_RAD, Track, lay_track

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.library.records import Machine
    from core.plan.records import Pass


def move(passes: Sequence[Pass], machine: Machine) -> Motion:
    """Return how the machine runs some passes.

    Parameters
    ----------
    passes : sequence of Pass
        The plan, p passes.
    machine : Machine
        Its acceleration, jerk, plunge speed and corner deviation bind.

    Returns
    -------
    Motion
        Samples along the main cuts and the times of each pass.

    Raises
    ------
    PlanError
        If a toolpath has no main cut.
    """
    track = lay_track(tuple(p.toolpath for p in passes))
    feed_mm_s = np.array([p.feed_speed_mm_min for p in passes], dtype=np.float64) / 60.0
    profile = profile_of(track, feed_mm_s, machine)
    seconds, count = profile.time_s, len(passes)
    cutting = _summed(seconds, track, track.is_cut, count)
    plunging = travel_time_s(
        track.plunge_mm, machine.plunge_mm_min / 60.0, machine.acceleration_mm_s2
    )
    return Motion(
        along=sample_cuts(track, profile),
        cutting_s=cutting,
        entering_s=_summed(seconds, track, ~track.is_cut, count)
        + plunging
        + _lifts_s(passes, machine),
        cutting_jerk_s=cut_times_with_jerk_s(
            profile,
            track.is_cut,
            track.pass_index,
            machine.acceleration_mm_s2,
            machine.jerk_mm_s3,
        ),
    )


def profile_of(track: Track, feed_mm_s: NDArray[np.float64], machine: Machine) -> Profile:
    """Return the speed along a track.

    Parameters
    ----------
    track : Track
        The way, p toolpaths.
    feed_mm_s : array of shape (p,)
        Feed speed of each. [mm/s]
    machine : Machine
        The machine that runs it.
    """
    acceleration = machine.acceleration_mm_s2
    with np.errstate(divide="ignore"):
        sine = track.slope / np.sqrt(1.0 + track.slope**2)
        plunge = machine.plunge_mm_min / 60.0 / np.where(track.fall_mm > 0.0, 1.0, sine)
        bend = np.sqrt(acceleration / track.curvature_per_mm)
    feed = feed_mm_s[track.pass_index] * track.feed_share
    limit = np.minimum(np.minimum(feed, plunge), bend)
    node = np.where(track.is_end, 0.0, np.inf)
    turns = np.flatnonzero(track.turn_rad)
    node[turns] = _turn_limit(track, turns, machine)
    return speed_profile(track.length_mm, limit, node, acceleration)


def _lifts_s(passes: Sequence[Pass], machine: Machine) -> NDArray[np.float64]:
    """Return the time in which drills are lifted clear between pecks, shape (p,). [s]."""
    found = np.zeros(len(passes))
    for number, one in enumerate(passes):
        clear = one.toolpath.z_top_mm + machine.nc.approach_mm
        ways = [
            way
            for before, after in pairwise(one.toolpath.pecks)
            for way in (clear - before.bottom_mm, clear - after.from_mm)
        ]
        if ways:
            found[number] = travel_time_s(
                np.array(ways), machine.plunge_mm_min / 60.0, machine.acceleration_mm_s2
            ).sum()
    return found


def _turn_limit(track: Track, turns: NDArray[np.intp], machine: Machine) -> NDArray[np.float64]:
    """Return the speed allowed in some turns. [mm/s]."""
    turn, fit = np.abs(track.turn_rad[turns]), track.fit_radius_mm[turns]
    deviation = machine.corner_deviation_mm or 0.0
    allowed = np.where(turn > SHARP_RAD, deviation, np.inf)
    return corner_speed_mm_s(turn, allowed, fit, machine.acceleration_mm_s2)


def _summed(
    seconds: NDArray[np.float64], track: Track, which: NDArray[np.bool_], count: int
) -> NDArray[np.float64]:
    """Return the time of chosen segments, summed over each toolpath, shape (p,). [s]."""
    total = np.bincount(track.pass_index[which], seconds[which], minlength=count)
    return np.asarray(total, np.float64)


def rapid_time_s(distance_mm: float, machine: Machine) -> float:
    """Return the time of a rapid move from rest to rest, without jerk. [s].

    Equation: see `travel_time_s`.
    """
    return float(
        travel_time_s(distance_mm, machine.rapid_mm_min / 60.0, machine.acceleration_mm_s2)
    )


def spindle_ramp_s(from_rpm: float, to_rpm: float, machine: Machine) -> float:
    """Return the time that the spindle needs to change its speed, up or down. [s].

    Equation: t = |n_2 - n_1| / rate; one rate for both ways is the machine file's simplification.
    """
    return abs(to_rpm - from_rpm) / machine.spindle_ramp_rpm_s
