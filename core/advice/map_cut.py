"""What a map of settings is drawn for: a pass of a plan, or a straight slot without a drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.errors import PlanError
from core.library.records import Direction
from core.plan.records import Engaged

if TYPE_CHECKING:
    from core.library.records import MountedCutter
    from core.pipeline import Results
    from core.plan.choices import Choices
    from core.plan.freed import Freed


@dataclass(frozen=True, slots=True)
class MapCut:
    """One cut whose spindle speed and chip load are open.

    Parameters
    ----------
    chosen : Choices
        Material, sheet, machine, air and house rules.
    mounted : MountedCutter
        The cutter.
    bands : tuple of Engaged
        Bands of engagement above the bed.
    z_bottom_mm : float
        Where the pass ends.
    climb, finishes : bool
        Climb, else conventional; whether its feed is bound by the marks on a finished wall.
    wall_stock_mm : float
        What it leaves on the wall.
    bend_per_mm, tightest_per_mm : float
        Curvature of the way towards the wall on its gentlest stretch, and on its tightest concave
        one: 0 straight, negative in a hole.
    speed_cap_mm_s : float
        Highest speed on the gentlest stretch: sqrt(a r) on a bend.
    freed : Freed or None
        The piece that the pass frees.
    """

    chosen: Choices
    mounted: MountedCutter
    bands: tuple[Engaged, ...]
    z_bottom_mm: float
    climb: bool
    finishes: bool
    wall_stock_mm: float
    bend_per_mm: float = 0.0
    tightest_per_mm: float = 0.0
    speed_cap_mm_s: float = math.inf
    freed: Freed | None = None

    @property
    def tooth_count(self) -> int:
        """Cutting edges."""
        return self.mounted.cutter.tooth_count

    @property
    def main_band(self) -> Engaged:
        """The tallest band: the wall in a skim, not the skin under it."""
        return max(self.bands, key=lambda band: band.axial_depth_mm)


def cut_of_pass(results: Results, index: int) -> MapCut:
    """Return the cut of one pass of a plan.

    Parameters
    ----------
    results : Results
        What follows from a job.
    index : int
        The pass in `results.plan.passes`.

    Raises
    ------
    PlanError
        If a drill or V cutter makes the pass.

    Notes
    -----
    Along its gentlest stretch: where the machine slows down in corners and tighter bends the chip
    is thinner than the map says. The report of the pass has both.
    """
    path = results.plan.passes[index].toolpath
    if not path.is_milled:
        raise PlanError(f"there is no map for the {path.mounted.name}: its force is not modelled")
    bends = path.cut.segments.curvature_per_mm
    gentlest = float(bends[np.argmin(np.abs(bends))])
    machine = results.chosen.machine
    cap = math.sqrt(machine.acceleration_mm_s2 / abs(gentlest)) if gentlest else math.inf
    pieces = results.freed
    frees = path.z_bottom_mm <= 0.0
    return MapCut(
        chosen=results.chosen,
        mounted=path.mounted,
        bands=path.bands,
        z_bottom_mm=path.z_bottom_mm,
        climb=path.step.direction is Direction.CLIMB,
        finishes=path.wall_stock_mm <= 0.0 and path.wall_side != 0,
        wall_stock_mm=path.wall_stock_mm,
        bend_per_mm=gentlest * path.wall_side,
        tightest_per_mm=path.tightest_per_mm,
        speed_cap_mm_s=cap,
        freed=pieces.get((path.drawing, path.contour_id)) if frees else None,
    )


def straight_slot(
    chosen: Choices, mounted: MountedCutter, depth_mm: float, width_mm: float | None = None
) -> MapCut:
    """Return a straight cut in fresh sheet, from the top.

    Parameters
    ----------
    chosen : Choices
        Material, machine, air and house rules.
    mounted : MountedCutter
        The cutter.
    depth_mm : float
        Depth of the cut. [mm]
    width_mm : float or None
        Radial width; the whole diameter if left out. [mm]
    """
    top = chosen.cutting.thickness_mm
    width = mounted.diameter_mm if width_mm is None else min(width_mm, mounted.diameter_mm)
    bottom = max(top - depth_mm, 0.0)
    return MapCut(
        chosen=chosen,
        mounted=mounted,
        bands=(Engaged(top, bottom, width),),
        z_bottom_mm=bottom,
        climb=True,
        finishes=False,
        wall_stock_mm=0.0,
    )
