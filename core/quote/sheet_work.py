"""From a layout to the work that is priced: the real plan's times, on these sheets."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.contours.records import Kind
from core.job import Task
from core.layout.nest_order import order_nesting
from core.motion.between import between_passes
from core.quote.work import CutterUse, SheetsUsed, Work

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from core.contours.records import Contours
    from core.layout.nest_records import NestedSheet, Nesting, NestTask
    from core.layout.records import Layout, Order
    from core.library.records import MountedCutter
    from core.motion.between import Between
    from core.motion.records import Motion
    from core.plan.choices import Choices
    from core.plan.records import Plan


@dataclass(frozen=True, eq=False, slots=True)
class Planned:
    """A plan whose copies are laid out and priced.

    Parameters
    ----------
    contours : tuple of Contours
        Of each drawing.
    chosen : Choices
        Material, machine, cutters, rates.
    plan : Plan
        The passes of one copy of everything drawn.
    motion : Motion
        How the machine runs them.
    """

    contours: tuple[Contours, ...]
    chosen: Choices
    plan: Plan
    motion: Motion

    @property
    def parents(self) -> dict[tuple[int, int], int | None]:
        """The contour right around each, by drawing and contour id."""
        return {
            (drawing, contour.id): contour.parent
            for drawing, contours in enumerate(self.contours)
            for contour in contours.contours
        }


@dataclass(frozen=True, eq=False, slots=True)
class Run:
    """All lines of an order: which pass each is, how often it is cut, what lies before it.

    Parameters
    ----------
    which : array of int, shape (n,)
        Index of the pass in the plan.
    times : array of shape (n,)
        How often the line is cut.
    between : Between
        What lies between the lines.
    """

    which: NDArray[np.intp]
    times: NDArray[np.float64]
    between: Between


def work_on_rows(
    planned: Planned, layout: Layout, order: Order, between: Between, quantity: int
) -> Work:
    """Return the work of drawings that lie on whole sheets as they are drawn."""
    which = np.array([line.pass_index for line in order.lines], dtype=np.intp)
    copies: dict[int, int] = defaultdict(int)
    for sheet in layout.sheets:
        for copy in sheet.copies:
            copies[copy.drawing] += 1
    return _work(
        planned,
        Run(which, np.ones(len(which)), between),
        (SheetsUsed(planned.chosen.sheet, len(layout.sheets), 0.0),),
        {key: copies[key[0]] for key in planned.parents},
        quantity,
    )


def work_on_nesting(planned: Planned, task: NestTask, nesting: Nesting, quantity: int) -> Work:
    """Return the work of nested parts."""
    passes = planned.plan.passes
    nested = order_nesting(task, nesting, [p.toolpath for p in passes], planned.parents)
    own = [
        replace(passes[index], toolpath=path)
        for index, path in zip(nested.origin, nested.toolpaths, strict=True)
    ]
    between = between_passes(own, nested.order, planned.chosen.machine, nested.layout)
    lines = nested.order.lines
    run = Run(
        np.array([nested.origin[line.pass_index] for line in lines], dtype=np.intp),
        np.array([nested.times[line.sheet] for line in lines], dtype=np.float64),
        between,
    )
    counts: dict[tuple[int, int], int] = dict.fromkeys(planned.parents, 0)
    for sheet in nesting.sheets:
        for placed in sheet.parts:
            part = task.parts[task.part_index[placed.drawing, placed.contour_id]]
            for member in part.members:
                counts[placed.drawing, member] += sheet.repeat
    return _work(planned, run, _sheets_used(nesting.sheets), counts, quantity)


def _sheets_used(sheets: Sequence[NestedSheet]) -> tuple[SheetsUsed, ...]:
    used: dict[str, SheetsUsed] = {}
    for sheet in sheets:
        kept = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in sheet.offcuts_mm) * sheet.repeat
        before = used.get(sheet.stock.key, SheetsUsed(sheet.stock, 0, 0.0))
        used[sheet.stock.key] = SheetsUsed(
            sheet.stock, before.count + sheet.repeat, before.kept_mm2 + kept
        )
    return tuple(used.values())


def _work(
    planned: Planned,
    run: Run,
    sheets: tuple[SheetsUsed, ...],
    counts: Mapping[tuple[int, int], int],
    quantity: int,
) -> Work:
    """Return the work of a run; `counts` says how often each contour is cut."""
    motion, times = planned.motion, run.times
    idle = float((run.between.idle_s * times).sum())
    entering = float((motion.entering_s[run.which] * times).sum())
    cut = [
        (contour, counts[drawing, contour.id])
        for drawing, contours in enumerate(planned.contours)
        for contour in contours.contours
        if contour.task is not Task.NONE
    ]
    edges = [(c, n) for c, n in cut if c.task in (Task.OUTSIDE, Task.INSIDE)]
    outers = [(c, n) for c, n in cut if c.kind is Kind.OUTER]
    return Work(
        quantity=quantity,
        pieces=sum(n for _, n in outers),
        sheets=sheets,
        machine_s=float((motion.cutting_s[run.which] * times).sum()) + entering + idle,
        machine_with_jerk_s=float((motion.cutting_jerk_s[run.which] * times).sum())
        + entering
        + idle,
        cutters=_cutters(planned, run),
        edge_m=sum(c.path.length_mm * n for c, n in edges) / 1000.0,
        holes=sum(n for c, n in cut if c.kind is Kind.HOLE),
        stops=_stops(planned, run),
        parts_mm2=sum(
            (abs(c.path.area_mm2) if c.depth % 2 == 0 else -abs(c.path.area_mm2)) * n
            for c, n in cut
            if c.kind is not Kind.OPEN
        ),
    )


def _cutters(planned: Planned, run: Run) -> tuple[CutterUse, ...]:
    passes = planned.plan.passes
    times = np.bincount(run.which, weights=run.times, minlength=len(passes))
    ways: dict[str, float] = {}
    mounted: dict[str, MountedCutter] = {}
    for one, count in zip(passes, times.tolist(), strict=True):
        cutter = one.toolpath.mounted
        mounted[cutter.key] = cutter
        way_m = one.toolpath.length_mm * count / 1000.0
        ways[cutter.key] = ways.get(cutter.key, 0.0) + way_m
    return tuple(CutterUse(mounted[key], way) for key, way in ways.items())


def _stops(planned: Planned, run: Run) -> int:
    stands = np.array([bool(p.toolpath.stop_after) for p in planned.plan.passes], dtype=bool)
    return round(float(run.times[stands[run.which]].sum()))
