"""How long the cutter touches each place of the wall, in closed form at the samples of a path.

Terms: a wall point is *touched* while the cutter's circumference is nearer to it than delta, the
spring-back. The *gap* grows with the way u of the cutter's centre as u^2 (1 - R k) / (2 R), k the
curvature of the centre's path towards the wall (in a hole k < 0), so the cutter lets go at
u = sqrt(2 R delta / (1 - R k)). A *run* is a stretch of one curvature without a sharp corner.
Behind its end the gap goes on growing from where it was, with the slope of the corner and the
curvature of the next run. The time is then read off the timeline, exactly, because v^2 is linear in
the way between two samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.motion.records import Along

LEAST_CURVE = 1e-12
"""1 - R k below this: the cutter turns about the wall point (rolled corner) and never leaves it."""

JOINT_MM = 1e-6
"""Two samples nearer than this are the two sides of a joint."""


@dataclass(frozen=True, eq=False)
class Timeline:
    """Place and speed over time of all main cuts, one behind the other.

    Parameters
    ----------
    along : Along
        Samples of the main cuts, m of p passes.
    """

    along: Along

    @cached_property
    def length_mm(self) -> NDArray[np.float64]:
        """Length of each main cut, shape (p,). [mm]."""
        return self.along.s_mm[self.along.first[1:] - 1]

    @cached_property
    def offset_mm(self) -> NDArray[np.float64]:
        """What to add to `s_mm` of a pass so that all passes stand in line, shape (p,). [mm]."""
        return np.concatenate([[0.0], np.cumsum(self.length_mm + 1.0)[:-1]])

    @cached_property
    def _way_mm(self) -> NDArray[np.float64]:
        return self.along.s_mm + self.offset_mm[self.along.pass_index]

    def interval(self, s_mm: NDArray[np.float64], of: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return the sample that begins the interval in which each place lies, shape (k,)."""
        found = np.searchsorted(self._way_mm, s_mm + self.offset_mm[of], side="right") - 1
        first = self.along.first
        return np.clip(found, first[of], np.maximum(first[of + 1] - 2, first[of]))

    def at(
        self, s_mm: NDArray[np.float64], of: NDArray[np.intp]
    ) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return time and speed at places of the passes `of`, shape (k,) each. [s], [mm/s].

        Beyond an end the cut is continued as its mirror image: what the cutter does on its way in,
        it is taken to have done in reverse before.
        """
        length = self.length_mm[of]
        inside = np.clip(np.where(s_mm > length, 2.0 * length - s_mm, np.abs(s_mm)), 0.0, length)
        i = self.interval(inside, of)
        j = np.minimum(i + 1, len(self.along.s_mm) - 1)
        speed, s = self.along.speed_mm_s, self.along.s_mm
        step = s[j] - s[i]
        share = np.divide(inside - s[i], step, out=np.zeros_like(inside), where=step > 0.0)
        square = speed[i] ** 2 + (speed[j] ** 2 - speed[i] ** 2) * np.clip(share, 0.0, 1.0)
        reached = np.sqrt(square)
        mean = np.maximum((speed[i] + reached) / 2.0, 1e-12)
        since = np.where(inside > s[i], (inside - s[i]) / mean, 0.0)
        time = np.minimum(self.along.time_s[i] + since, self.along.time_s[j])
        end = self.along.time_s[self.along.first[of + 1] - 1]
        mirrored = np.where(s_mm < 0.0, -time, np.where(s_mm > length, 2.0 * end - time, time))
        return mirrored, reached


@dataclass(frozen=True, eq=False)
class Runs:
    """Stretches of one curvature without a sharp corner.

    Parameters
    ----------
    of_sample : int array of shape (m,)
        Run of each sample.
    begin : int array of shape (r,)
        First sample of each run.
    pass_index : int array of shape (r,)
        Pass of each run.
    start_mm, end_mm : array of shape (r,)
        Where it lies on its main cut. [mm]
    towards_per_mm : array of shape (r,)
        Curvature of the centre's path, positive towards the wall. [1/mm]
    turn_rad : array of shape (r + 1,)
        Turn before each run, positive towards the wall; 0 where a pass begins or ends. [rad]
    """

    of_sample: NDArray[np.intp]
    begin: NDArray[np.intp]
    pass_index: NDArray[np.intp]
    start_mm: NDArray[np.float64]
    end_mm: NDArray[np.float64]
    towards_per_mm: NDArray[np.float64]
    turn_rad: NDArray[np.float64]


def find_runs(along: Along, wall_side: NDArray[np.intp], radius_mm: NDArray[np.float64]) -> Runs:
    """Return the runs of all main cuts.

    Parameters
    ----------
    along : Along
        The samples; a joint is two samples at one place.
    wall_side : int array of shape (p,)
        +1 wall on the left of the travel, -1 right, 0 both: then the wall that is touched longer.
    radius_mm : array of shape (p,)
        Radius of the cutter. [mm]

    Notes
    -----
    Only corners at which the machine stops are known as corners. One that it rounds at some speed
    is taken as a straight wall, which errs to the hot side.
    """
    of, curve, corner = along.pass_index, along.curvature_per_mm, along.corner_rad
    joint = (np.abs(np.diff(along.s_mm)) < JOINT_MM) & (corner[:-1] != 0.0)
    breaks = (of[:-1] != of[1:]) | (curve[:-1] != curve[1:]) | joint
    begin = np.concatenate([[0], np.flatnonzero(breaks) + 1])
    end = np.append(begin[1:] - 1, len(of) - 1)
    side = wall_side[of[begin]]
    towards = side * curve[begin]
    both = side == 0
    bent = np.abs(curve[begin[both]])
    # a tighter turn than the cutter's own radius leaves no wall inside it
    towards[both] = np.where(bent * radius_mm[of[begin[both]]] < 1.0, bent, -bent)
    turn = np.zeros(len(begin) + 1)
    sharp = np.where(joint, corner[:-1], 0.0)[begin[1:] - 1]
    turn[1:-1] = np.where(side[1:] == 0, -np.abs(sharp), side[1:] * sharp)
    number = np.repeat(np.arange(len(begin)), np.diff(np.append(begin, len(of))))
    return Runs(number, begin, of[begin], along.s_mm[begin], along.s_mm[end], towards, turn)


def half_ways_mm(
    runs: Runs,
    run: NDArray[np.intp],
    s_mm: NDArray[np.float64],
    radius_mm: NDArray[np.float64],
    contact_mm: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the way of the cutter from wall points back and ahead until it lets go of them.

    Parameters
    ----------
    runs : Runs
        The runs.
    run, s_mm, radius_mm : array of shape (k,)
        Run and place of each wall point, radius of its cutter.
    contact_mm : float
        Spring-back delta. [mm]

    Returns
    -------
    (array, array), each of shape (k,)
        Way back and way ahead. [mm]
    """
    last = len(runs.pass_index) - 1
    back = _half_way(
        runs,
        run,
        np.where(run > 0, run - 1, 0),
        s_mm - runs.start_mm[run],
        -runs.turn_rad[run],
        radius_mm,
        contact_mm,
    )
    ahead = _half_way(
        runs,
        run,
        np.minimum(run + 1, last),
        runs.end_mm[run] - s_mm,
        -runs.turn_rad[run + 1],
        radius_mm,
        contact_mm,
    )
    return back, ahead


def _half_way(
    runs: Runs,
    run: NDArray[np.intp],
    neighbour: NDArray[np.intp],
    left_mm: NDArray[np.float64],
    away_rad: NDArray[np.float64],
    radius_mm: NDArray[np.float64],
    contact_mm: float,
) -> NDArray[np.float64]:
    """Return the way until the gap is `contact_mm`, over the rest of a run and into the next."""
    here = np.maximum(1.0 - radius_mm * runs.towards_per_mm[run], LEAST_CURVE)
    way = np.sqrt(2.0 * radius_mm * contact_mm / here)
    left = np.maximum(left_mm, 0.0)
    # most places are far from the end of their run
    near = np.flatnonzero(way > left)
    run, other, left = run[near], neighbour[near], left[near]
    same = (runs.pass_index[other] == runs.pass_index[run]) & (other != run)
    # beyond an end a hole is taken to go on, and any other wall straight on
    bend = runs.towards_per_mm
    next_bend = np.where(same, bend[other], np.minimum(bend[run], 0.0))
    length = np.where(same, (runs.end_mm - runs.start_mm)[other], np.inf)
    radius, here = radius_mm[near], here[near]
    there = np.maximum(1.0 - radius * next_bend, LEAST_CURVE)
    missing = np.maximum(contact_mm - here * left**2 / (2.0 * radius), 0.0)
    away = np.maximum(away_rad[near], 0.0)
    slope = here * left / radius * np.maximum(np.cos(away), 0.0) + np.sin(away)
    root = np.sqrt(slope**2 + 2.0 * there * missing / radius)
    way[near] = left + np.minimum(2.0 * missing / np.maximum(slope + root, 1e-12), length)
    return way
