"""Drilled holes: which drill fits, and the pecks in which it goes down.

Terms: a *peck* is one stretch straight down, after which the drill is lifted clear of the sheet, so
that its chips come out. The drill's *point* is a cone below its full diameter: a hole is through
where the full diameter is, so the end of the point goes deeper into the board than a cutter does.
At *break-through* the point is fed slowly: a drill that is pushed through breaks out the far edge.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.errors import Severity
from core.geometry.path import Path
from core.job import Task
from core.plan.entries import nowhere
from core.plan.profile import depth_levels
from core.plan.records import Engaged, Entry, Peck, Toolpath

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.contours.records import Contour, Contours
    from core.job import DrawingFile
    from core.library.records import MountedCutter, RecipeStep
    from core.plan.choices import Cutting
    from core.plan.notices import Notices

FIT_MM = 0.05
"""A drill makes a hole that differs from its own diameter by no more than this."""

CLEARANCE_MM = 0.5
"""After a lift a drill is fed again from so far above where it was (common practice, no source)."""

DEEP_IN_BOARD_MM = 3.0
"""A point that goes deeper into the board than this is told (common practice, no source)."""


def drill_for(diameter_mm: float, drills: Sequence[MountedCutter]) -> MountedCutter | None:
    """Return the drill whose diameter is that of a hole within `FIT_MM`, the nearest one."""
    near = [d for d in drills if abs(d.diameter_mm - diameter_mm) <= FIT_MM + 1e-9]
    return min(near, key=lambda d: abs(d.diameter_mm - diameter_mm), default=None)


def with_drilled_holes(
    drawings: tuple[Contours, ...],
    files: tuple[DrawingFile, ...],
    drills: tuple[MountedCutter, ...],
) -> tuple[Contours, ...]:
    """Return the contours with every hole drilled that a drill fits and nobody decided about.

    Parameters
    ----------
    drawings : tuple of Contours
        The contours of each drawing.
    files : tuple of DrawingFile
        What was decided by hand for each.
    drills : tuple of MountedCutter
        Drills that may be used.
    """
    found = []
    for contours, file in zip(drawings, files, strict=True):
        by_hand = {choice.contour_id for choice in file.contours if choice.task is not None}
        own = tuple(
            replace(contour, task=Task.DRILL)
            if contour.id not in by_hand and _is_drilled(contour, drills)
            else contour
            for contour in contours.contours
        )
        found.append(replace(contours, contours=own))
    return tuple(found)


def _is_drilled(contour: Contour, drills: Sequence[MountedCutter]) -> bool:
    diameter = contour.circle_diameter_mm
    fits = diameter is not None and drill_for(diameter, drills) is not None
    return fits and contour.task is Task.INSIDE


def pecks_of(
    step: RecipeStep, drill: MountedCutter, top_mm: float, overcut_mm: float
) -> list[Peck]:
    """Return the pecks of a hole through the sheet.

    Equal pecks, none deeper than the step lets it, down to where the point begins to break through;
    from there on slowly in one, until the full diameter is as deep in the board as a cutter would
    be.

    Parameters
    ----------
    step : RecipeStep
        How deep a peck is, where and how slowly it breaks through.
    drill : MountedCutter
        The drill.
    top_mm : float
        Height of the sheet's top above the bed. [mm]
    overcut_mm : float
        How deep a through cut goes into the board. [mm]
    """
    slow_from = min(step.break_through_mm, top_mm)
    end = -overcut_mm - drill.cutter.tip_length_mm
    pecks = []
    if slow_from < top_mm:
        deepest = step.peck_times_diameter * drill.diameter_mm
        pecks = [Peck(v.top_mm, v.bottom_mm) for v in depth_levels(top_mm, slow_from, deepest)]
    pecks.append(Peck(slow_from, end, step.break_through_share))
    again = [replace(peck, from_mm=peck.from_mm + CLEARANCE_MM) for peck in pecks[1:]]
    return [pecks[0], *again]


def drilled_hole(
    index: int, contour: Contour, cutting: Cutting, notices: Notices
) -> Toolpath | None:
    """Return the trip of a drill into a hole; None where no drill fits, which is told."""
    diameter = contour.circle_diameter_mm
    if diameter is None:
        return None
    drill = drill_for(diameter, cutting.drills)
    if drill is None:
        notices.tell(
            "no-drill",
            Severity.OUTSIDE,
            contour,
            f"{contour.name}: no drill of {diameter:.2f} mm may be used "
            f"({_sizes(cutting.drills)}), so it is not drilled; choose bore or inside, or put such "
            "a drill on the shelf.",
        )
        return None
    step = cutting.recipe_for(Task.DRILL, None).steps[0]
    pecks = pecks_of(step, drill, cutting.thickness_mm, cutting.overcut_mm)
    _tell_board(contour, -pecks[-1].bottom_mm, drill, notices)
    hole = straight_down(index, contour, cutting, drill, step, pecks)
    beyond = max(drill.diameter_mm - diameter, 0.0) / 2.0
    return replace(hole, beyond_mm=beyond)


def straight_down(
    index: int,
    contour: Contour,
    cutting: Cutting,
    mounted: MountedCutter,
    step: RecipeStep,
    pecks: Sequence[Peck],
) -> Toolpath:
    """Return a trip straight down in the middle of a circle."""
    low_x, low_y, high_x, high_y = contour.path.bounds_mm
    middle = np.array([(low_x + high_x) / 2.0, (low_y + high_y) / 2.0])
    top, end = cutting.thickness_mm, pecks[-1].bottom_mm
    bottom = max(end, 0.0)
    return Toolpath(
        drawing=index,
        contour_id=contour.id,
        step=step,
        level=0,
        mounted=mounted,
        entry=nowhere(middle),
        cut=_standing(middle, len(pecks)),
        exit=nowhere(middle),
        entry_kind=Entry.PLUNGE,
        entry_from_mm=top,
        wall_side=-1,
        wall_inside=True,
        bands=(Engaged(top, bottom, mounted.diameter_mm),),
        z_top_mm=top,
        z_bottom_mm=end,
        wall_stock_mm=0.0,
        floor_stock_mm=bottom,
        pecks=tuple(pecks),
    )


def _standing(middle: NDArray[np.float64], count: int) -> Path:
    """Return a path that stays in its place, with a segment a peck."""
    return Path(np.tile(middle, (count + 1, 1)), np.zeros(count), closed=False)


def _tell_board(contour: Contour, depth_mm: float, drill: MountedCutter, notices: Notices) -> None:
    if depth_mm > DEEP_IN_BOARD_MM:
        notices.tell(
            "point-in-board",
            Severity.NOTE,
            contour,
            f"{contour.name}: the point of the {drill.name} goes {depth_mm:.1f} mm into the board "
            "until the hole is through; the board must be thicker than that, and nothing hard may "
            "lie under it.",
        )


def _sizes(drills: Sequence[MountedCutter]) -> str:
    sizes = ", ".join(f"{d:g}" for d in sorted({drill.diameter_mm for drill in drills}))
    return f"there are {sizes} mm" if sizes else "there is none at all"
