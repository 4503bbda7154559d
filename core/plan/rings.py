"""The rings of a step: closed lines of the cutter's centre, from the wall inwards.

Where all of the inside becomes chips (a pocket, or a piece of waste that would come loose), rings
follow each other inwards until nothing is left; they are cut from the inside out, so that each
finds a cleared neighbour.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from core.geometry.offset import offset, offset_region

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.geometry.offset import Offset
    from core.geometry.path import Path
    from core.library.records import MountedCutter, RecipeStep
    from core.plan.choices import Cutting
    from core.plan.work import Work

STEP_OVER_SHARE = 0.45
"""Distance of neighbouring rings as a share of the diameter: below a half, so that nothing stands
between them (common practice, no source: about half the diameter)."""


@dataclass(frozen=True, eq=False, slots=True)
class Ring:
    """One ring of one step, with what it is for.

    Parameters
    ----------
    work : Work
        What is cut.
    path : Path
        The cutter's centre line, closed.
    wall : Path
        The contour, or the island, that it runs along.
    step : RecipeStep
        The line of the recipe.
    mounted : MountedCutter
        The cutter.
    inside : bool
        The cutter runs inside of `wall`.
    standing_mm : float
        How far off the finished wall its edge stays. [mm]
    beside_mm : float
        How far off its line its neighbour runs, which is cut before it; 0 for none. [mm]
    flagged : bool
        The offset kernel gave another offset than the one asked for.
    """

    work: Work
    path: Path
    wall: Path
    step: RecipeStep
    mounted: MountedCutter
    inside: bool
    standing_mm: float
    beside_mm: float
    flagged: bool

    @property
    def is_clearing(self) -> bool:
        """Whether it only clears, away from every wall."""
        return self.standing_mm > self.step.standing_mm + 1e-9


def rings_of_step(
    works: Sequence[Work], step_of: Sequence[RecipeStep], cutting: Cutting
) -> list[list[Ring]]:
    """Return the rings of a step for many contours, from the inside out; the last run at the wall.

    Parameters
    ----------
    works : sequence of Work
        What is cut.
    step_of : sequence of RecipeStep
        The step of each.
    cutting : Cutting
        The cutters.
    """
    cutters = [w.cutter(s, cutting) for w, s in zip(works, step_of, strict=True)]
    found: list[list[Ring]] = [[] for _ in works]
    left = list(range(len(works)))
    number = 0
    while left:
        standing = {
            i: step_of[i].standing_mm + number * STEP_OVER_SHARE * cutters[i].diameter_mm
            for i in left
        }
        offsets = _offsets(works, step_of, cutters, standing)
        grown = []
        for i in left:
            rings = _rings(works[i], step_of[i], cutters[i], standing[i], offsets[i])
            found[i] += rings
            if rings and works[i].clears:
                grown.append(i)
        left, number = grown, number + 1
    return [_with_neighbours(rings) for rings in found]


def _offsets(
    works: Sequence[Work],
    step_of: Sequence[RecipeStep],
    cutters: Sequence[MountedCutter],
    standing: dict[int, float],
) -> dict[int, Offset]:
    """Return the offset of each contour; all that have no islands in one pass a corner style."""
    away = {
        i: (-1.0 if works[i].inside else 1.0) * (cutters[i].diameter_mm / 2.0 + off)
        for i, off in standing.items()
    }
    found = {
        i: offset_region(works[i].contour.path, works[i].islands, away[i], "roll")
        for i in standing
        if works[i].islands
    }
    for corner in {step_of[i].corner for i in standing}:
        mine = [i for i in standing if step_of[i].corner is corner and i not in found]
        paths = [works[i].contour.path for i in mine]
        results = offset(paths, [away[i] for i in mine], corner=corner.value)
        found.update(zip(mine, results, strict=True))
    return found


def _rings(
    work: Work, step: RecipeStep, mounted: MountedCutter, standing_mm: float, result: Offset
) -> list[Ring]:
    rings = []
    for path in result.paths:
        # round an island of a region the ring runs clockwise
        around = bool(work.islands) and path.area_mm2 < 0.0
        wall = _nearest_island(work, path) if around else work.contour.path
        rings.append(
            Ring(
                work,
                path,
                wall,
                step,
                mounted,
                work.inside and not around,
                standing_mm,
                0.0,
                result.flagged,
            )
        )
    return rings


def _nearest_island(work: Work, ring: Path) -> Path:
    x, y = ring.points[0]

    def distance(island: Path) -> float:
        low_x, low_y, high_x, high_y = island.bounds_mm
        return float(max(low_x - x, x - high_x, 0.0) + max(low_y - y, y - high_y, 0.0))

    return min(work.islands, key=distance)


def _with_neighbours(rings: list[Ring]) -> list[Ring]:
    """Return the rings from the inside out, each with the distance to the one cut before it."""
    inwards = sorted({ring.standing_mm for ring in rings})
    gap = {near: far - near for near, far in pairwise(inwards)}
    outwards = sorted(rings, key=lambda ring: -ring.standing_mm)
    return [
        replace(ring, beside_mm=gap[ring.standing_mm]) if ring.standing_mm in gap else ring
        for ring in outwards
    ]
