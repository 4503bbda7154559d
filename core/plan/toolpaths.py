"""Toolpaths of whole drawings: the offset kernel is called once a step, not once a contour.

Nothing here depends on spindle speed or feed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.bundle import bundle_of
from core.geometry.path import Path
from core.job import Task
from core.plan.freed import Freed, freed_pieces, with_waste_cleared
from core.plan.notices import Notices
from core.plan.pointed import pointed_trips
from core.plan.profile import Course, Slot, depth_levels, gentlest_starts, lines_of
from core.plan.records import Engaged, Entry, Toolpath
from core.plan.rings import rings_of_step
from core.plan.work import INSIDE, works_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.contours.records import Contour, Contours
    from core.errors import Finding
    from core.job import DrawingFile
    from core.plan.choices import Cutting
    from core.plan.profile import Level, Lines
    from core.plan.rings import Ring
    from core.plan.work import Work


@dataclass(frozen=True, eq=False, slots=True)
class FreeRing:
    """A ring that may be started anywhere: its number among some lines, and its trips' indices."""

    lines: Lines
    number: int
    trips: tuple[int, ...]

    def behind(self, count: int) -> FreeRing:
        """Return it with `count` other trips before its own."""
        return replace(self, trips=tuple(index + count for index in self.trips))


@dataclass(frozen=True, eq=False)
class Toolpaths:
    """Toolpaths of all drawings, contour by contour in the order of their steps.

    Parameters
    ----------
    toolpaths : tuple of Toolpath
        The trips.
    freed : mapping of (drawing, contour id) to Freed
        The piece that each contour frees.
    findings : tuple of Finding
        What was noticed.
    free : tuple of FreeRing
        Rings that are run alone, without tabs: they may be started anywhere.
    """

    toolpaths: tuple[Toolpath, ...]
    freed: Mapping[tuple[int, int], Freed]
    findings: tuple[Finding, ...]
    free: tuple[FreeRing, ...] = ()

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """Number of the kind of each toolpath: those of one kind take the same feed."""
        known: dict[object, int] = {}
        keys = zip((path.kind for path in self.toolpaths), self._tightest, strict=True)
        return tuple(known.setdefault(key, len(known)) for key in keys)

    @property
    def _tightest(self) -> list[float]:
        """What `Toolpath.tightest_per_mm` says of each, all at once. [1/mm]."""
        if not self.toolpaths:
            return []
        cuts = bundle_of([path.cut for path in self.toolpaths], closed=False)
        side = np.array([path.wall_side for path in self.toolpaths])
        towards = cuts.segments.curvature_per_mm * side[cuts.of]
        least = np.minimum.reduceat(towards, cuts.first[:-1])
        return [round(bend, 6) for bend in np.minimum(least, 0.0).tolist()]


def plan_toolpaths(
    drawings: tuple[Contours, ...], files: tuple[DrawingFile, ...], cutting: Cutting
) -> Toolpaths:
    """Return the toolpaths of every contour that has a task.

    Parameters
    ----------
    drawings : tuple of Contours
        The contours of each drawing.
    files : tuple of DrawingFile
        What was decided by hand for each.
    cutting : Cutting
        Sheet, recipes and cutters.
    """
    toolpaths: list[Toolpath] = []
    findings: list[Finding] = []
    freed: dict[tuple[int, int], Freed] = {}
    free: list[FreeRing] = []
    for index, (contours, file) in enumerate(zip(drawings, files, strict=True)):
        notices = Notices(index)
        works = with_waste_cleared(works_of(index, contours, file, cutting), cutting)
        pieces = freed_pieces(works, contours, cutting)
        planned, alone_run = _round(works, pieces, cutting, notices)
        begins = {}
        pointed = pointed_trips(index, contours, file, cutting, notices)
        for contour in contours.contours:
            begins[contour.id] = len(toolpaths)
            toolpaths += planned.get(contour.id, ())
            toolpaths += pointed.get(contour.id, ())
            if contour.task is Task.ON_LINE:
                toolpaths.append(_on_line(index, contour, cutting))
        alone = (c.id for c in contours.contours if c.id in pointed and c.task not in INSIDE)
        notices.unplanned(contours, {*(w.contour.id for w in works), *alone})
        free += (run.behind(begins[contour_id]) for contour_id, run in alone_run)
        freed |= {(index, number): piece for number, piece in pieces.items()}
        findings += notices.findings
    return Toolpaths(tuple(toolpaths), freed, tuple(findings), tuple(free))


def _round(
    works: list[Work], freed: Mapping[int, Freed], cutting: Cutting, notices: Notices
) -> tuple[dict[int, list[Toolpath]], list[tuple[int, FreeRing]]]:
    """Return the trips round closed contours by contour id, and which rings are run alone."""
    courses, stages = _courses(works, freed, cutting, notices)
    lines = lines_of(courses)
    planned: dict[int, list[Toolpath]] = {w.contour.id: [] for w in works}
    trips = lines.trips(gentlest_starts(lines), stages)
    alone: list[tuple[int, FreeRing]] = []
    number = 0
    for course, own in zip(courses, trips, strict=True):
        notices.look_at(course, own)
        key, before = course.work.contour.id, len(planned[course.work.contour.id])
        if own and len(course.rings) == 1 and not course.rings[0].step.tab_count:
            indices = range(before, before + len(own))
            alone.append((key, FreeRing(lines, number, tuple(indices))))
        planned[key] += own
        number += len(course.rings)
    for key, own in planned.items():
        piece = freed.get(key)
        if own and piece is not None and piece.is_waste and own[-1].stage == PARTING:
            own[-1] = replace(own[-1], stop_after=TAKE_OUT)
    return planned, alone


PARTING = 2
"""Stage of the trips that free something."""

TAKE_OUT = "take out the loose piece of waste; the spindle must stand still"


def _courses(
    works: list[Work], freed: Mapping[int, Freed], cutting: Cutting, notices: Notices
) -> tuple[list[Course], list[int]]:
    """Return what is run round closed contours, step by step, and the stage of each course."""
    courses: list[Course] = []
    stages: list[int] = []
    slots: dict[int, Slot] = {}
    for number in range(max((len(w.recipe.steps) for w in works), default=0)):
        now = [w for w in works if number < len(w.recipe.steps)]
        steps = [w.recipe.steps[number] for w in now]
        for work, rings in zip(now, rings_of_step(now, steps, cutting), strict=True):
            key = work.contour.id
            if not rings:
                notices.no_room(work, work.recipe.steps[number], cutting)
                continue
            before = slots.get(key)
            course = Course(work, tuple(rings), _levels(work, rings[0], before), before)
            parts = key in freed and course.is_through
            stages.append(PARTING if parts else min(number, 1))
            courses.append(course)
            slots[key] = _slot_after(work, rings, before, cutting.skin_error_mm)
    return courses, stages


def _levels(work: Work, ring: Ring, before: Slot | None) -> tuple[Level, ...]:
    # a step that finds fresh sheet goes down as the first step would
    first = work.recipe.steps[0].depth_times_diameter * ring.mounted.diameter_mm
    deepest = 0.0 if before else first
    return depth_levels(work.top_mm, work.bottom_of(ring.step), deepest)


def _slot_after(work: Work, rings: list[Ring], before: Slot | None, skin_error_mm: float) -> Slot:
    wall = rings[-1]
    reach = np.inf if work.clears else wall.standing_mm + wall.mounted.diameter_mm
    standing = wall.standing_mm if before is None else min(before.standing_mm, wall.standing_mm)
    return Slot(
        standing_mm=standing,
        floor_mm=max(work.bottom_of(wall.step), 0.0),
        reach_mm=max(reach, before.reach_mm if before else 0.0),
        skin_error_mm=skin_error_mm,
    )


def _on_line(index: int, contour: Contour, cutting: Cutting) -> Toolpath:
    """Return the last step of the recipe run on the line itself, through the sheet."""
    step = replace(cutting.recipe.steps[-1], wall_stock_mm=0.0, floor_stock_mm=0.0)
    cutter = cutting.cutter(step.cutter, inside=False)
    path = contour.path
    if path.closed:
        path = Path(np.vstack([path.points, path.points[:1]]), path.bulges, closed=False)
    top = cutting.thickness_mm
    start, end = (Path(path.points[[k, k]], np.zeros(1), closed=False) for k in (0, -1))
    return Toolpath(
        drawing=index,
        contour_id=contour.id,
        step=step,
        level=0,
        mounted=cutter,
        entry=start,
        cut=path,
        exit=end,
        entry_kind=Entry.PLUNGE,
        entry_from_mm=top,
        wall_side=0,
        wall_inside=False,
        bands=(Engaged(top, 0.0, cutter.diameter_mm),),
        z_top_mm=top,
        z_bottom_mm=-cutting.overcut_mm,
        wall_stock_mm=0.0,
        floor_stock_mm=0.0,
        stage=1,
    )
