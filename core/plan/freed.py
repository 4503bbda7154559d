"""The pieces that come loose when a contour is cut through: parts and pieces of waste.

An outside contour frees its part, less the holes in it; an inside one frees what the cutter leaves
standing in the middle, if anything.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.geometry.offset import offset
from core.job import Task

if TYPE_CHECKING:
    from core.contours.records import Contours
    from core.plan.choices import Cutting


@dataclass(frozen=True, slots=True)
class Freed:
    """A piece that comes loose.

    Parameters
    ----------
    area_mm2 : float
        Its area on the table. [mm2]
    is_waste : bool
        True for what is no part.
    """

    area_mm2: float
    is_waste: bool


def freed_pieces(drawings: tuple[Contours, ...], cutting: Cutting) -> dict[tuple[int, int], Freed]:
    """Return the largest piece that each contour frees, by drawing and contour id."""
    found: dict[tuple[int, int], Freed] = {}
    for index, contours in enumerate(drawings):
        for contour in contours.contours:
            if contour.task is Task.OUTSIDE:
                holes = sum(
                    abs(c.path.area_mm2)
                    for c in contours.contours
                    if c.parent == contour.id and c.task is not Task.NONE
                )
                area = abs(contour.path.area_mm2) - holes
                found[index, contour.id] = Freed(area, is_waste=False)
        inside = [c for c in contours.contours if c.task is Task.INSIDE]
        width = cutting.cutter("finish", inside=True).diameter_mm
        cores = offset([c.path for c in inside], -width, corner="roll")
        for contour, core in zip(inside, cores, strict=True):
            areas = [abs(path.area_mm2) for path in core.paths]
            if areas:
                found[index, contour.id] = Freed(max(areas), is_waste=True)
    return found
