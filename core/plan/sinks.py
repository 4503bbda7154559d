"""Countersinks: cones for the heads of screws, from the diameter of a ring and the angle of a V.

The reader finds two circles about one middle and asks; the user gives the outer one its task. The V
cutter goes straight down in the middle, until it is as wide at the top of the sheet as the ring is.
A counterbore is a pocket with a hole through its floor: see `core.plan.work`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.errors import Severity
from core.job import Task
from core.plan.drilling import straight_down
from core.plan.records import Engaged, Peck

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.plan.choices import Cutting
    from core.plan.notices import Notices
    from core.plan.records import Toolpath

ONE_MIDDLE_MM = 0.1
"""Circles whose middles lie nearer to each other than this are about one middle."""

STAGE = 1
"""After the hole in its middle was begun, so that the end of the V runs free."""


def countersink(
    index: int, contour: Contour, contours: Contours, cutting: Cutting, notices: Notices
) -> Toolpath | None:
    """Return the trip of a V cutter that makes a countersink; None where it cannot, which is told.

    Parameters
    ----------
    index : int
        Number of the drawing.
    contour : Contour
        The ring: a circle as wide as the countersink is at the top.
    contours : Contours
        All contours of the drawing: the hole in its middle is one of them.
    cutting : Cutting
        Sheet and V cutter.
    notices : Notices
        Told what stands against it.
    """
    diameter, mounted = contour.circle_diameter_mm, cutting.edge
    if diameter is None or mounted is None:
        return None
    cutter, name = mounted.cutter, contour.name
    if diameter > mounted.diameter_mm:
        notices.tell(
            "sink-too-wide",
            Severity.OUTSIDE,
            contour,
            f"{name}: a countersink of {diameter:g} mm is wider than the {mounted.name} "
            f"({mounted.diameter_mm:g} mm), so it is not cut; choose a wider V cutter.",
        )
        return None
    depth = (diameter - cutter.tip_flat_mm) / 2.0 / cutter.tip_slope
    hole = _hole_in(contour, contours)
    cone = min((diameter - hole) / 2.0 / cutter.tip_slope, depth)
    end = cutting.thickness_mm - depth
    if cone >= cutting.thickness_mm or end < -cutting.overcut_mm:
        notices.tell(
            "sink-too-deep",
            Severity.OUTSIDE,
            contour,
            f"{name}: the cone of a countersink of {diameter:g} mm is {cone:.2f} mm deep and the "
            f"end of the V {depth:.2f} mm, in a sheet of {cutting.thickness_mm:g} mm, so it is "
            "not cut; choose a smaller head, a wider angle or a counterbore.",
        )
        return None
    if cutting.is_brittle:
        notices.tell(
            "brittle-countersink",
            Severity.TIGHT,
            contour,
            f"{name}: the head of a screw wedges a countersink open, and brittle sheet cracks "
            "there (common practice, no source); take a screw with a flat underside and a washer "
            "over a hole with room, or a counterbore.",
        )
    step = cutting.recipe_for(Task.COUNTERSINK, None).steps[0]
    top = cutting.thickness_mm
    trip = straight_down(index, contour, cutting, mounted, step, [Peck(top, end)])
    band = Engaged(top, top - cone, diameter)
    return replace(trip, bands=(band,), stage=STAGE, from_top=True)


def _hole_in(ring: Contour, contours: Contours) -> float:
    """Return the diameter of the hole that is cut in the middle of a ring, 0 for none. [mm]."""
    return max(
        (
            other.circle_diameter_mm
            for other in contours.contours
            if other.parent == ring.id
            and other.circle_diameter_mm is not None
            and other.task in (Task.INSIDE, Task.BORE, Task.DRILL)
            and _apart_mm(ring, other) <= ONE_MIDDLE_MM
        ),
        default=0.0,
    )


def _apart_mm(one: Contour, other: Contour) -> float:
    middles = [np.add(c.path.bounds_mm[:2], c.path.bounds_mm[2:]) / 2.0 for c in (one, other)]
    return float(np.hypot(*(middles[1] - middles[0])))
