"""What is to be cut along one contour: which side, which recipe, from where to where.

Heights from the bed. A through cut goes from the top of the sheet into the board; a pocket is taken
from the top down to its floor.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.job import Task

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.geometry.path import Path
    from core.job import DrawingFile
    from core.library.records import MountedCutter, Recipe, RecipeStep
    from core.plan.choices import Cutting

INSIDE = {
    Task.OUTSIDE: False,
    Task.INSIDE: True,
    Task.BORE: True,
    Task.POCKET: True,
    Task.COUNTERBORE: True,
}
"""Tasks that run round a closed contour, and whether the cutter is inside of it."""


@dataclass(frozen=True, eq=False, slots=True)
class Work:
    """What is to be cut along one contour.

    Parameters
    ----------
    drawing : int
        Index of the drawing.
    contour : Contour
        The contour.
    recipe : Recipe
        The steps.
    inside : bool
        The cutter runs inside of it.
    top_mm, bottom_mm : float
        From the top of the sheet to the floor; below zero in the board. [mm]
    islands : tuple of Path
        What stands inside a pocket.
    clears : bool
        All of the inside is cut to chips.
    """

    drawing: int
    contour: Contour
    recipe: Recipe
    inside: bool
    top_mm: float
    bottom_mm: float
    islands: tuple[Path, ...] = ()
    clears: bool = False

    @property
    def is_through(self) -> bool:
        """Whether it goes through the sheet."""
        return self.bottom_mm <= 0.0

    def cutter(self, step: RecipeStep, cutting: Cutting) -> MountedCutter:
        """Return the cutter that a step takes here."""
        return cutting.cutter(step.cutter, inside=self.inside)

    def bottom_of(self, step: RecipeStep) -> float:
        """Return how deep a step goes: down to what it leaves on the floor. [mm]."""
        floor = max(self.bottom_mm, 0.0)
        return floor + step.floor_stock_mm if step.floor_stock_mm > 0.0 else self.bottom_mm


def works_of(index: int, contours: Contours, file: DrawingFile, cutting: Cutting) -> list[Work]:
    """Return what is to be cut round the closed contours of a drawing.

    Pockets without a depth are left out; the caller says so.
    """
    by_hand = {choice.contour_id: choice for choice in file.contours}
    found = []
    for contour in contours.contours:
        if contour.task not in INSIDE or not contour.path.closed:
            continue
        choice = by_hand.get(contour.id)
        depth = choice.depth_mm if choice else None
        is_pocket = contour.task in (Task.POCKET, Task.COUNTERBORE)
        if is_pocket and depth is None:
            continue
        bottom = -cutting.overcut_mm
        if is_pocket and depth is not None and depth < cutting.thickness_mm:
            bottom = cutting.thickness_mm - depth
        islands = _islands(contour, contours) if is_pocket else ()
        found.append(
            Work(
                drawing=index,
                contour=contour,
                recipe=cutting.recipe_for(contour.task, choice.recipe if choice else None),
                inside=INSIDE[contour.task],
                top_mm=cutting.thickness_mm,
                bottom_mm=bottom,
                islands=islands,
                clears=is_pocket,
            )
        )
    return found


def _islands(pocket: Contour, contours: Contours) -> tuple[Path, ...]:
    """Return what stands in a pocket: contours right inside of it that are left standing."""
    return tuple(
        c.path
        for c in contours.contours
        if c.parent == pocket.id and c.task in (Task.NONE, Task.OUTSIDE)
    )
