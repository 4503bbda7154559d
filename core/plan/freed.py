"""The pieces that come loose when a contour is cut through: parts and pieces of waste.

An outside contour frees its part, less the holes in it; an inside one frees what the cutter leaves
standing in the middle, if anything. A narrow piece of waste is cut to chips instead; a skin or tabs
free nothing.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.geometry.offset import offset
from core.job import FROM_THE_TOP, Task

if TYPE_CHECKING:
    from core.contours.records import Contours
    from core.geometry.path import Path
    from core.plan.choices import Cutting
    from core.plan.work import Work


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


def with_waste_cleared(works: list[Work], cutting: Cutting) -> list[Work]:
    """Return the work with narrow pieces of waste cut to chips, as their recipes say."""
    cores = [w for w in works if w.inside and w.is_through and not w.clears]
    widths = [_slot_mm(w, cutting) for w in cores]
    limits = [
        width + w.recipe.clear_times_diameter * width / 2.0
        for w, width in zip(cores, widths, strict=True)
    ]
    standing = _within(cores, widths)
    rows = zip(cores, limits, standing, strict=True)
    leave = [(w, limit) for w, limit, core in rows if core]
    wide = _within([w for w, _ in leave], [limit for _, limit in leave])
    narrow = {id(w) for (w, _), rest in zip(leave, wide, strict=True) if not rest}
    return [replace(w, clears=True) if id(w) in narrow else w for w in works]


def _within(works: list[Work], away_mm: list[float]) -> list[tuple[Path, ...]]:
    """Return what lies inside of some contours, further off them than a distance each."""
    paths = [w.contour.path for w in works]
    found = offset(paths, [-away for away in away_mm], corner="roll")
    return [one.paths for one in found]


def freed_pieces(works: list[Work], contours: Contours, cutting: Cutting) -> dict[int, Freed]:
    """Return the largest piece that each contour frees, by contour id."""
    found: dict[int, Freed] = {}
    cores = []
    holes = _hole_areas_mm2(contours)
    for work in works:
        last = work.recipe.steps[-1]
        if not work.is_through or last.floor_stock_mm > 0.0 or last.tab_count:
            continue
        if not work.inside:
            area = abs(work.contour.path.area_mm2) - holes.get(work.contour.id, 0.0)
            found[work.contour.id] = Freed(area, is_waste=False)
        elif not work.clears:
            cores.append(work)
    left = _within(cores, [_slot_mm(w, cutting) for w in cores])
    for work, core in zip(cores, left, strict=True):
        areas = [abs(path.area_mm2) for path in core]
        if areas:
            found[work.contour.id] = Freed(max(areas), is_waste=True)
    return found


def _slot_mm(work: Work, cutting: Cutting) -> float:
    """Return how far from the wall everything is cut away. [mm]."""
    return max(
        step.standing_mm + work.cutter(step, cutting).diameter_mm for step in work.recipe.steps
    )


def _hole_areas_mm2(contours: Contours) -> dict[int | None, float]:
    """Return the area of the holes in each contour. [mm2]."""
    areas: dict[int | None, float] = defaultdict(float)
    for c in contours.contours:
        if c.task is not Task.NONE and c.task not in FROM_THE_TOP:
            areas[c.parent] += abs(c.path.area_mm2)
    return areas
