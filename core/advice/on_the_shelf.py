"""What hangs on the shelf besides what the job has: cutters near in size, recipes, holders."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from core.errors import LibraryError
from core.library.records import CutterForm
from core.plan.choices import TASK_RECIPES
from core.plan.feeds import chip_load_range

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.advice.target import Target
    from core.library.records import MountedCutter, Recipe
    from core.library.shelf import Shelf

NEAREST = 2
"""Cutters tried on each side of the present diameter, and of the same diameter."""


def usable(shelf: Shelf, kind: str) -> Iterator[Any]:
    """Yield the entries of a kind whose files can be used."""
    for key in shelf.files(kind):
        try:
            yield shelf.record(kind, key)
        except LibraryError:
            continue


def end_mills(shelf: Shelf) -> Iterator[MountedCutter]:
    """Yield the mounted cutters that cut with their flank: all but drills and V cutters."""
    for one in usable(shelf, "mounted"):
        if one.cutter.form is CutterForm.END_MILL:
            yield one


def other_cutters(target: Target) -> tuple[MountedCutter, ...]:
    """Return the mounted cutters nearest in diameter that can take the role, maker's ranges first.

    Up to two smaller, two larger and two of the same diameter.
    """
    now, material = target.mounted, target.results.chosen.material.key
    others = [
        one
        for one in end_mills(target.shelf)
        if one.key != now.key and not (one.finish_only and target.role != "finish")
    ]
    others.sort(
        key=lambda one: (
            not chip_load_range(one, material)[1],
            abs(one.diameter_mm - now.diameter_mm),
        )
    )
    size = now.diameter_mm
    smaller = [one for one in others if one.diameter_mm < size - 0.01]
    larger = [one for one in others if one.diameter_mm > size + 0.01]
    same = [one for one in others if abs(one.diameter_mm - size) <= 0.01]
    return (*smaller[:NEAREST], *larger[:NEAREST], *same[:NEAREST])


def other_recipes(shelf: Shelf, now: Recipe) -> tuple[Recipe, ...]:
    """Return the recipes that could be used for outlines and holes instead."""
    return tuple(
        one
        for one in usable(shelf, "recipe")
        if one.key != now.key and one.key not in TASK_RECIPES.values()
    )


def makes_the_wall_with(recipe: Recipe) -> str:
    """Return the role of the cutter that leaves the wall of the part: "rough" or "finish"."""
    walls = [step.cutter for step in recipe.steps if step.wall_stock_mm <= 0.0]
    return walls[0] if walls else recipe.steps[-1].cutter
