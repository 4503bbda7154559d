"""Trips of pointed cutters: drilled holes, countersinks, edge breaks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.job import Task
from core.plan.drilling import drilled_hole
from core.plan.edges import edge_breaks
from core.plan.sinks import countersink

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.job import DrawingFile
    from core.plan.choices import Cutting
    from core.plan.notices import Notices
    from core.plan.records import Toolpath


def pointed_trips(
    index: int, contours: Contours, file: DrawingFile, cutting: Cutting, notices: Notices
) -> dict[int, list[Toolpath]]:
    """Return the trips of drills and V cutters in a drawing, by contour id.

    Parameters
    ----------
    index : int
        Number of the drawing.
    contours : Contours
        Its contours.
    file : DrawingFile
        What was decided by hand.
    cutting : Cutting
        Sheet, recipes and cutters.
    notices : Notices
        Told what stands against a task.
    """
    found: dict[int, list[Toolpath]] = {}
    for contour in contours.contours:
        trip = _into(index, contour, contours, cutting, notices)
        if trip is not None:
            found[contour.id] = [trip]
    for number, trips in edge_breaks(index, contours, file, cutting, notices).items():
        found.setdefault(number, []).extend(trips)
    return found


def _into(
    index: int, contour: Contour, contours: Contours, cutting: Cutting, notices: Notices
) -> Toolpath | None:
    """Return the trip straight down into a contour, if that is its task."""
    if contour.task is Task.DRILL:
        return drilled_hole(index, contour, cutting, notices)
    if contour.task is Task.COUNTERSINK:
        return countersink(index, contour, contours, cutting, notices)
    return None
