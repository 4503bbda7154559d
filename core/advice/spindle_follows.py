"""The spindle that follows the contour: slower where the machine cannot reach the feed.

Where sqrt(a r) limits the feed, a spindle at n = v / (z f_z) restores the chip without lengthening
the way. It costs ramps, marks grow with the feed per turn, and there is less power at low speed;
all of it is computed by running the chain. What it is worth must be said as it is: with the entry
off the wall a thin chip in a hole is not dramatic (tests/core/advice/test_spindle_follows.py).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.advice import edits
from core.advice.records import Cost, Edit, Worsened
from core.advice.target import reached_mm_s
from core.advice.trying import contour_at, cost_between, trial_of, worsened
from core.plan.feeds import chip_load_range

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from core.advice.edits import ContourKey
    from core.advice.trying import Bench
    from core.pipeline import Results
    from core.report.records import Band

WORTH_BELOW = 0.9
"""A contour is asked about where the machine nowhere reaches this share of the planned feed."""

SAME_SPEED = 1.15
"""Speeds within this factor are run as one, the fastest of them, which gives up 4 % of the
chip; tests/studies/spindle_groups.py prints what other factors give."""

STEP_RPM = 100.0
"""Speeds are rounded up to this: rounding down would lengthen the way."""


@dataclass(frozen=True, slots=True)
class FollowedContour:
    """What the slower spindle does to one contour.

    Parameters
    ----------
    drawing, contour_id, name
        The contour.
    spindle_speed_rpm, at_lowest : float, bool
        Its speed, and whether the machine's lowest speed cut it short. [rpm]
    reached_before_mm, reached_after_mm : float
        Least mean chip load of its passes. [mm]
    feed_mark_before_um, feed_mark_after_um : float or None
        Highest marks on its finished wall. [um]
    margin_before_k, margin_after_k : float or None
        Least nominal heat margin; None where heat is not modelled. [K]
    power_share : float or None
        Greatest power over what the spindle has at that speed.
    longer_s : float
        More time in its own passes. [s]
    """

    drawing: int
    contour_id: int
    name: str
    spindle_speed_rpm: float
    at_lowest: bool
    reached_before_mm: float
    reached_after_mm: float
    feed_mark_before_um: float | None
    feed_mark_after_um: float | None
    margin_before_k: float | None
    margin_after_k: float | None
    power_share: float | None
    longer_s: float


@dataclass(frozen=True, slots=True)
class SpindleFollows:
    """The offer: speeds by contour, equal ones grouped, and what it all comes to.

    Parameters
    ----------
    edit : Edit
        Sets all the speeds.
    speeds_rpm : tuple of (float, int)
        Each speed, and on how many contours.
    contours : tuple of FollowedContour
        Contour by contour.
    cost : Cost
        In the whole job; its spindle changes are the ramps.
    worse : tuple of Worsened
        What gets worse.
    """

    edit: Edit
    speeds_rpm: tuple[tuple[float, int], ...]
    contours: tuple[FollowedContour, ...]
    cost: Cost
    worse: tuple[Worsened, ...]


def spindle_follows(
    bench: Bench, results: Results, cancelled: Callable[[], bool] | None = None
) -> SpindleFollows | None:
    """Return the offer to let the spindle follow, or None where every feed is reached somewhere.

    Parameters
    ----------
    bench : Bench
        Runs the changed job.
    results : Results
        The job as it is.
    cancelled : callable or None
        Asked during the run.

    Raises
    ------
    Cancelled
        If `cancelled` says so.
    """
    lowest = results.chosen.machine.lowest_spindle_speed_rpm
    wanted = {where: max(rpm, lowest) for where, rpm in _wanted_rpm(results).items()}
    speeds = grouped(wanted)
    if not speeds:
        return None
    edit = edits.spindle_per_contour(speeds)
    after = bench.results(edit.change(results.job), cancelled)
    before_trial, after_trial = trial_of(results, None), trial_of(after, None)
    counts: dict[float, int] = {}
    for rpm in speeds.values():
        counts[rpm] = counts.get(rpm, 0) + 1
    return SpindleFollows(
        edit=edit,
        speeds_rpm=tuple(sorted(counts.items(), reverse=True)),
        contours=tuple(
            _contour(results, after, where, rpm, lowest) for where, rpm in speeds.items()
        ),
        cost=cost_between(before_trial, after_trial),
        worse=worsened(before_trial, after_trial),
    )


def _wanted_rpm(results: Results) -> dict[ContourKey, float]:
    """Return n = v / (z f_z) of contours whose passes nowhere reach their feed. [rpm].

    Equation: n = v_max / (z f_z), the largest over the passes, so that none gets slower; f_z not
    above the maker's range. Drills and V cutters keep to their own speeds.
    """
    fastest: dict[ContourKey, float] = {}
    for index, one in enumerate(results.plan.passes):
        path, teeth = one.toolpath, one.toolpath.mounted.cutter.tooth_count
        if not path.is_milled:
            continue
        reached = reached_mm_s(results, index) * 60.0
        loads, _ = chip_load_range(path.mounted, results.chosen.material.key)
        needed = reached / (teeth * min(one.feed_per_tooth_mm, loads.high_mm))
        slow = reached < WORTH_BELOW * one.feed_speed_mm_min
        where = (path.drawing, path.contour_id)
        fastest[where] = max(fastest.get(where, 0.0), needed if slow else math.inf)
    return {where: rpm for where, rpm in fastest.items() if math.isfinite(rpm) and rpm > 0.0}


def grouped(wanted_rpm: Mapping[ContourKey, float]) -> dict[ContourKey, float]:
    """Return speeds with those that are nearly equal made equal: to the fastest of each group.

    Examples
    --------
    >>> grouped({(0, 1): 8130.0, (0, 2): 7600.0, (0, 3): 12000.0})
    {(0, 1): 8200.0, (0, 2): 8200.0, (0, 3): 12000.0}
    """
    together: dict[ContourKey, float] = {}
    head = math.inf
    for where, rpm in sorted(wanted_rpm.items(), key=lambda item: -item[1]):
        if rpm * SAME_SPEED < head:
            head = rpm
        together[where] = math.ceil(head / STEP_RPM - 1e-9) * STEP_RPM
    return {where: together[where] for where in wanted_rpm}


def _contour(
    before: Results, after: Results, where: ContourKey, rpm: float, lowest: float
) -> FollowedContour:
    now, then = contour_at(before.report, where), contour_at(after.report, where)
    return FollowedContour(
        drawing=where[0],
        contour_id=where[1],
        name=now.name,
        spindle_speed_rpm=rpm,
        at_lowest=rpm <= lowest,
        reached_before_mm=min(p.feed_per_tooth_reached_mm.mean for p in now.passes),
        reached_after_mm=min(p.feed_per_tooth_reached_mm.mean for p in then.passes),
        feed_mark_before_um=_most(p.feed_mark_um for p in now.passes),
        feed_mark_after_um=_most(p.feed_mark_um for p in then.passes),
        margin_before_k=_least(p.heat_margin_k for p in now.passes),
        margin_after_k=_least(p.heat_margin_k for p in then.passes),
        power_share=_most(
            limit.actual / limit.limit
            for p in then.passes
            for limit in p.limits
            if limit.name == "spindle_power"
        ),
        longer_s=then.time_s - now.time_s,
    )


def _most(values: Iterable[float | None]) -> float | None:
    return max((v for v in values if v is not None), default=None)


def _least(bands: Iterable[Band | None]) -> float | None:
    return min((band.nominal for band in bands if band is not None), default=None)
