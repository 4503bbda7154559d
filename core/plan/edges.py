"""Edge breaks: a small chamfer along the upper edge, made by the flank of a V cutter.

Terms: the *width* of an edge break is what it takes off the top of the sheet, seen from above. The
cutter's end runs a little below the chamfer and off the wall, because the end of a cone hardly
moves. Depth is taken from the top: where the sheet is thinner than it was planned the chamfer is
smaller, and where the sheet's tolerance is larger than the chamfer there may be none.

The cutter's axis runs at a = flat / 2 + below tan(angle / 2) off the wall, and its end at
width / tan(angle / 2) + below under the top: plane geometry of a cone.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.contours.records import Kind
from core.errors import Severity
from core.geometry.offset import offset
from core.job import FROM_THE_TOP, Task
from core.plan.profile import Course, Level, gentlest_starts, lines_of
from core.plan.records import Engaged, Toolpath
from core.plan.rings import Ring
from core.plan.work import INSIDE, Work

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.job import DrawingFile
    from core.library.records import Cutter
    from core.plan.choices import Cutting
    from core.plan.notices import Notices

USUAL_MM = 0.4
"""Width where the task is an edge break and nobody gave one: 0.3 to 0.5 mm is common practice, no
source."""

ABOVE_BED_MM = 0.1
"""How far above the bed the end of the cutter stays."""

CUT_THROUGH = frozenset({Task.OUTSIDE, Task.INSIDE, Task.BORE, Task.DRILL})
"""Tasks whose edges a job's own edge break is for."""

STAGE = 1
"""Edges are broken while the piece is still held."""


@dataclass(frozen=True, slots=True)
class Chamfer:
    """Where a V cutter runs to break an edge: width, depths below the top, distance off the wall.

    Parameters
    ----------
    width_mm, height_mm : float
        Of the chamfer. [mm]
    end_mm : float
        How deep below the top the cutter's end runs. [mm]
    off_mm : float
        How far off the wall its axis runs. [mm]
    """

    width_mm: float
    height_mm: float
    end_mm: float
    off_mm: float


def chamfer_of(
    width_mm: float, cutter: Cutter, below_mm: float, thickness_mm: float
) -> Chamfer | None:
    """Return how a V cutter makes a chamfer; None where cutter or sheet is too small for it.

    Parameters
    ----------
    width_mm : float
        Width that is wanted. [mm]
    cutter : Cutter
        A V cutter.
    below_mm : float
        How far below the chamfer its end shall run; less where there is no room. [mm]
    thickness_mm : float
        Of the sheet. [mm]

    Examples
    --------
    >>> from core.library.shelf import Shelf
    >>> chamfer = chamfer_of(0.4, Shelf().cutter("v_90"), 0.5, 6.0)
    >>> round(chamfer.end_mm, 6), round(chamfer.off_mm, 6)
    (0.9, 0.6)
    """
    height = width_mm / cutter.tip_slope
    room = min(cutter.tip_length_mm, thickness_mm - ABOVE_BED_MM) - height
    if room < 0.0:
        return None
    below = min(below_mm, room)
    off = cutter.tip_flat_mm / 2.0 + below * cutter.tip_slope
    return Chamfer(width_mm, height, height + below, off)


def edge_breaks(
    index: int, contours: Contours, file: DrawingFile, cutting: Cutting, notices: Notices
) -> dict[int, list[Toolpath]]:
    """Return the trips that break the edges of a drawing, by contour id.

    Parameters
    ----------
    index : int
        Number of the drawing.
    contours : Contours
        Its contours.
    file : DrawingFile
        What was decided by hand.
    cutting : Cutting
        Sheet, V cutter, and the job's own edge break.
    notices : Notices
        Told where an edge cannot be broken, or not evenly.
    """
    wanted = _widths(contours, file, cutting)
    if not wanted or cutting.edge is None:
        return {}
    recipe = cutting.recipe_for(Task.EDGE_BREAK, None)
    below, cutter = recipe.steps[0].tip_below_mm, cutting.edge.cutter
    fits = [
        (contour, chamfer)
        for contour, width in wanted
        if (chamfer := chamfer_of(width, cutter, below, cutting.thickness_mm)) is not None
    ]
    away = [chamfer.off_mm * (-1.0 if _inside(c) else 1.0) for c, chamfer in fits]
    rings = offset([c.path for c, _ in fits], away, corner=recipe.steps[0].corner.value)
    courses, chamfers = [], []
    for (contour, chamfer), result in zip(fits, rings, strict=True):
        if result.paths:
            work = Work(
                drawing=index,
                contour=contour,
                recipe=recipe,
                inside=_inside(contour),
                top_mm=cutting.thickness_mm,
                bottom_mm=cutting.thickness_mm - chamfer.end_mm,
            )
            own = tuple(
                Ring(
                    work,
                    path,
                    contour.path,
                    recipe.steps[0],
                    cutting.edge,
                    work.inside,
                    0.0,
                    0.0,
                    result.flagged,
                )
                for path in result.paths
            )
            courses.append(Course(work, own, (Level(0, work.top_mm, work.bottom_mm),), None))
            chamfers.append(chamfer)
    found = _trips(courses, chamfers)
    _tell(wanted, found, cutting, notices)
    return found


def _widths(contours: Contours, file: DrawingFile, cutting: Cutting) -> list[tuple[Contour, float]]:
    """Return the contours whose edge is to be broken, and how wide."""
    by_hand = {c.contour_id: c.edge_break_mm for c in file.contours if c.edge_break_mm is not None}
    tasks = {contour.id: contour.task for contour in contours.contours}
    found = []
    for contour in contours.contours:
        # the edge of a hole in a recess lies below the top
        on_top = contour.parent is None or tasks[contour.parent] not in FROM_THE_TOP
        width = cutting.edge_break_mm if on_top and contour.task in CUT_THROUGH else None
        if contour.task is Task.EDGE_BREAK:
            width = cutting.edge_break_mm or USUAL_MM
        if contour.task in INSIDE or contour.task in (Task.DRILL, Task.EDGE_BREAK):
            width = by_hand.get(contour.id, width)
        if width and contour.path.closed:
            found.append((contour, width))
    return found


def _inside(contour: Contour) -> bool:
    """Whether the cutter runs inside of a contour."""
    if contour.task is Task.EDGE_BREAK:
        return contour.kind is Kind.HOLE
    return INSIDE.get(contour.task, True)


def _trips(courses: list[Course], chamfers: list[Chamfer]) -> dict[int, list[Toolpath]]:
    if not courses:
        return {}
    lines = lines_of(courses)
    trips = lines.trips(gentlest_starts(lines), [STAGE] * len(courses))
    found = {}
    for course, chamfer, own in zip(courses, chamfers, trips, strict=True):
        top = course.work.top_mm
        found[course.work.contour.id] = [
            replace(
                trip,
                bands=(Engaged(top, top - chamfer.height_mm, chamfer.width_mm),),
                beyond_mm=chamfer.width_mm,
                from_top=True,
            )
            for trip in own
        ]
    return found


def _tell(
    wanted: list[tuple[Contour, float]],
    found: dict[int, list[Toolpath]],
    cutting: Cutting,
    notices: Notices,
) -> None:
    for contour, width in wanted:
        if contour.id not in found:
            notices.tell(
                "edge-not-broken",
                Severity.TIGHT,
                contour,
                f"{contour.name}: the V cutter has no room for an edge break of {width:g} mm, so "
                "its upper edge stays sharp; break it by hand, or take a narrower one.",
            )
    least = min((width for contour, width in wanted if contour.id in found), default=None)
    if least is not None and cutting.top_error_mm > least:
        notices.tell(
            "edge-uneven",
            Severity.TIGHT,
            None,
            f"An edge break of {least:g} mm is taken from the top of the sheet, and the top may "
            f"lie {cutting.top_error_mm:.2f} mm off where the plan has it: in places the edge "
            "stays sharp, in others it is broken too wide. Measure the sheet's thickness in "
            "several places, or break the edges by hand.",
        )
