"""The job in one sentence: the same words on screen, on paper and on the command line.

Each choice is a piece of its own, so that the window can edit it where it stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.report.records import SentencePart

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.job import Job
    from core.library.records import MountedCutter, RecipeStep
    from core.plan.choices import Choices

AIR_WORDS = {
    "none": "no air on the cutter",
    "suction": "suction",
    "blast": "air blast and suction",
}


def job_sentence(job: Job, chosen: Choices) -> tuple[SentencePart, ...]:
    """Return the sentence as pieces; a piece with a field can be edited."""
    return tuple(_parts(job, chosen))


def _parts(job: Job, chosen: Choices) -> Iterator[SentencePart]:
    yield SentencePart("Cut ")
    yield SentencePart(f"{job.quantity}", "quantity")
    yield SentencePart(" of ")
    yield SentencePart(job.name or _drawing_names(job), "name")
    yield SentencePart(" from ")
    yield SentencePart(_inline(chosen.material.name), "material")
    yield SentencePart(", ")
    yield SentencePart(f"{job.thickness_mm:g} mm", "thickness_mm")
    if job.measured_thickness_mm:
        yield SentencePart(f" (measured {chosen.cutting.thickness_mm:g} mm at the thickest)")
    yield SentencePart(", on the ")
    yield SentencePart(_inline(chosen.sheet.name), "sheet")
    yield SentencePart(". ")
    yield from _steps(job, chosen)
    if chosen.cutting.hole is not None:
        yield SentencePart(" Holes with ")
        yield SentencePart(_cutter(chosen.cutting.hole), "hole_cutter")
        yield SentencePart(".")
    if job.drill_holes:
        yield SentencePart(" Drill the holes that a drill fits.")
    if chosen.cutting.edge_break_mm is not None:
        yield SentencePart(f" Break upper edges by {chosen.cutting.edge_break_mm:g} mm.")
    yield from _setting(job, chosen)


def _steps(job: Job, chosen: Choices) -> Iterator[SentencePart]:
    steps = chosen.cutting.recipe.steps
    if len(steps) == 1:
        yield SentencePart("Cut through in one step with ")
        yield SentencePart(_cutter(chosen.cutting.finish), "finish_cutter")
        yield SentencePart(".")
        return
    first = steps[0]
    yield SentencePart("Rough with ")
    yield SentencePart(_cutter(chosen.cutting.rough), "rough_cutter")
    yield from _stock(first)
    yield SentencePart(_then(steps[1:]))
    yield SentencePart(_cutter(chosen.cutting.finish), "finish_cutter")
    yield SentencePart(".")


def _stock(step: RecipeStep) -> Iterator[SentencePart]:
    yield SentencePart(" leaving ")
    yield SentencePart(f"{step.wall_stock_mm:g} mm", "wall_stock_mm")
    yield SentencePart(" on the wall and ")
    yield SentencePart(f"{step.floor_stock_mm:g} mm", "floor_stock_mm")
    yield SentencePart(" on the floor; ")


def _then(steps: tuple[RecipeStep, ...]) -> str:
    return "then " + ", then ".join(step.name for step in steps) + " through with "


def _cutter(mounted: MountedCutter) -> str:
    return _inline(mounted.name)


def _inline(name: str) -> str:
    """Return a name as it stands inside a sentence: "Full sheet" small, "PETG" and "T1" as is."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _setting(job: Job, chosen: Choices) -> Iterator[SentencePart]:
    yield SentencePart(" Run the spindle at ")
    speed = job.spindle_speed_rpm
    yield SentencePart(
        f"{speed:,.0f} rpm".replace(",", " ") if speed else "the house rule's speed",
        "spindle_speed_rpm",
    )
    yield SentencePart(" in the ")
    yield SentencePart(_inline(chosen.cutting.rough.holder.name), "holder")
    yield SentencePart(", on the ")
    yield SentencePart(_inline(chosen.machine.name), "machine")
    yield SentencePart(", with ")
    yield SentencePart(AIR_WORDS[chosen.air.value], "air")
    yield SentencePart(".")


def _drawing_names(job: Job) -> str:
    return " and ".join(d.name for d in job.drawings) or "nothing yet"
