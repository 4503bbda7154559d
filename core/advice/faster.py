"""Ways to go faster: what gains time, what it needs, and what then stops it.

Every way is the chain run on a changed job. Ways that put something outside that was not outside
before come last and say so; the ones that do not are also tried together.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from core.advice import edits
from core.advice.on_the_shelf import end_mills, makes_the_wall_with, other_recipes, usable
from core.advice.records import FasterWay
from core.advice.trying import cost_between, worsened
from core.errors import PlanError
from core.plan.feeds import chip_load_range

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from core.advice.records import Edit
    from core.advice.trying import Bench, Trial
    from core.job import Job
    from core.library.records import MountedCutter, Recipe
    from core.library.shelf import Shelf
    from core.pipeline import Results

MOST = 6
"""Ways that are shown."""

LEAST_GAIN_SHARE = 0.005
"""A way must gain this share of the time to be shown."""

DEEPER = (1.5, 2.0)
"""Deeper passes tried, as multiples of the depth now."""


def ways_to_go_faster(
    bench: Bench, results: Results, cancelled: Callable[[], bool] | None = None
) -> tuple[FasterWay, ...]:
    """Return what would make the job faster, the greatest gain that breaks nothing first.

    Parameters
    ----------
    bench : Bench
        Runs the changed jobs.
    results : Results
        The job as it is.
    cancelled : callable or None
        Asked before each changed job and during it.

    Raises
    ------
    PlanError
        If nothing is cut, so that nothing can be faster.
    Cancelled
        If `cancelled` says so.
    """
    job = results.job
    now = bench.trial(job, None, cancelled)
    if now is None or not results.plan.passes:
        raise PlanError("nothing is cut in this job, so nothing can go faster")
    kinds: dict[str, FasterWay] = {}
    tried = (_way(bench, job, now, edit, cancelled) for edit in _candidates(bench, results))
    for way in sorted((w for w in tried if w is not None), key=_order):
        kinds.setdefault(way.edit.kind, way)
    ways = list(kinds.values())
    both = _together(bench, job, now, ways, cancelled)
    return tuple(sorted([*ways, *both], key=_order)[:MOST])


def _order(way: FasterWay) -> tuple[bool, float]:
    return way.is_blocked, -way.gain_s


def _way(
    bench: Bench, job: Job, now: Trial, edit: Edit, cancelled: Callable[[], bool] | None
) -> FasterWay | None:
    """Return what a change gains, or None where it gains nothing or cannot be planned."""
    changed = edit.change(job)
    after = bench.trial(changed, None, cancelled) if changed != job else None
    if after is None or after.time_s >= now.time_s * (1.0 - LEAST_GAIN_SHARE):
        return None
    return FasterWay(
        edit=edit,
        gain_s=now.time_s - after.time_s,
        gain_share=1.0 - after.time_s / now.time_s,
        cost=cost_between(now, after),
        stops_at=after.stops_at,
        worse=worsened(now, after),
    )


def _together(
    bench: Bench,
    job: Job,
    now: Trial,
    ways: list[FasterWay],
    cancelled: Callable[[], bool] | None,
) -> Iterator[FasterWay]:
    """Yield the ways that break nothing, all at once, where that gains more than the best alone."""
    chosen = [w for w in ways if not w.is_blocked and not w.edit.only_told]
    while len(chosen) > 1:
        names = " + ".join(w.edit.name for w in chosen)
        edit = edits.together("together", names, *(w.edit for w in chosen))
        both = _way(bench, job, now, edit, cancelled)
        if both is not None and not both.is_blocked and both.gain_s > chosen[0].gain_s:
            yield both
            return
        # the one that gains least is the first to be given up
        chosen = chosen[:-1]


def _candidates(bench: Bench, results: Results) -> Iterator[Edit]:
    job, shelf, chosen = results.job, bench.shelf(results.job), results.chosen
    rough, finish = chosen.cutting.rough, chosen.cutting.finish
    if job.spindle_speed_rpm is not None:
        fastest = min(
            chosen.feeding.headroom_share * rough.holder.balanced_speed_rpm,
            rough.cutter.highest_spindle_speed_rpm,
            chosen.machine.highest_spindle_speed_rpm,
        )
        if fastest > job.spindle_speed_rpm:
            yield edits.spindle_everywhere(fastest)
    for holder in usable(shelf, "holder"):
        if holder.balanced_speed_rpm > rough.holder.balanced_speed_rpm:
            yield edits.holder(holder)
    loads, _ = chip_load_range(rough, chosen.material.key)
    yield edits.chip_load(round(loads.high_mm, 4))
    yield from _deeper(results)
    for role, now in (("rough", rough), ("finish", finish)):
        yield from _cutters(shelf, role, now, chosen.material.key)
    yield from _recipes(shelf, chosen.cutting.recipe)
    for machine in usable(shelf, "machine"):
        if machine.key != chosen.machine.key:
            yield edits.machine(machine)


def _deeper(results: Results) -> Iterator[Edit]:
    cutting = results.chosen.cutting
    now = cutting.recipe.steps[0].depth_times_diameter
    for factor in DEEPER if now > 0.0 else ():
        yield edits.depth(round(factor * now, 2))


def _recipes(shelf: Shelf, now: Recipe) -> Iterator[Edit]:
    for recipe in other_recipes(shelf, now):
        edit = edits.recipe(recipe)
        if makes_the_wall_with(recipe) != makes_the_wall_with(now):
            edit = replace(edit, needs="a wall that may be as the rougher leaves it")
        yield edit


def _cutters(shelf: Shelf, role: str, now: MountedCutter, material: str) -> Iterator[Edit]:
    """Yield cutters with more edges, a higher speed or a higher chip load in this material."""
    for one in end_mills(shelf):
        loads, from_maker = chip_load_range(one, material)
        before, _ = chip_load_range(now, material)
        faster = one.cutter.tooth_count * loads.high_mm > now.cutter.tooth_count * before.high_mm
        deeper = one.diameter_mm > now.diameter_mm
        fits = from_maker and not (one.finish_only and role == "rough")
        if one.key != now.key and fits and (faster or deeper):
            yield edits.cutter(role, one)
