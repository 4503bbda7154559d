"""Findings about the job as a whole, and the cautions that matter for its plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import Finding, Severity
from core.library.cautions import When, cautions_for
from core.library.records import Helix
from core.report.fitting import fitting_findings
from core.report.guard_openings import opening_findings
from core.report.sheet_notes import sheet_notes

if TYPE_CHECKING:
    from core.contours.records import Contours
    from core.job import Job
    from core.plan.choices import Choices

GUARD_WORDS = ("guard", "shield")


def job_findings(job: Job, chosen: Choices, contours: tuple[Contours, ...]) -> tuple[Finding, ...]:
    """Return what there is to say about the job as a whole."""
    found = []
    if chosen.material.brittle and is_guard(job):
        found.append(
            Finding(
                "brittle-guard",
                Severity.OUTSIDE,
                f"The job is called a guard and the sheet is {chosen.material.name}, which "
                "shatters when it is struck: a machine guard is never made of it. Choose "
                "polycarbonate, and ask a qualified person what the guard must withstand.",
            )
        )
    if is_guard(job):
        for drawing, drawn in enumerate(contours):
            found += opening_findings(drawn, drawing)
            found += fitting_findings(drawn, chosen.material, drawing)
    return (*found, *sheet_notes(job, chosen))


def plan_cautions(job: Job, chosen: Choices, *, frees: bool, hot: bool) -> tuple[str, ...]:
    """Return the cautions that a plan calls for.

    Parameters
    ----------
    job, chosen : Job, Choices
        What was decided.
    frees : bool
        Whether the plan cuts anything loose.
    hot : bool
        Whether the heat of any pass is not good.
    """
    cutters = (chosen.cutting.rough, chosen.cutting.finish, chosen.cutting.hole)
    guard = is_guard(job)
    holds = {
        When.LOOSE_PARTS: frees,
        When.BRITTLE: chosen.material.brittle,
        When.GUARD: guard,
        When.BRITTLE_GUARD: guard and chosen.material.brittle,
        When.DOWNSHEAR: any(c and c.cutter.helix is Helix.DOWNSHEAR for c in cutters),
        When.HOT: hot,
        When.NOT_MODELLED: chosen.material.heat is None,
    }
    when = {word for word, true in holds.items() if true}
    return tuple(str(caution) for caution in cautions_for(chosen.material.key, when))


def is_guard(job: Job) -> bool:
    """Tell whether the job or a drawing of it is called a guard."""
    name = " ".join([job.name, *(drawing.name for drawing in job.drawings)]).lower()
    return any(word in name for word in GUARD_WORDS)
