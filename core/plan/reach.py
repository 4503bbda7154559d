"""What the finishing cutter cannot reach: inside corners tighter than its radius.

Only contours that bend towards the cutter tighter than its radius are looked at; the others are
reached everywhere, and cost nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.errors import Finding, Severity
from core.geometry.swept import unreached_of
from core.plan.work import INSIDE

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.contours.records import Contour, Contours
    from core.plan.choices import Cutting

SHARP_RAD = math.radians(0.5)
"""A turn below this is rounding, not a corner."""

LEAST_MM2 = 1e-3
"""Less than this left in a corner is not worth telling."""


@dataclass(frozen=True, eq=False, slots=True)
class Reach:
    """What is left uncut in corners.

    Parameters
    ----------
    unreached_mm2 : mapping of (drawing, contour id) to float
        Area left uncut, for every contour that is cut round. [mm2]
    findings : tuple of Finding
        Where something is left.
    """

    unreached_mm2: Mapping[tuple[int, int], float]
    findings: tuple[Finding, ...]


def look_for_reach(drawings: tuple[Contours, ...], cutting: Cutting) -> Reach:
    """Return what the finishing cutters leave uncut in the corners of every contour."""
    areas: dict[tuple[int, int], float] = {}
    findings: list[Finding] = []
    for drawing, contours in enumerate(drawings):
        for inside in (False, True):
            radius = cutting.cutter("finish", inside=inside).diameter_mm / 2.0
            mine = [c for c in contours.contours if INSIDE.get(c.task) is inside]
            areas |= {(drawing, c.id): 0.0 for c in mine}
            tight = [c for c in mine if is_tighter(c, radius, inside=inside)]
            left = unreached_of([c.path for c in tight], radius, [inside] * len(tight))
            for contour, (area, places) in zip(tight, left, strict=True):
                areas[drawing, contour.id] = area
                # where the cutter does not fit at all, that is told by itself
                if LEAST_MM2 < area < 0.999 * abs(contour.path.area_mm2):
                    worst = max(places, key=lambda place: place.area_mm2)
                    findings.append(
                        _finding(drawing, contour, area, len(places), radius, worst.at_mm)
                    )
    return Reach(areas, tuple(findings))


def is_tighter(contour: Contour, radius_mm: float, *, inside: bool) -> bool:
    """Tell whether a contour bends towards a cutter tighter than the cutter's radius."""
    seg = contour.path.segments
    # on a counter-clockwise path a left turn is hollow seen from inside, a right one from outside
    way = math.copysign(1.0, contour.path.area_mm2) * (1.0 if inside else -1.0)
    arrive = np.roll(seg.heading_rad + seg.sweep_rad, 1)
    turn = np.remainder(seg.heading_rad - arrive + math.pi, 2.0 * math.pi) - math.pi
    bend = way * seg.curvature_per_mm
    return bool((way * turn > SHARP_RAD).any() or (bend * radius_mm > 1.0 + 1e-9).any())


def _finding(
    drawing: int,
    contour: Contour,
    area_mm2: float,
    count: int,
    radius_mm: float,
    at_mm: tuple[float, float],
) -> Finding:
    corners = "a corner" if count == 1 else f"{count} corners"
    return Finding(
        "corner-unreached",
        Severity.NOTE,
        f"{contour.name}: {area_mm2:.2f} mm2 stay uncut in {corners} tighter than the finisher's "
        f"radius of {radius_mm:g} mm; take a smaller finisher, or draw larger radii.",
        at_mm=at_mm,
        contour_id=contour.id,
        drawing=drawing,
    )
