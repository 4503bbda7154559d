"""Remedies for warnings that are no limits: a cutter that does not fit, a sheet that is too small.

A warning is gone or it is not, so what counts is in how many places it is gone; all else is as for
limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.advice import edits
from core.advice.on_the_shelf import end_mills, usable
from core.advice.records import Cost, Edit, Worsened
from core.advice.trying import cost_between, worsened
from core.job import Task
from core.plan.feeds import chip_load_range
from core.report.records import State

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from core.advice.trying import Bench, Trial
    from core.errors import Finding
    from core.library.records import MountedCutter
    from core.library.shelf import Shelf
    from core.pipeline import Results

MOST = 3
"""Remedies offered."""

NEAREST = 3
"""Cutters tried: the nearest in diameter, those with a maker's range for the material first."""

TOUGH = "polycarbonate"
"""What a guard is cut from instead of a sheet that shatters; common practice, no source."""

INSIDE = (Task.INSIDE.value, Task.BORE.value, Task.POCKET.value)
"""Tasks that the hole cutter takes."""


@dataclass(frozen=True, slots=True)
class FindingRemedy:
    """An edit and what it does to a warning.

    Parameters
    ----------
    edit : Edit
        What to do.
    gone, left : int
        Places where the warning would be gone, and where it would stay.
    cost : Cost
        What it costs in the whole job.
    worse : tuple of Worsened
        What gets worse anywhere in the job.
    """

    edit: Edit
    gone: int
    left: int
    cost: Cost
    worse: tuple[Worsened, ...]


def advise_on_finding(
    bench: Bench,
    results: Results,
    finding: Finding,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[FindingRemedy, ...]:
    """Return up to three remedies for a warning, the ones that break least first.

    Parameters
    ----------
    bench : Bench
        Runs the changed jobs.
    results : Results
        The job as it is.
    finding : Finding
        The warning; one without a known remedy gives none.
    cancelled : callable or None
        Asked before each changed job and during it.

    Raises
    ------
    Cancelled
        If `cancelled` says so.
    """
    job = results.job
    now = bench.trial(job, None, cancelled)
    assert now is not None, "a job that has results can be planned"
    found = []
    for edit in _candidates(results, bench.shelf(job), finding):
        after = bench.trial(edit.change(job), None, cancelled)
        if after is None:
            continue
        left = _places(after, finding.code)
        gone = _places(now, finding.code) - left
        if gone > 0:
            worse = worsened(now, after, finding.code)
            found.append(FindingRemedy(edit, gone, left, cost_between(now, after), worse))
    return tuple(sorted(found, key=_order)[:MOST])


def _places(trial: Trial, code: str) -> int:
    return sum(trial.places.get(code, (0, 0)))


def _order(remedy: FindingRemedy) -> tuple[int, int, int, float]:
    outside = sum(w.places for w in remedy.worse if w.state is State.OUTSIDE)
    tight = sum(w.places for w in remedy.worse if w.state is State.TIGHT)
    return outside, remedy.left, tight, remedy.cost.time_s


def _candidates(results: Results, shelf: Shelf, finding: Finding) -> Iterator[Edit]:
    cutting = results.chosen.cutting
    if finding.code in {"cutter-too-wide", "no-lead", "corner-unreached"}:
        role = "hole" if _is_inside(results, finding) else "finish"
        now = (cutting.hole if role == "hole" else None) or cutting.finish
        for one in _nearest(results, shelf, now, role):
            if one.diameter_mm < now.diameter_mm:
                yield edits.cutter(role, one)
    elif finding.code == "finisher-too-wide":
        for one in _nearest(results, shelf, cutting.finish, "finish"):
            if one.diameter_mm <= cutting.rough.diameter_mm:
                yield edits.cutter("finish", one)
        for one in _nearest(results, shelf, cutting.rough, "rough"):
            if one.diameter_mm >= cutting.finish.diameter_mm:
                yield edits.cutter("rough", one)
    elif finding.code == "brittle-guard":
        yield edits.material(shelf.material(TOUGH))
    elif finding.code == "larger-than-sheet":
        for sheet in usable(shelf, "sheet"):
            yield edits.sheet(sheet)


def _is_inside(results: Results, finding: Finding) -> bool:
    place = (finding.drawing, finding.contour_id)
    return any(
        contour.task in INSIDE
        for contour in results.report.contours
        if (contour.drawing, contour.id) == place
    )


def _nearest(
    results: Results, shelf: Shelf, now: MountedCutter, role: str
) -> tuple[MountedCutter, ...]:
    """Return the cutters nearest in diameter on each side that can take a role."""
    material = results.chosen.material.key
    fit = [
        one
        for one in end_mills(shelf)
        if one.key != now.key and not (one.finish_only and role != "finish")
    ]
    fit.sort(
        key=lambda one: (
            not chip_load_range(one, material)[1],
            abs(one.diameter_mm - now.diameter_mm),
        )
    )
    smaller = [one for one in fit if one.diameter_mm < now.diameter_mm]
    others = [one for one in fit if one.diameter_mm >= now.diameter_mm]
    return (*smaller[:NEAREST], *others[:NEAREST])
