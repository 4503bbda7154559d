"""The stages in order, each computed anew only when what it reads has changed.

A spindle-speed lever touches feeds, motion, heat and report, never the drawing or the toolpaths.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

from core.contours import find_contours
from core.drawing import read_drawing
from core.errors import Cancelled
from core.heat import assess_milled
from core.job import ContourChoice
from core.layout import find_tour, lay_in_rows, order_work
from core.layout.keep_out import keep_out_findings
from core.library.shelf import Shelf
from core.motion import move
from core.motion.between import between_passes
from core.plan import choose, plan_feeds, plan_toolpaths
from core.plan.drilling import with_drilled_holes
from core.plan.reach import look_for_reach
from core.plan.safety import gouges
from core.plan.starts import free_starts, restarted
from core.report.build import build_report

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from core.contours.records import Contours
    from core.drawing.records import Drawing
    from core.heat.pass_heats import PassHeats
    from core.job import DrawingFile, Job
    from core.layout.records import Layout, Order
    from core.library.layer_rules import LayerRules
    from core.library.records import SheetStock
    from core.motion.between import Between
    from core.motion.records import Motion
    from core.plan.choices import Choices, Cutting
    from core.plan.freed import Freed
    from core.plan.records import Plan
    from core.report.records import Report


KEPT_BYTES = 32 * 2**20
"""Size of the array that settles it; larger ones are given back as ever."""


@dataclass(frozen=True, eq=False, slots=True)
class Results:
    """What follows from a job.

    The report holds what is shown; the other parts are there for drawing and handing over.
    """

    job: Job
    chosen: Choices
    drawings: tuple[Drawing, ...]
    contours: tuple[Contours, ...]
    plan: Plan
    report: Report
    layout: Layout
    order: Order
    motion: Motion
    between: Between
    freed: Mapping[tuple[int, int], Freed]
    heat: PassHeats


class Pipeline:
    """Computes `Results`; remembers the last inputs and output of each stage.

    Parameters
    ----------
    folder : Path or None
        The user's own library files.
    """

    def __init__(self, folder: Path | None = None) -> None:
        _keep_memory()
        self._folder = folder
        self._last: dict[str, tuple[tuple[object, ...], Any]] = {}
        self.runs: dict[str, int] = {}

    def results(
        self,
        job: Job,
        *,
        progress: Callable[[float], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Results:
        """Return what follows from `job`.

        Parameters
        ----------
        job : Job
            The user's decisions.
        progress : callable or None
            Told how far the work is, from 0 to 1.
        cancelled : callable or None
            Asked now and then; True stops the work.

        Raises
        ------
        WorkbenchError
            If a drawing cannot be read, a choice is not on the shelf, or nothing can be planned.
        Cancelled
            If the user stopped it.
        """

        def at(share: float) -> None:
            if cancelled is not None and cancelled():
                raise Cancelled("stopped; nothing was changed")
            if progress is not None:
                progress(share)

        shelf = self._stage("shelf", Shelf, job.library, self._folder)
        chosen = self._stage("choices", choose, job, shelf)
        drawings, contours = self._drawings(
            job.drawings, shelf.layer_rules(job.layer_rules), at, cancelled
        )
        by_hand = tuple(map(_without_speeds, job.drawings))
        if job.drill_holes:
            drills = chosen.cutting.drills
            contours = self._stage("drilled", with_drilled_holes, contours, by_hand, drills)
        paths = self._stage("toolpaths", plan_toolpaths, contours, by_hand, chosen.cutting)
        layout = self._stage("layout", _lay, contours, job.quantity, chosen.cutting, chosen.sheet)
        starts = self._stage("starts", free_starts, paths)
        tour = self._stage("tour", _tour, layout, paths, starts, contours)
        paths = self._stage("restarted", restarted, paths, starts, tour.place)
        at(0.7)
        overrides = _speed_overrides(job)
        plan = self._stage("feeds", plan_feeds, paths, chosen.feeding, overrides)
        unsafe = self._stage("safety", gouges, contours, paths.toolpaths)
        reach = self._stage("reach", look_for_reach, contours, chosen.cutting)
        thickness = chosen.cutting.thickness_mm
        clamps = self._stage(
            "keep-outs",
            keep_out_findings,
            layout,
            paths.toolpaths,
            job.keep_outs,
            chosen.machine,
            thickness,
        )
        noticed = (*unsafe, *clamps, *reach.findings)
        plan = replace(plan, findings=(*plan.findings, *noticed)) if noticed else plan
        order = self._stage("order", _order, layout, paths, tour, contours, overrides)
        at(0.8)
        motion = self._stage("motion", move, plan.passes, chosen.machine)
        between = self._stage("between", between_passes, plan.passes, order, chosen.machine, layout)
        heat = self._stage("heat", _heat, plan, motion, order, between, chosen)
        at(0.9)
        report = build_report(
            job,
            chosen,
            drawings,
            contours,
            plan,
            paths.freed,
            reach.unreached_mm2,
            layout,
            order,
            between,
            motion,
            heat,
        )
        return Results(
            job,
            chosen,
            drawings,
            contours,
            plan,
            report,
            layout,
            order,
            motion,
            between,
            paths.freed,
            heat,
        )

    def _stage(self, name: str, compute: Callable[..., Any], *inputs: object) -> Any:
        last = self._last.get(name)
        if last is None or last[0] != inputs:
            self.runs[name] = self.runs.get(name, 0) + 1
            self._last[name] = last = (inputs, compute(*inputs))
        return last[1]

    def _drawings(
        self,
        files: tuple[DrawingFile, ...],
        rules: LayerRules,
        at: Callable[[float], None],
        cancelled: Callable[[], bool] | None,
    ) -> tuple[tuple[Drawing, ...], tuple[Contours, ...]]:
        drawings: list[Drawing] = []
        contours: list[Contours] = []
        for index, file in enumerate(files):
            share = 0.7 / len(files)

            def part(done: float, begun: float = index * share, share: float = share) -> None:
                at(begun + 0.8 * share * done)

            def read(file: DrawingFile, part: Callable[[float], None] = part) -> Drawing:
                return read_drawing(file, progress=part, cancelled=cancelled)

            tasks = _without_speeds(file)
            drawing = self._stage(f"drawing {index}", read, replace(tasks, contours=()))
            drawings.append(drawing)
            found = self._stage(f"contours {index}", find_contours, drawing, tasks, index, rules)
            contours.append(found)
        # the same tuple again when nothing in it changed, so that later stages see no change
        kept = self._stage("contours", lambda *parts: parts, *contours)
        return tuple(drawings), kept


@cache
def _keep_memory() -> None:
    """Have the memory of large arrays kept when it is given back, once for the whole program.

    Some C libraries return it to the system each time, until one array as large as this was freed;
    the page faults that follow cost half of a tick of the motion.
    """
    np.ones(KEPT_BYTES // 8)


def _without_speeds(file: DrawingFile) -> DrawingFile:
    """Return what contours and toolpaths depend on: choices that set more than a spindle speed."""
    plain = (replace(c, spindle_speed_rpm=None) for c in file.contours)
    return replace(file, contours=tuple(c for c in plain if c != ContourChoice(c.contour_id)))


def _speed_overrides(job: Job) -> tuple[tuple[int, int, float], ...]:
    return tuple(
        (index, choice.contour_id, choice.spindle_speed_rpm)
        for index, file in enumerate(job.drawings)
        for choice in file.contours
        if choice.spindle_speed_rpm is not None
    )


def _lay(
    contours: tuple[Contours, ...], quantity: int, cutting: Cutting, sheet: SheetStock
) -> Layout:
    kerf = max(cutting.rough.diameter_mm, cutting.finish.diameter_mm)
    return lay_in_rows(tuple(c.bounds_mm for c in contours), quantity, sheet, kerf)


def _heat(plan: Plan, motion: Any, order: Any, between: Any, chosen: Choices) -> Any:
    # the cutter's history on the first sheet: the others repeat it
    first = [i for i, line in enumerate(order.lines) if line.sheet == 0]
    return assess_milled(
        plan.passes,
        motion,
        chosen.material,
        chosen.machine,
        chosen.air,
        thickness_mm=chosen.cutting.thickness_mm,
        order=[order.lines[i].pass_index for i in first],
        idle_s=[float(between.idle_s[i]) for i in first],
    )


def _tour(layout: Any, paths: Any, starts: Any, contours: tuple[Contours, ...]) -> Any:
    return find_tour(layout, paths.toolpaths, starts, _parents(contours))


def _order(
    layout: Any,
    paths: Any,
    tour: Any,
    contours: tuple[Contours, ...],
    overrides: tuple[tuple[int, int, float], ...],
) -> Any:
    speeds = {(drawing, contour): rpm for drawing, contour, rpm in overrides}
    parents = _parents(contours)
    return order_work(layout, paths.toolpaths, parents, tour=tour, speeds_rpm=speeds)


def _parents(contours: tuple[Contours, ...]) -> dict[tuple[int, int], int | None]:
    return {(i, c.id): c.parent for i, group in enumerate(contours) for c in group.contours}
