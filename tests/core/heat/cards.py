"""Cards and cuts for the tests of heat, frozen here so that the shelf may change without them.

OLD are the cards of the first sanity cases (estimates throughout), NEW those that ship: measured
milling coefficients for polycarbonate, bounds and scaling for the others. Room at 22 C, stick-out
25 mm, a 6 mm cutter.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from core.geometry.path import Path
from core.heat.estimates import ESTIMATES
from core.heat.pass_table import wear_factor
from core.heat.risk import least_k
from core.heat.steady import SteadyCut, steady_conditions
from core.heat.temperatures import nominal, rises_k
from core.library.records import (
    Corner,
    Cutter,
    Direction,
    HeatCoefficients,
    Helix,
    Holder,
    Machine,
    Material,
    MountedCutter,
    RecipeStep,
)
from core.plan.records import Bound, Engaged, Entry, Pass, Toolpath

ROOM_C = 22.0


def material(
    density: float,
    specific_heat: float,
    conductivity: float,
    softening: float,
    chip_softening: float,
    heat: tuple[float, float, float, float, float] | None,
) -> Material:
    """heat: K_tc, its log-sd, K_te, its log-sd, G_c."""
    card = None
    if heat is not None:
        k_tc, k_tc_sd, k_te, k_te_sd, fracture = heat
        card = HeatCoefficients(k_tc, k_tc_sd, k_te, k_te_sd, chip_softening, fracture)
    return Material(
        key="card",
        name="card",
        aliases=(),
        brittle=False,
        density_kg_m3=density,
        specific_heat_j_kgk=specific_heat,
        thermal_conductivity_w_mk=conductivity,
        softening_temperature_c=softening,
        softening_method="glass transition",
        yield_strength_n_mm2=60.0,
        friction_coefficient=0.25,
        thermal_expansion_um_mk=70.0,
        tolerance_base_mm=0.4,
        tolerance_share=0.1,
        tolerance_share_thin=0.0,
        tolerance_source="",
        heat=card,
    )


OLD = {
    "PMMA cast": material(1190, 1450, 0.19, 105, 105, (80.0, 0.30, 1.7, 0.40, 0.7)),
    "PMMA extruded": material(1190, 1450, 0.19, 97, 97, (80.0, 0.30, 1.55, 0.40, 0.6)),
    "PC": material(1200, 1230, 0.20, 145, 147, (80.0, 0.30, 2.5, 0.40, 2.0)),
    "PETG": material(1270, 1200, 0.20, 78, 80, (60.0, 0.30, 1.9, 0.40, 1.5)),
    "HDPE": material(955, 1900, 0.42, 115, 125, (35.0, 0.30, 2.725, 0.40, 2.5)),
}

NEW = {
    "PMMA cast": material(1190, 1450, 0.19, 105, 120, (110.0, 0.30, 2.0, 0.32, 0.7)),
    "PC": material(1200, 1230, 0.20, 145, 162, (160.0, 0.18, 3.4, 0.25, 2.75)),
    "PETG": material(1270, 1200, 0.20, 78, 95, (90.0, 0.25, 2.0, 0.32, 1.5)),
    "HDPE": material(955, 1900, 0.42, 115, 125, (55.0, 0.28, 1.7, 0.37, 1.4)),
}

ACRYLIC = NEW["PMMA cast"]

UNKNOWN = material(905, 1700, 0.22, 140, 140, None)

_E = ESTIMATES

GOOD = SteadyCut(18000.0, 1.0, 0.33, 6.0, 25.0, 6.0, 6.0, _E.recut_blast, _E.blast_m_s)


def sanity_cuts(card: Material) -> dict[str, SteadyCut]:
    """The cuts A to R in 6 mm sheet: A, M and I anchor the model, K and L were tuned."""
    assert card.heat is not None
    worn = {"wear": wear_factor(card.heat, 20.0, _E), "edge_radius_um": 20.0}
    still = {"recut_share": _E.recut_suction, "air_speed_m_s": 0.0}
    starved = {"spindle_speed_rpm": 24000.0, "teeth": 2.0, "feed_per_tooth_mm": 0.03}
    return {
        "A": GOOD,
        "B": replace(GOOD, **still),
        "C": replace(GOOD, feed_per_tooth_mm=0.149),
        "D": replace(GOOD, feed_per_tooth_mm=0.10),
        "E": replace(GOOD, feed_per_tooth_mm=0.05),
        "F": replace(GOOD, feed_per_tooth_mm=0.02),
        "G": replace(GOOD, **worn),
        "H": replace(GOOD, **worn, feed_per_tooth_mm=0.10),
        "I": replace(GOOD, **starved, recut_share=_E.recut_none, air_speed_m_s=0.0),
        "J": replace(GOOD, extra_contact_s=0.03),
        "K": replace(GOOD, extra_contact_s=0.3),
        "L": replace(GOOD, extra_contact_s=0.3, wedge=2.0),
        "M": replace(GOOD, radial_width_mm=0.5),
        "N": replace(GOOD, radial_width_mm=0.5, feed_per_tooth_mm=0.10),
        "O": replace(GOOD, depth_mm=0.6),
        "P": replace(GOOD, spindle_speed_rpm=24000.0),
        "R": replace(GOOD, recut_share=_E.recut_suction * _E.downshear_factor, air_speed_m_s=0.0),
    }


def temperatures_c(card: Material, cut: SteadyCut) -> tuple[float, float, float]:
    """Chip, wall and cutter. [C]."""
    rises = rises_k(nominal(card, _E), steady_conditions(cut, _E, ROOM_C))
    chip, wall, cutter = (ROOM_C + float(rise) for rise in rises)
    return chip, wall, cutter


def margin_k(card: Material, cut: SteadyCut) -> float:
    return float(least_k(nominal(card, _E), steady_conditions(cut, _E, ROOM_C)))


MACHINE = Machine(
    key="light",
    name="light",
    travel_mm=(3000.0, 2000.0),
    highest_feed_mm_min=20000.0,
    rapid_mm_min=20000.0,
    plunge_mm_min=3000.0,
    acceleration_mm_s2=1000.0,
    jerk_mm_s3=50000.0,
    corner_deviation_mm=None,
    lowest_spindle_speed_rpm=6000.0,
    highest_spindle_speed_rpm=24000.0,
    spindle_power_w=3000.0,
    spindle_base_speed_rpm=12000.0,
    spindle_ramp_rpm_s=5000.0,
    cutter_change_s=20.0,
    stiffness_n_um=5.0,
    vacuum_kpa=60.0,
    vacuum_share=0.6,
    bed_flatness_mm=0.1,
    depth_error_mm=0.05,
    overcut_mm=0.1,
    safe_height_mm=10.0,
    room_temperature_c=ROOM_C,
)


def mounted(
    key: str = "t1",
    *,
    helix: Helix = Helix.UPSHEAR,
    teeth: int = 1,
    metres_cut: float = 0.0,
) -> MountedCutter:
    cutter = Cutter(
        key=key,
        name=key,
        diameter_mm=6.0,
        tooth_count=teeth,
        flute_length_mm=22.0,
        shank_diameter_mm=6.0,
        helix=helix,
        helix_angle_deg=25.0,
        edge_radius_um=5.0,
        worn_edge_radius_um=20.0,
        highest_spindle_speed_rpm=30000.0,
        chip_loads=(),
        edge_life_m=1000.0,
    )
    holder = Holder("h", "h", 24000.0, 2.5, 0.5)
    return MountedCutter(key, key, cutter, holder, 25.0, 1, metres_cut=metres_cut)


def cut_pass(
    cut: Path,
    bands: tuple[tuple[float, float, float], ...] = ((6.0, 0.0, 6.0),),
    *,
    wall_side: int = -1,
    cutter: MountedCutter | None = None,
    spindle_speed_rpm: float = 18000.0,
    feed_per_tooth_mm: float = 0.33,
    wall_stock_mm: float = 0.0,
) -> Pass:
    """A pass along an open path; bands as (top, bottom, radial width)."""
    cutter = cutter or mounted()
    start, end = cut.points[0], cut.points[-1]
    step = RecipeStep("finish", "finish", 0.0, 0.0, 0.0, Direction.CLIMB, Corner.MITRE)
    toolpath = Toolpath(
        drawing=0,
        contour_id=1,
        step=step,
        level=0,
        mounted=cutter,
        entry=lead(start, cut.segments.heading_rad[0], -10.0),
        cut=cut,
        exit=lead(end, cut.segments.heading_rad[-1] + cut.segments.sweep_rad[-1], 10.0),
        entry_kind=Entry.PLUNGE,
        entry_from_mm=bands[-1][1],
        wall_side=wall_side,
        wall_inside=wall_side > 0,
        bands=tuple(Engaged(*band) for band in bands),
        z_top_mm=bands[0][0],
        z_bottom_mm=bands[-1][1],
        wall_stock_mm=wall_stock_mm,
        floor_stock_mm=0.0,
    )
    feed = spindle_speed_rpm * cutter.cutter.tooth_count * feed_per_tooth_mm
    bound = (Bound("chip_load", "", feed, "", ""),)
    return Pass(toolpath, spindle_speed_rpm, feed_per_tooth_mm, feed, bound, bound)


def lead(at: np.ndarray, heading_rad: float, length_mm: float) -> Path:
    """A straight lead in line with the cut, so that the cut is met at full speed."""
    other = at + length_mm * np.array([math.cos(heading_rad), math.sin(heading_rad)])
    points = np.array([other, at] if length_mm < 0.0 else [at, other])
    return Path(points, np.zeros(1), closed=False)


def line(length_mm: float) -> Path:
    return Path(np.array([[0.0, 0.0], [length_mm, 0.0]]), np.zeros(1), closed=False)


def corner(length_mm: float, turn_rad: float) -> Path:
    """Two straight legs with a sharp turn between them, left positive."""
    leg = length_mm * np.array([math.cos(turn_rad), math.sin(turn_rad)])
    points = np.array([[0.0, 0.0], [length_mm, 0.0], [length_mm + leg[0], leg[1]]])
    return Path(points, np.zeros(2), closed=False)


def arc(radius_mm: float, sweep_rad: float) -> Path:
    """An arc of at most one turn in two pieces, left positive, starting along x."""
    half = sweep_rad / 2.0
    sign = math.copysign(1.0, sweep_rad)
    turns = np.array([0.0, half, sweep_rad])
    points = radius_mm * np.column_stack(
        [np.sin(np.abs(turns)), sign * (1.0 - np.cos(np.abs(turns)))]
    )
    return Path(points, np.full(2, math.tan(half / 4.0)), closed=False)


def rounded(leg_mm: float, radius_mm: float, turn_rad: float) -> Path:
    """Two straight legs with an arc between them, left positive."""
    bend = arc(radius_mm, turn_rad)
    ahead = leg_mm * np.array([math.cos(turn_rad), math.sin(turn_rad)])
    points = np.vstack([[-leg_mm, 0.0], bend.points, bend.points[-1] + ahead])
    return Path(points, np.concatenate([[0.0], bend.bulges, [0.0]]), closed=False)
