"""Findings about the job as a whole, and the cautions that matter for its plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import Finding, Severity
from core.heat.records import state_word
from core.library.cautions import When, cautions_for
from core.library.records import Helix

if TYPE_CHECKING:
    from core.contours.records import Contours
    from core.job import Job
    from core.plan.choices import Choices
    from core.report.records import ContourReport

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
    if job.drawings and not any(c.contours for c in contours):
        found.append(
            Finding(
                "nothing-to-cut",
                Severity.OUTSIDE,
                "There is no line, arc or curve to cut in the drawing; check its layers, or "
                "whether it holds only text and dimensions.",
            )
        )
    return tuple(found)


def plan_cautions(
    job: Job, chosen: Choices, contours: tuple[ContourReport, ...]
) -> tuple[str, ...]:
    """Return the cautions that this plan calls for."""
    passes = [one for contour in contours for one in contour.passes]
    cutters = (chosen.cutting.rough, chosen.cutting.finish, chosen.cutting.hole)
    guard = is_guard(job)
    holds = {
        When.LOOSE_PARTS: any(one.z_bottom_mm <= 0.0 for one in passes),
        When.BRITTLE: chosen.material.brittle,
        When.GUARD: guard,
        When.BRITTLE_GUARD: guard and chosen.material.brittle,
        When.DOWNSHEAR: any(c and c.cutter.helix is Helix.DOWNSHEAR for c in cutters),
        When.HOT: any(p.p_hot is not None and state_word(p.p_hot) != "good" for p in passes),
        When.NOT_MODELLED: chosen.material.heat is None,
    }
    when = {word for word, true in holds.items() if true}
    return tuple(str(caution) for caution in cautions_for(chosen.material.key, when))


def is_guard(job: Job) -> bool:
    """Tell whether the job or a drawing of it is called a guard."""
    name = " ".join([job.name, *(drawing.name for drawing in job.drawings)]).lower()
    return any(word in name for word in GUARD_WORDS)
