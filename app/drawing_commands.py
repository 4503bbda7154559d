"""Edits of how a drawing is read and what is done along its contours, as functions Job -> Job.

Terms: a *key* is what the selection holds, the index of a drawing with the id of a contour. A
choice that says nothing any more is dropped from the job.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from core.job.job import ContourChoice, Task

if TYPE_CHECKING:
    from collections.abc import Iterable

    from core.drawing.panel import Panel
    from core.errors import Finding
    from core.job.job import DrawingFile, Job
    from core.library.layer_rules import LayerRules
    from core.report.records import ContourReport, Report

Key = tuple[int, int]

UNITS = (("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("inch", 25.4), ("foot", 304.8))
"""Units that a drawing can be said to be in, with their mm."""

TASK_WORDS = {
    Task.OUTSIDE: "cut outside",
    Task.INSIDE: "cut inside",
    Task.ON_LINE: "cut on the line",
    Task.POCKET: "pocket",
    Task.BORE: "bore",
    Task.DRILL: "drill",
    Task.EDGE_BREAK: "break the edge",
    Task.COUNTERSINK: "countersink",
    Task.COUNTERBORE: "counterbore",
    Task.NONE: "not cut",
}
"""What a task is called where it is chosen."""

WITH_DEPTH = (Task.POCKET, Task.COUNTERBORE)
"""Tasks that need a depth."""

_ALIKE_MM = 0.02
"""Contours whose sizes differ by less are alike: the router cannot tell them apart either."""


@dataclass(frozen=True, slots=True)
class Repair:
    """A repair that can be refused: what is shown of it, and what its two buttons say."""

    what: str
    title: str
    refuse: str
    left: str


REPAIRS = {
    "gap-closed": Repair("gaps", "gaps closed", "Leave gaps open", "gaps left open"),
    "overshoot-trimmed": Repair(
        "overshoots", "overshoots trimmed", "Do not trim", "overshoots not trimmed"
    ),
    "duplicate-removed": Repair(
        "duplicates", "duplicates dropped", "Keep duplicates", "duplicates kept"
    ),
    "overlap-removed": Repair("overlaps", "overlaps made one", "Keep overlaps", "overlaps kept"),
    "speck-removed": Repair("specks", "specks dropped", "Keep specks", "specks kept"),
}
"""Repairs by their code."""


def with_unit(job: Job, drawing: int, mm_per_unit: float | None, rules: LayerRules) -> Job:
    """Return the job with a drawing read in another unit; None: as the drawing says."""
    return _reread(job, drawing, {"mm_per_unit": mm_per_unit}, rules)


def with_layer(job: Job, drawing: int, layer: str, is_cut: bool, rules: LayerRules) -> Job:
    """Return the job with a layer left out, or kept although a layer rule leaves it out."""
    file = job.drawings[drawing]
    out = _without(file.layers_left_out, layer)
    kept = _without(file.layers_kept, layer)
    rule = rules.rule_for(layer)
    if not is_cut:
        out |= {layer}
    elif rule is not None and rule.leave_out:
        kept |= {layer}
    return _reread(job, drawing, {"layers_left_out": out, "layers_kept": kept}, rules)


def _without(names: frozenset[str], layer: str) -> frozenset[str]:
    return frozenset(name for name in names if name.casefold() != layer.casefold())


def with_repair(job: Job, drawing: int, code: str, is_wanted: bool, rules: LayerRules) -> Job:
    """Return the job with a kind of repair wanted or refused."""
    refused = job.drawings[drawing].refused_repairs
    now = refused - {code} if is_wanted else refused | {code}
    return _reread(job, drawing, {"refused_repairs": now}, rules)


def _reread(job: Job, drawing: int, changes: dict[str, Any], rules: LayerRules) -> Job:
    """Return the job with a drawing read otherwise; choices by hand stay on their outlines."""
    from core.contours.carrying import carried_over

    before = job.drawings[drawing]
    after = replace(before, **changes)
    return job if after == before else _with_file(job, drawing, carried_over(before, after, rules))


def _with_file(job: Job, drawing: int, file: DrawingFile) -> Job:
    return replace(job, drawings=(*job.drawings[:drawing], file, *job.drawings[drawing + 1 :]))


def with_named_panel(job: Job, panel: Panel, name: str) -> Job:
    """Return the job with a panel by numbers as its drawing; a job without a name gets its name.

    Raises
    ------
    DrawingError
        If the panel cannot be made.
    """
    from core.drawing.panel_drawing import with_panel

    job = with_panel(job, panel, f"{name}.dxf")
    return job if job.name else replace(job, name=name)


def choice_of(job: Job, key: Key) -> ContourChoice:
    """Return what was decided for a contour by hand; all left open if nothing was."""
    drawing, contour_id = key
    if drawing < len(job.drawings):
        for choice in job.drawings[drawing].contours:
            if choice.contour_id == contour_id:
                return choice
    return ContourChoice(contour_id)


def with_choice(job: Job, keys: Iterable[Key], **changes: Any) -> Job:
    """Return the job with some fields of the choice for each of these contours changed."""
    for drawing, contour_id in keys:
        choice = replace(choice_of(job, (drawing, contour_id)), **changes)
        file = job.drawings[drawing]
        others = tuple(c for c in file.contours if c.contour_id != contour_id)
        said = () if choice == ContourChoice(contour_id) else (choice,)
        contours = tuple(sorted((*others, *said), key=lambda c: c.contour_id))
        job = _with_file(job, drawing, replace(file, contours=contours))
    return job


def with_task(job: Job, keys: Iterable[Key], task: Task | None) -> Job:
    """Return the job with a task by hand; a depth goes with the task that it was for."""
    depth = {} if task in WITH_DEPTH else {"depth_mm": None}
    return with_choice(job, keys, task=task, **depth)


def alike(report: Report | None, contour: ContourReport) -> tuple[Key, ...]:
    """Return the keys of all contours of a drawing that are the same as one, itself included."""
    contours = report.contours if report is not None else (contour,)
    return tuple((other.drawing, other.id) for other in contours if _is_alike(other, contour))


def _is_alike(one: ContourReport, other: ContourReport) -> bool:
    if (one.drawing, one.kind) != (other.drawing, other.kind):
        return False
    return all(
        abs(mine - theirs) <= _ALIKE_MM
        for mine, theirs in zip(_sizes_mm(one), _sizes_mm(other), strict=True)
    )


def _sizes_mm(contour: ContourReport) -> tuple[float, float, float]:
    """Return a side by length, a side by area, and the least radius. [mm]."""
    side = math.sqrt(contour.area_mm2)
    return contour.length_mm / 4.0, side, contour.min_radius_mm or 0.0


def drawing_findings(report: Report | None, drawing: int) -> tuple[Finding, ...]:
    """Return what was noticed in a drawing: what is asked first, then what was repaired."""
    if report is None or drawing >= len(report.drawings):
        return ()
    rank = {"outside": 0, "tight": 1, "note": 2}
    found = report.drawings[drawing].findings
    return tuple(sorted(found, key=lambda f: (f.repaired, rank[f.severity.value], f.code)))
