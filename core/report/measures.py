"""What every pass is measured by, computed for all passes at once.

The chip thickness is that of the tallest band of engagement (the wall in a skim, not the thin skin
under it), with the engagement of the true wall: straight, convex or concave. The edges of a drill
or V cutter lie aslant by half the angle of the point: h = f_z sin(angle / 2), times what the
engagement leaves of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad, feed_mark_height_mm, h_max_mm
from core.motion.reached import (
    Spreads,
    ThinPlaces,
    feed_per_tooth_reached_mm,
    spreads,
    thin_places,
)
from core.plan.alike import alike
from core.plan.feeds import chip_load_range
from core.report.forces import forces_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.cutting.pass_force import PassForces
    from core.library.records import Material
    from core.motion.records import Motion
    from core.plan.records import Pass, Toolpath

THIN_SHARE = 0.9
"""Where the plan itself runs below the maker's range, thin begins below this share of the plan:
so "thin" always means that the machine slows down."""


@dataclass(frozen=True, eq=False, slots=True)
class Measures:
    """Values along all passes (m samples) and of each pass (p passes).

    Parameters
    ----------
    feed_per_tooth_mm, chip_mm : array of shape (m,)
        Chip load reached, and greatest chip thickness there. [mm]
    feed_spread, chip_spread : Spreads
        Their 5 %, mean and maximum on each pass. [mm]
    thin_below_mm : array of shape (p,)
        Below this the chip load counts as thin. [mm]
    thin : ThinPlaces
        Where it does.
    feed_mark_um : array of shape (p,)
        Highest feed mark on the wall of each pass. [um]
    forces : PassForces or None
        Power, forces and bending at the planned feed; None without coefficients.
    """

    feed_per_tooth_mm: NDArray[np.float64]
    chip_mm: NDArray[np.float64]
    feed_spread: Spreads
    chip_spread: Spreads
    thin_below_mm: NDArray[np.float64]
    thin: ThinPlaces
    feed_mark_um: NDArray[np.float64]
    forces: PassForces | None


def main_radial_width_mm(path: Toolpath) -> float:
    """Return the radial width of the tallest band. [mm]."""
    return max(path.bands, key=lambda band: band.axial_depth_mm).radial_width_mm


def measure(
    passes: Sequence[Pass], motion: Motion, material: Material, stiffness_n_um: float
) -> Measures:
    """Return the measures of all passes.

    Parameters
    ----------
    passes : sequence of Pass
        The plan.
    motion : Motion
        How the machine runs it.
    material : Material
        The sheet: the maker's chip-load range and the force depend on it.
    stiffness_n_um : float
        Of the machine at the cutter's tip. [N/um]
    """
    along = motion.along
    each = alike(passes).each
    speed = each(lambda p: p.spindle_speed_rpm)
    teeth = each(lambda p: float(p.toolpath.mounted.cutter.tooth_count))
    diameter = each(lambda p: p.toolpath.cutting_diameter_mm)
    aslant = each(lambda p: p.toolpath.mounted.cutter.chip_share)
    width = each(lambda p: main_radial_width_mm(p.toolpath))
    side = each(lambda p: float(p.toolpath.wall_side))
    of = along.pass_index
    reached = feed_per_tooth_reached_mm(along, speed, teeth)
    towards_wall = along.curvature_per_mm * side[of]
    angle = engagement_angle_rad(width[of], diameter[of], towards_wall)
    chip = h_max_mm(reached, angle) * aslant[of]
    below = each(lambda p: thin_below_mm(p, material.key))
    marks = feed_mark_height_mm(reached * teeth[of], diameter[of], towards_wall)
    return Measures(
        feed_per_tooth_mm=reached,
        chip_mm=chip,
        feed_spread=spreads(reached, along),
        chip_spread=spreads(chip, along),
        thin_below_mm=below,
        thin=thin_places(along, below, speed, teeth),
        feed_mark_um=np.maximum.reduceat(marks, along.first[:-1]) * 1000.0,
        forces=forces_of(passes, material, stiffness_n_um),
    )


def thin_below_mm(one: Pass, material: str) -> float:
    """Return the chip load below which a pass counts as thin. [mm]."""
    loads, _ = chip_load_range(one.toolpath.mounted, material)
    # a drill that breaks through slowly does so by plan
    least = min((peck.feed_share for peck in one.toolpath.pecks), default=1.0)
    return min(loads.low_mm, THIN_SHARE * least * one.feed_per_tooth_mm)
