"""What the planning of toolpaths notices: cutters that do not fit, slots too narrow, no leads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import Finding, Severity
from core.job import Task
from core.plan.entries import is_nowhere
from core.plan.records import Entry

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.library.records import RecipeStep
    from core.plan.choices import Cutting
    from core.plan.profile import Course
    from core.plan.records import Toolpath
    from core.plan.work import Work

_DONE = {Task.NONE, Task.ON_LINE}

_NEEDS = {
    Task.POCKET: "give the pocket's depth",
    Task.COUNTERBORE: "give the counterbore's depth",
    Task.DRILL: "only circles are drilled; choose inside",
    Task.COUNTERSINK: "only circles are countersunk; choose pocket",
}
"""What a task without passes lacks."""

WHY_NOT = frozenset({"no-drill", "sink-too-deep", "sink-too-wide"})
"""Findings that say why a contour with a task has no passes."""


class Notices:
    """Findings about one drawing's toolpaths."""

    def __init__(self, drawing: int) -> None:
        self._drawing = drawing
        self.findings: list[Finding] = []

    def unplanned(self, contours: Contours, planned: set[int]) -> None:
        """Say which contours have a task but no passes."""
        uncut = {f.contour_id for f in self.findings if f.code == "cutter-too-wide"}
        told = {f.contour_id for f in self.findings if f.code in WHY_NOT}
        self.findings = [
            f for f in self.findings if f.code != "no-room" or f.contour_id not in uncut
        ]
        known = planned | told
        for contour in contours.contours:
            if contour.id in known or contour.task in _DONE:
                continue
            need = _NEEDS.get(contour.task, "choose outside, inside, pocket, bore or on the line")
            self.tell(
                "task-not-planned",
                Severity.TIGHT,
                contour,
                f"{contour.name}: its task {contour.task.value!r} gives no passes as it stands, so "
                f"it is not cut; {need}.",
            )

    def no_room(self, work: Work, step: RecipeStep, cutting: Cutting) -> None:
        """Say that a cutter does not fit, and what follows."""
        contour, cutter = work.contour, work.cutter(step, cutting)
        if step is work.recipe.steps[-1]:
            self.tell(
                "cutter-too-wide",
                Severity.OUTSIDE,
                contour,
                f"{contour.name}: the {cutter.name} ({cutter.diameter_mm:g} mm) does not fit, so "
                "it is not cut; choose a smaller cutter for holes.",
            )
            return
        self.tell(
            "no-room",
            Severity.NOTE,
            contour,
            f"{contour.name}: no room to {step.name} with {step.wall_stock_mm:g} mm left on "
            f"the wall and the {cutter.diameter_mm:g} mm cutter; the next step cuts it out of "
            "the full sheet.",
        )

    def look_at(self, course: Course, trips: list[Toolpath]) -> None:
        """Say where a finisher is wider than the slot, or a wall is met without a lead."""
        work, ring, before = course.work, course.rings[-1], course.before
        if before is None:
            return
        fresh = ring.standing_mm + ring.mounted.diameter_mm - before.reach_mm
        if fresh > 1e-6 and before.standing_mm > ring.standing_mm:
            self.tell(
                "finisher-too-wide",
                Severity.TIGHT,
                work.contour,
                f"{work.contour.name}: the {ring.mounted.name} is {fresh:.2f} mm wider than the "
                "slot that roughing left, so it cuts fresh material on the far side; take a "
                "finisher no wider than the rougher.",
            )
        stock = before.standing_mm - ring.standing_mm
        met = [t for t in trips if not t.clearing and t.entry_kind is Entry.PLUNGE]
        if stock > 0.0 and any(is_nowhere(t.entry) for t in met):
            self.tell(
                "no-lead",
                Severity.TIGHT,
                work.contour,
                f"{work.contour.name}: no room for an arc that meets the wall, so the finish goes "
                "down on the wall and leaves a mark; take a smaller cutter there.",
            )

    def tell(self, code: str, weight: Severity, contour: Contour | None, message: str) -> None:
        """Note a finding about a contour, or about the whole drawing."""
        if contour is None:
            self.findings.append(Finding(code, weight, message, drawing=self._drawing))
            return
        x, y = contour.path.points[0]
        self.findings.append(
            Finding(
                code,
                weight,
                message,
                at_mm=(float(x), float(y)),
                contour_id=contour.id,
                drawing=self._drawing,
            )
        )
