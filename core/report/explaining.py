"""Finds an explained number by contour, step and name, for the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import UnknownNameError

if TYPE_CHECKING:
    from core.explained import Explained
    from core.report.records import Report


def explanations(report: Report, contour_id: int, step: str, number: str) -> tuple[Explained, ...]:
    """Return the explained numbers that fit; an empty name means all of them.

    Raises
    ------
    UnknownNameError
        If there is no such contour, step or number.
    """
    contours = {str(c.id): c for c in report.contours if c.passes}
    if str(contour_id) not in contours:
        raise UnknownNameError("contour that is cut", str(contour_id), contours)
    passes = contours[str(contour_id)].passes
    if step and step not in {p.step for p in passes}:
        raise UnknownNameError("step", step, {p.step for p in passes})
    chosen = [p for p in passes if not step or p.step == step]
    every = [e for p in chosen for e in (*p.numbers, *(li.explained for li in p.limits))]
    # heat_margin is the contract's word for what the limit "heat" says
    wanted = "heat" if number == "heat_margin" else number
    if wanted and wanted not in {e.key for e in every}:
        raise UnknownNameError("number", number, {e.key for e in every})
    return tuple(e for e in every if not wanted or e.key == wanted)
