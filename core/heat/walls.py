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
from core.heat.contact import Timeline, half_ways_mm
from core.heat.temperatures import Touch

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.contact import Runs
    from core.heat.estimates import Estimates
    from core.heat.pass_table import PassTable
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
    touch : Touch
        How the cutter touches each.
    """

    pass_index: NDArray[np.intp]
    sample: NDArray[np.intp]
    s_mm: NDArray[np.float64]
    is_sample: NDArray[np.bool_]
    exists: NDArray[np.bool_]
    rolled: NDArray[np.bool_]
    touch: Touch

    def xy_mm(self, along: Along, places: NDArray[np.intp]) -> NDArray[np.float64]:
        """Return the cutter's centre at some places, straight between samples. [mm]."""
        i = self.sample[places]
        j = np.minimum(i + 1, len(along.s_mm) - 1)
        step, into = along.s_mm[j] - along.s_mm[i], self.s_mm[places] - along.s_mm[i]
        share = np.divide(into, step, out=np.zeros_like(into), where=step > 0.0)
        return along.xy_mm[i] + (along.xy_mm[j] - along.xy_mm[i]) * share[:, None]


def wall_places(
    along: Along,
    runs: Runs,
    table: PassTable,
    thinnest: NDArray[np.float64],
    estimates: Estimates,
) -> WallPlaces:
    """Return the wall beside every sample, and the tips of mitred outside corners.

    Parameters
    ----------
    along : Along
        Samples.
    runs : Runs
        Their runs, r in number.
    table : PassTable
        The passes.
    thinnest : array of shape (r,)
        Mean chip thickness over feed per tooth, in the band where it is least.
    estimates : Estimates
        Spring-back, thin chip, dwell.
    """
    timeline = Timeline(along)
    tip_s, tip_run, tip_turn = _tips(runs, table)
    tip_pass = runs.pass_index[tip_run]
    tip_sample = timeline.interval(tip_s, tip_pass)
    sample = np.concatenate([np.arange(len(along.s_mm)), tip_sample])
    order = np.argsort(sample, kind="stable")
    sample = sample[order]
    place = np.concatenate([along.s_mm, tip_s])[order]
    run = np.concatenate([runs.of_sample, tip_run])[order]
    of = runs.pass_index[run]
    lost = _lost(runs, table)
    tip = order >= len(along.s_mm)
    exists = tip | (
        (place - runs.start_mm[run] >= lost[0][run]) & (runs.end_mm[run] - place >= lost[1][run])
    )
    turn = np.concatenate([_rolled(runs, table)[runs.of_sample], tip_turn])[order]
    radius = table.radius_mm[of]
    ways = half_ways_mm(runs, run, place, radius, estimates.wall_contact_mm.value)
    time, power = _contact(timeline, of, place, ways)
    way = ways[0] + ways[1]
    touch = _touch(table, of, (way, time, power), thinnest[run], turn, estimates)
    return WallPlaces(
        pass_index=of,
        sample=sample,
        s_mm=place,
        is_sample=~tip,
        exists=exists,
        rolled=~tip & (turn > 0.0),
        touch=touch,
    )


def unstopped(
    runs: Runs,
    table: PassTable,
    thinnest: NDArray[np.float64],
    speed_mm_s: NDArray[np.float64],
    estimates: Estimates,
) -> Touch:
    """Return how the cutter would touch each run if the machine never stopped, shape (r,).

    Parameters
    ----------
    runs : Runs
        The runs, r in number.
    table : PassTable
        The passes.
    thinnest, speed_mm_s : array of shape (r,)
        Mean chip thickness over feed per tooth, and the speed that each run allows. [mm/s]
    estimates : Estimates
        Spring-back, thin chip, dwell.
    """
    of = runs.pass_index
    radius, delta = table.radius_mm[of], estimates.wall_contact_mm.value
    alone = np.maximum(1.0 - radius * runs.towards_per_mm, ROLLED)
    straight = 2.0 * np.sqrt(2.0 * radius * delta)
    way = np.minimum(straight / np.sqrt(alone), runs.end_mm - runs.start_mm + straight)
    contact = (way, way / speed_mm_s, np.full(len(of), 0.5))
    return _touch(table, of, contact, thinnest, _rolled(runs, table), estimates)


def _touch(
    table: PassTable,
    of: NDArray[np.intp],
    contact: tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]],
    thinnest: NDArray[np.float64],
    turn_rad: NDArray[np.float64],
    estimates: Estimates,
) -> Touch:
    """Return touches from way, time and power of contacts; the chip is that of the mean feed."""
    way, time, power = contact
    rate = table.edge_rate_per_s[of]
    feed = way / time / rate
    cuts = feed > table.rubbing_mm[of]
    chip = np.where(cuts, feed * thinnest, 0.0)
    reach = 2.0 * np.sqrt(2.0 * table.radius_mm * estimates.wall_contact_mm.value)
    dwell = estimates.dwell_turns / table.turns_s + reach / table.feed_mm_s
    return Touch(
        thinness_per_m=1e3 / (chip + estimates.thin_chip_mm),
        effort=np.where(cuts, 1.0, 0.5),
        contact_s=time,
        contact_power=power,
        dwell_s=dwell[of],
        wedge=wedge_factor(turn_rad),
        edge_rate_per_s=rate,
        wear=table.wear[of],
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


def _lost(runs: Runs, table: PassTable) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the way at the start and end of each run where a mitre has no wall. [mm]."""
    radius = table.radius_mm[runs.pass_index]
    ahead = np.tan(np.clip(runs.turn_rad, 0.0, 3.0) / 2.0)
    return radius * ahead[:-1], radius * ahead[1:]


def _tips(
    runs: Runs, table: PassTable
) -> tuple[NDArray[np.float64], NDArray[np.intp], NDArray[np.float64]]:
    """Return place, run and turn of the tips of mitred outside corners, two a corner."""
    before, after = _lost(runs, table)
    fits = runs.end_mm - runs.start_mm >= before + after
    enter = np.flatnonzero((runs.turn_rad[:-1] > 0.0) & fits)
    leave = np.flatnonzero((runs.turn_rad[1:] > 0.0) & fits)
    begins, ends = runs.start_mm[enter] + before[enter], runs.end_mm[leave] - after[leave]
    place = np.concatenate([begins, ends])
    turn = np.concatenate([runs.turn_rad[enter], runs.turn_rad[leave + 1]])
    return place, np.concatenate([enter, leave]), turn


def _rolled(runs: Runs, table: PassTable) -> NDArray[np.float64]:
    """Return the turn of each run that rolls about a tip, else 0. [rad]."""
    on_tip = np.abs(1.0 - table.radius_mm[runs.pass_index] * runs.towards_per_mm) < ROLLED
    return np.where(on_tip, runs.towards_per_mm * (runs.end_mm - runs.start_mm), 0.0)
