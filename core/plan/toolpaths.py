"""Toolpaths of a whole drawing: one call of the offset kernel a step, findings for what cannot be.

Nothing here depends on spindle speed or feed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.errors import Finding, Severity
from core.geometry.offset import offset
from core.geometry.path import Path
from core.job import Task
from core.plan.profile import Ring, Slot, ring_toolpaths
from core.plan.records import Engaged, Entry, Toolpath

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.library.records import RecipeStep
    from core.plan.choices import Cutting

PROFILE_TASKS = {Task.OUTSIDE: False, Task.INSIDE: True}
"""Tasks that run round a closed contour, and whether the cutter is inside of it."""


@dataclass(frozen=True, eq=False)
class Toolpaths:
    """Toolpaths of all drawings, contour by contour in the order of the recipe."""

    toolpaths: tuple[Toolpath, ...]
    findings: tuple[Finding, ...]

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """Number of the kind of each toolpath: those of one kind take the same feed."""
        known: dict[object, int] = {}
        return tuple(known.setdefault(path.kind, len(known)) for path in self.toolpaths)


def plan_toolpaths(drawings: tuple[Contours, ...], cutting: Cutting) -> Toolpaths:
    """Return the toolpaths of every contour that has a task.

    Parameters
    ----------
    drawings : tuple of Contours
        The contours of each drawing.
    cutting : Cutting
        Sheet, recipe and cutters.
    """
    toolpaths: list[Toolpath] = []
    findings: list[Finding] = []
    for index, contours in enumerate(drawings):
        one = _Drawing(index, contours, cutting)
        toolpaths += one.toolpaths()
        findings += one.findings
    return Toolpaths(tuple(toolpaths), tuple(findings))


class _Drawing:
    """Plans one drawing; collects findings on the way."""

    def __init__(self, index: int, contours: Contours, cutting: Cutting) -> None:
        self._index = index
        self._cutting = cutting
        self._profiles = [c for c in contours.contours if c.task in PROFILE_TASKS]
        self._lines = [c for c in contours.contours if c.task is Task.ON_LINE]
        self.findings: list[Finding] = []
        for contour in contours.contours:
            if contour.task not in (*PROFILE_TASKS, Task.ON_LINE, Task.NONE):
                self._notice(
                    "task-not-planned",
                    Severity.TIGHT,
                    contour,
                    f"{contour.name}: the recipe has no passes for the task "
                    f"{contour.task.value!r}, so it is not cut; choose outside, inside "
                    "or on the line.",
                )

    def toolpaths(self) -> list[Toolpath]:
        """Return the toolpaths, contour by contour."""
        by_contour: dict[int, list[Toolpath]] = {c.id: [] for c in self._profiles}
        before: dict[int, Slot] = {}
        for step in self._cutting.recipe.steps:
            rings = self._rings(step)
            for contour in self._profiles:
                mine = rings.get(contour.id, ())
                slot = before.get(contour.id)
                for ring in mine:
                    by_contour[contour.id] += ring_toolpaths(
                        ring,
                        self._cutting.thickness_mm,
                        self._cutting.overcut_mm,
                        slot,
                        # a step that finds fresh sheet goes down as the first step would
                        self._cutting.recipe.steps[0].depth_times_diameter,
                    )
                if mine:
                    self._look_at_reach(contour, mine[0], slot)
                    self._look_at_entries(contour, by_contour[contour.id])
                    before[contour.id] = _slot_after(mine[0], slot)
                else:
                    self._say_no_room(contour, step)
        out = [path for contour in self._profiles for path in by_contour[contour.id]]
        for contour in self._lines:
            out += self._on_line(contour)
        return out

    def _rings(self, step: RecipeStep) -> dict[int, tuple[Ring, ...]]:
        sides = [PROFILE_TASKS[c.task] for c in self._profiles]
        cutters = [self._cutting.cutter(step.cutter, inside=s) for s in sides]
        distances = [
            (-1.0 if inside else 1.0) * (cutter.diameter_mm / 2.0 + step.wall_stock_mm)
            for inside, cutter in zip(sides, cutters, strict=True)
        ]
        offsets = offset([c.path for c in self._profiles], distances, corner=step.corner.value)
        return {
            contour.id: tuple(
                Ring(
                    self._index,
                    contour.id,
                    path,
                    contour.path,
                    step,
                    cutter,
                    inside,
                    result.flagged,
                )
                for path in result.paths
            )
            for contour, inside, cutter, result in zip(
                self._profiles, sides, cutters, offsets, strict=True
            )
        }

    def _look_at_reach(self, contour: Contour, ring: Ring, slot: Slot | None) -> None:
        """Say where a finisher is wider than slot and stock, and cuts fresh material beyond."""
        if slot is None:
            return
        fresh = ring.step.wall_stock_mm + ring.mounted.diameter_mm - slot.reach_mm
        if fresh > 1e-6:
            self._notice(
                "finisher-too-wide",
                Severity.TIGHT,
                contour,
                f"{contour.name}: the {ring.mounted.name} is {fresh:.2f} mm wider than the slot "
                "that roughing left, so it cuts fresh material on the far side; take a finisher "
                "no wider than the rougher.",
            )

    def _look_at_entries(self, contour: Contour, paths: list[Toolpath]) -> None:
        """Say where the wall is met without a lead, because none fits."""
        if any(p.entry_kind is Entry.PLUNGE and p.entry.length_mm == 0.0 for p in paths):
            self._notice(
                "no-lead",
                Severity.TIGHT,
                contour,
                f"{contour.name}: no room for an arc that meets the wall, so the finish goes down "
                "on the wall and leaves a mark; take a smaller cutter there.",
            )

    def _say_no_room(self, contour: Contour, step: RecipeStep) -> None:
        inside = PROFILE_TASKS[contour.task]
        cutter = self._cutting.cutter(step.cutter, inside=inside)
        last = step is self._cutting.recipe.steps[-1]
        if last:
            message = (
                f"{contour.name}: the {cutter.name} ({cutter.diameter_mm:g} mm) does not fit, so "
                "it is not cut; choose a smaller cutter for holes."
            )
        else:
            message = (
                f"{contour.name}: no room to {step.name} with {step.wall_stock_mm:g} mm left on "
                f"the wall and the {cutter.diameter_mm:g} mm cutter; the next step cuts it out of "
                "the full sheet."
            )
        code, weight = ("cutter-too-wide", Severity.OUTSIDE) if last else ("no-room", Severity.NOTE)
        self._notice(code, weight, contour, message)

    def _on_line(self, contour: Contour) -> list[Toolpath]:
        """Return the last step of the recipe run on the line itself, through the sheet."""
        step = replace(self._cutting.recipe.steps[-1], wall_stock_mm=0.0, floor_stock_mm=0.0)
        cutter = self._cutting.cutter(step.cutter, inside=False)
        path = contour.path
        if path.closed:
            path = Path(np.vstack([path.points, path.points[:1]]), path.bulges, closed=False)
        top, bottom = self._cutting.thickness_mm, -self._cutting.overcut_mm
        start, end = (Path(path.points[[k, k]], np.zeros(1), closed=False) for k in (0, -1))
        return [
            Toolpath(
                drawing=self._index,
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
                z_bottom_mm=bottom,
                wall_stock_mm=0.0,
                floor_stock_mm=0.0,
            )
        ]

    def _notice(self, code: str, weight: Severity, contour: Contour, message: str) -> None:
        x, y = contour.path.points[0]
        self.findings.append(
            Finding(
                code,
                weight,
                message,
                at_mm=(float(x), float(y)),
                contour_id=contour.id,
                drawing=self._index,
            )
        )


def _slot_after(ring: Ring, before: Slot | None) -> Slot:
    reach = ring.step.wall_stock_mm + ring.mounted.diameter_mm
    return Slot(
        wall_stock_mm=ring.step.wall_stock_mm,
        floor_stock_mm=ring.step.floor_stock_mm,
        reach_mm=max(reach, before.reach_mm if before else 0.0),
    )
