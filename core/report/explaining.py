"""Finds an explained number by contour, step and name, for the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import PlanError

if TYPE_CHECKING:
    from core.explained import Explained
    from core.report.records import Report


def explanations(report: Report, contour_id: int, step: str, number: str) -> tuple[Explained, ...]:
    """Return the explained numbers that fit; an empty name means all of them.

    Raises
    ------
    PlanError
        If there is no such contour, step or number.
    """
    contours = {str(c.id): c for c in report.contours if c.passes}
    if str(contour_id) not in contours:
        raise PlanError(f"contour {contour_id} is not cut; these are: {', '.join(contours)}")
    passes = contours[str(contour_id)].passes
    if step and step not in {p.step for p in passes}:
        names = ", ".join(dict.fromkeys(p.step for p in passes))
        raise PlanError(f"contour {contour_id} has no step {step!r}; it has: {names}")
    chosen = [p for p in passes if not step or p.step == step]
    every = [e for p in chosen for e in (*p.numbers, *(li.explained for li in p.limits))]
    # heat_margin is the contract's word for what the limit "heat" says
    wanted = "heat" if number == "heat_margin" else number
    if wanted and wanted not in {e.key for e in every}:
        names = ", ".join(dict.fromkeys(e.key for e in every))
        raise PlanError(f"no number is called {number!r}; these are: {names}")
    return tuple(e for e in every if not wanted or e.key == wanted)
