"""Forces of all passes at their planned feed, and how far each cutter yields to them."""

from __future__ import annotations

import math
from dataclasses import fields
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.deflection import equivalent_diameter_ratio, tip_compliance_mm_n
from core.cutting.force import force_coefficients
from core.cutting.pass_force import PassCut, PassForces, pass_forces, stacked_bands
from core.library.records import Direction, Helix
from core.plan.alike import alike

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.library.records import Cutter, Material, MountedCutter
    from core.plan.records import Pass

_LIFTS = {Helix.UPSHEAR: 1.0, Helix.DOWNSHEAR: -1.0, Helix.STRAIGHT: 0.0}


def forces_of(
    passes: Sequence[Pass], material: Material, stiffness_n_um: float
) -> PassForces | None:
    """Return the forces of all passes, or None for a material without coefficients.

    Parameters
    ----------
    passes : sequence of Pass
        The plan.
    material : Material
        The sheet.
    stiffness_n_um : float
        Of the machine at the cutter's tip. [N/um]
    """
    if material.heat is None:
        return None
    kinds = alike(passes)
    paths = [one.toolpath for one in kinds.first]
    bands = [
        [
            (b.z_bottom_mm - p.z_bottom_mm, b.z_top_mm - p.z_bottom_mm, b.radial_width_mm)
            for b in p.bands
        ]
        for p in paths
    ]
    bottom, top, width = stacked_bands(bands)
    cutters = [p.mounted.cutter for p in paths]
    cut = PassCut(
        bottom_mm=bottom,
        top_mm=top,
        radial_width_mm=width,
        cutter_diameter_mm=np.array([p.mounted.diameter_mm for p in paths]),
        tooth_count=np.array([float(c.tooth_count) for c in cutters]),
        helix_angle_rad=np.array([helix_rad(c) for c in cutters]),
        feed_per_tooth_mm=np.array([one.feed_per_tooth_mm for one in kinds.first]),
        spindle_speed_rpm=np.array([one.spindle_speed_rpm for one in kinds.first]),
        climb=np.array([p.step.direction is Direction.CLIMB for p in paths]),
        compliance_mm_n=np.array([compliance_mm_n(p.mounted, stiffness_n_um) for p in paths]),
    )
    forces = pass_forces(force_coefficients(material.heat), cut)
    names = (field.name for field in fields(PassForces))
    return PassForces(**{name: getattr(forces, name)[kinds.kind] for name in names})


def helix_rad(cutter: Cutter) -> float:
    """Return the helix angle, positive where it lifts the sheet. [rad]."""
    return _LIFTS[cutter.helix] * math.radians(cutter.helix_angle_deg)


@lru_cache(maxsize=64)
def _compliance(
    stick_out_mm: float,
    flute_length_mm: float,
    shank_diameter_mm: float,
    diameter_mm: float,
    tooth_count: int,
    stiffness_n_um: float,
) -> float:
    return tip_compliance_mm_n(
        stick_out_mm,
        flute_length_mm,
        shank_diameter_mm,
        equivalent_diameter_ratio(tooth_count) * diameter_mm,
        machine_stiffness_n_mm=stiffness_n_um * 1000.0,
    )


def compliance_mm_n(mounted: MountedCutter, stiffness_n_um: float) -> float:
    """Return how far the tip moves for a newton, cutter and machine together. [mm/N]."""
    cutter = mounted.cutter
    return _compliance(
        mounted.stick_out_mm,
        cutter.flute_length_mm,
        cutter.shank_diameter_mm,
        mounted.diameter_mm,
        cutter.tooth_count,
        stiffness_n_um,
    )
