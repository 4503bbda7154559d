"""Where the cutter touches the wall, for how long, and with what chip.

Terms: at a *mitred* outside corner the cutter's centre runs on beyond the tip of the part, so the
cutter leaves the wall before the machine stops: those places have no wall. Round a *rolled* corner
it stays on the tip. In an inside corner the stop is on the wall and cannot be avoided.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.heat.conduction import wedge_factor
from core.heat.contact import Runs, Timeline, find_runs, half_ways_mm
from core.heat.temperatures import Touch

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.estimates import Estimates
    from core.heat.settings import Settings
    from core.motion.records import Along

ROLLED = 1e-6
"""1 - R k below this is a cutter that rolls about a tip."""


@dataclass(frozen=True, eq=False, slots=True)
class WallPlaces:
    """Places of the wall, k in number, those of a pass side by side.

    Parameters
    ----------
    pass_index, sample : int array of shape (k,)
        Pass, and the sample at or before the place.
    s_mm : array of shape (k,)
        Way along the main cut. [mm]
    is_sample, exists, rolled : bool array of shape (k,)
        Whether it is a sample (else the tip of a mitred corner), has a wall beside it, and is a tip
        that the cutter rolls about.
    first : int array of shape (p + 1,)
        Where each pass begins.
    free_mm_s : array of shape (k,)
        Speed there if the machine never stopped. [mm/s]
    touch, steady : Touch
        As it is, and as it would be if the machine never stopped.
    """

    pass_index: NDArray[np.intp]
    sample: NDArray[np.intp]
    s_mm: NDArray[np.float64]
    is_sample: NDArray[np.bool_]
    exists: NDArray[np.bool_]
    rolled: NDArray[np.bool_]
    first: NDArray[np.intp]
    free_mm_s: NDArray[np.float64]
    touch: Touch
    steady: Touch

    def xy_mm(self, along: Along, places: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return the cutter's centre at some places, straight between samples. [mm]."""
        i = self.sample[places]
        j = np.minimum(i + 1, len(along.s_mm) - 1)
        step, into = along.s_mm[j] - along.s_mm[i], self.s_mm[places] - along.s_mm[i]
        share = np.divide(into, step, out=np.zeros_like(into), where=step > 0.0)
        return along.xy_mm[i] + (along.xy_mm[j] - along.xy_mm[i]) * share[:, None]


def wall_places(
    along: Along,
    settings: Settings,
    thinnest: NDArray[np.float64],
    acceleration_mm_s2: float,
    estimates: Estimates,
) -> WallPlaces:
    """Return the wall beside every sample, and the tips of outside corners.

    Parameters
    ----------
    along : Along
        Samples, m in number.
    settings : Settings
        The passes.
    thinnest : array of shape (m,)
        Mean chip thickness over feed per tooth, in the band where it is least.
    acceleration_mm_s2 : float
        Of the machine: bounds the speed round arcs even without stops. [mm/s2]
    estimates : Estimates
        Spring-back, thin chip, dwell.
    """
    timeline = Timeline(along)
    runs = find_runs(along, settings.wall_side, settings.radius_mm)
    tip_s, tip_run, tip_turn = _tips(runs, settings)
    tip_pass = runs.pass_index[tip_run]
    tip_sample = timeline.interval(tip_s, tip_pass)
    sample = np.concatenate([np.arange(len(along.s_mm)), tip_sample])
    order = np.argsort(sample, kind="stable")
    sample = sample[order]
    place = np.concatenate([along.s_mm, tip_s])[order]
    run = np.concatenate([runs.of_sample, tip_run])[order]
    of = runs.pass_index[run]
    lost = _lost(runs, settings)
    tip = order >= len(along.s_mm)
    exists = tip | (
        (place - runs.start_mm[run] >= lost[0][run]) & (runs.end_mm[run] - place >= lost[1][run])
    )
    turn = np.concatenate([_rolled(runs, settings)[runs.of_sample], tip_turn])[order]
    bend = np.maximum(np.abs(runs.towards_per_mm[run]), 1e-12)
    free = np.minimum(settings.feed_mm_s[of], np.sqrt(acceleration_mm_s2 / bend))
    radius = settings.radius_mm[of]
    ways = half_ways_mm(runs, run, place, radius, estimates.wall_contact_mm.value)
    way = ways[0] + ways[1]
    time, power = _contact(timeline, of, place, ways)
    unstopped = np.minimum(way / free, time)
    toucher = _Toucher(settings, of, way, thinnest[sample], wedge_factor(turn), estimates)
    count = np.bincount(of, minlength=len(settings.diameter_mm))
    return WallPlaces(
        pass_index=of,
        sample=sample,
        s_mm=place,
        is_sample=~tip,
        exists=exists,
        rolled=~tip & (turn > 0.0),
        first=np.concatenate([[0], np.cumsum(count)]),
        free_mm_s=free,
        touch=toucher.touch(time, power),
        steady=toucher.touch(unstopped, np.full(len(place), 0.5)),
    )


@dataclass(frozen=True, eq=False, slots=True)
class _Toucher:
    """Makes touches of contact times: the chip is that of the mean feed during the contact."""

    settings: Settings
    of: NDArray[np.intp]
    way_mm: NDArray[np.float64]
    thinnest: NDArray[np.float64]
    wedge: NDArray[np.float64]
    estimates: Estimates

    def touch(self, contact_s: NDArray[np.float64], power: NDArray[np.float64]) -> Touch:
        settings, of, e = self.settings, self.of, self.estimates
        rate = settings.edge_rate_per_s[of]
        feed = self.way_mm / contact_s / rate
        cuts = feed > settings.rubbing_mm[of]
        chip = np.where(cuts, feed * self.thinnest, 0.0)
        reach = 2.0 * np.sqrt(2.0 * settings.radius_mm * e.wall_contact_mm.value)
        dwell = e.dwell_turns / settings.turns_s + reach / settings.feed_mm_s
        return Touch(
            thinness_per_m=1e3 / (chip + e.thin_chip_mm),
            effort=np.where(cuts, 1.0, 0.5),
            contact_s=contact_s,
            contact_power=power,
            dwell_s=dwell[of],
            wedge=self.wedge,
            edge_rate_per_s=rate,
            wear=settings.wear[of],
        )


def _contact(
    timeline: Timeline,
    of: NDArray[np.intp],
    place: NDArray[np.float64],
    ways: tuple[NDArray[np.float64], NDArray[np.float64]],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the contact time and d ln t / d ln delta: the way grows as the root of delta. [s]."""
    begin, speed_in = timeline.at(place - ways[0], of)
    end, speed_out = timeline.at(place + ways[1], of)
    time = np.maximum(end - begin, 1e-9)
    still = 1e-6
    edges = ways[0] / np.maximum(speed_in, still) + ways[1] / np.maximum(speed_out, still)
    return time, np.clip(0.5 * edges / time, 0.0, 0.5)


def _lost(runs: Runs, settings: Settings) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the way at the start and end of each run where a mitre has no wall. [mm]."""
    radius = settings.radius_mm[runs.pass_index]
    ahead = np.tan(np.clip(runs.turn_rad, 0.0, 3.0) / 2.0)
    return radius * ahead[:-1], radius * ahead[1:]


def _tips(
    runs: Runs, settings: Settings
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.float64]]:
    """Return place, run and turn of the tips of mitred outside corners, two a corner."""
    before, after = _lost(runs, settings)
    fits = runs.end_mm - runs.start_mm >= before + after
    enter = np.flatnonzero((runs.turn_rad[:-1] > 0.0) & fits)
    leave = np.flatnonzero((runs.turn_rad[1:] > 0.0) & fits)
    begins, ends = runs.start_mm[enter] + before[enter], runs.end_mm[leave] - after[leave]
    place = np.concatenate([begins, ends])
    turn = np.concatenate([runs.turn_rad[enter], runs.turn_rad[leave + 1]])
    return place, np.concatenate([enter, leave]), turn


def _rolled(runs: Runs, settings: Settings) -> NDArray[np.float64]:
    """Return the turn of each run that rolls about a tip, else 0. [rad]."""
    on_tip = np.abs(1.0 - settings.radius_mm[runs.pass_index] * runs.towards_per_mm) < ROLLED
    return np.where(on_tip, runs.towards_per_mm * (runs.end_mm - runs.start_mm), 0.0)
