"""Limits that the forces set: bending, chip packing, the skin under the part, grip on the table."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.hold_down import hold_down_ratio, vacuum_force_n
from core.cutting.section import chip_packing, gullet_area_mm2
from core.cutting.skin import needed_skin_mm
from core.explained import Explained, Input, Origin
from core.report.columns import Column, least, lower, upper
from core.report.forces import compliance_mm_n

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from core.cutting.pass_force import PassForces
    from core.report.facts import Facts

WALL_ERROR_LIMIT_MM = 0.1
"""Bending that a finished wall may show (common practice, no source): the tolerance class m of
ISO 2768-1 from 3 to 30 mm is 0.1 to 0.2 mm (from memory)."""

STOCK_SHARE = 0.5
"""Roughing may bend into this share of the stock that it leaves (house rule)."""

LEAST_RATIO = 1.0
"""What holds a piece must at least equal the greatest push of a revolution."""


def force_limits(facts: Facts) -> Iterator[Column]:
    """Yield the limits that forces set; most need a material with coefficients."""
    yield _packing(facts)
    yield _floor_skin(facts)
    forces = facts.measures.forces
    if forces is not None:
        yield _bending(facts, np.abs(forces.wall_error_mm))
        yield _grip(facts, forces)


def _packing(facts: Facts) -> Column:
    width = facts.each(lambda one: max(b.radial_width_mm for b in one.toolpath.bands))
    diameter = facts.each(lambda one: one.toolpath.mounted.diameter_mm)
    area = gullet_area_mm2(
        diameter, facts.each(lambda one: one.toolpath.mounted.cutter.tooth_count)
    )
    feed = facts.each(lambda one: one.feed_per_tooth_mm)
    fill = chip_packing(feed, width, area)

    def reason(index: int) -> Explained:
        return Explained(
            key="chip_packing",
            name="fill of the gullet with the loose chips of one turn",
            value=float(fill[index]),
            unit="",
            formula="fill = 4 a_e f_z / A_gullet",
            inputs=(
                Input(
                    "a_e",
                    "radial width, the widest band",
                    float(width[index]),
                    "mm",
                    Origin.COMPUTED,
                ),
                Input("f_z", "chip load", float(feed[index]), "mm", Origin.COMPUTED),
                Input(
                    "A",
                    "section of the gullet",
                    float(area[index]),
                    "mm2",
                    Origin.ESTIMATE,
                    "a circular gullet, 40 % of the cutter's disc",
                ),
            ),
            limit=1.0,
            valid="loose, unmelted chips; the bulk factor of 4 is an estimate",
            source="volume balance",
        )

    return upper(
        "chip_packing",
        "chip packing",
        fill,
        1.0,
        "",
        reason,
        at_most_tight=True,
        applies=facts.is_milled,
    )


def _bending(facts: Facts, error_mm: NDArray[np.float64]) -> Column:
    stock = facts.each(lambda one: one.toolpath.wall_stock_mm)
    limit = np.where(stock <= 0.0, WALL_ERROR_LIMIT_MM, STOCK_SHARE * stock)

    def reason(index: int) -> Explained:
        mounted, machine = facts.plan.passes[index].toolpath.mounted, facts.chosen.machine
        give = compliance_mm_n(mounted, machine.stiffness_n_um)
        return Explained(
            key="bending",
            name="wall error by bending of cutter and machine",
            value=float(error_mm[index]),
            unit="mm",
            formula="error = compliance x force across the feed while the edge makes the wall",
            inputs=(
                Input(
                    "C",
                    "compliance at the tip",
                    give * 1000.0,
                    "µm/N",
                    Origin.COMPUTED,
                    f"{mounted.name} and {machine.name}",
                ),
                Input(
                    "F",
                    "force across the feed",
                    float(error_mm[index]) / give,
                    "N",
                    Origin.COMPUTED,
                ),
            ),
            limit=float(limit[index]),
            valid="static, straight wall",
            source="stepped cantilever and the force model; textbook",
        )

    label, modelled = "bending of the cutter", facts.is_milled
    return upper("bending", label, error_mm, limit, "mm", reason, applies=modelled)


def _floor_skin(facts: Facts) -> Column:
    """Return the skin that roughing leaves against what bed and depth errors ask for."""
    machine = facts.chosen.machine
    skin = facts.each(lambda one: one.toolpath.floor_stock_mm)
    meant = facts.each(lambda one: one.toolpath.step.floor_stock_mm)
    needed = needed_skin_mm(machine.bed_flatness_mm, machine.depth_error_mm)

    def reason(index: int) -> Explained:
        return Explained(
            key="floor_skin",
            name="skin left under the part",
            value=float(skin[index]),
            unit="mm",
            formula="s >= s_crit + F + e_z, depths taken from the bed: the thickness drops out",
            inputs=(
                Input(
                    "F",
                    "flatness of the bed, half-band",
                    machine.bed_flatness_mm,
                    "mm",
                    Origin.LIBRARY,
                    machine.name,
                ),
                Input(
                    "e_z", "depth error", machine.depth_error_mm, "mm", Origin.LIBRARY, machine.name
                ),
            ),
            limit=needed,
            source="addition of errors; s_crit of 0.2 mm is an estimate",
        )

    applies = (meant > 0.0) & (skin <= meant)
    return least("floor_skin", "skin under the part", skin, needed, "mm", reason, applies=applies)


def _grip(facts: Facts, forces: PassForces) -> Column:
    """Return what holds a piece while a pass frees it, against what pushes it."""
    machine, material = facts.chosen.machine, facts.chosen.material
    held = [
        vacuum_force_n(piece.area_mm2, machine.vacuum_kpa, machine.vacuum_share) if piece else 0.0
        for piece in facts.freed
    ]
    ratio = np.array(
        [
            hold_down_ratio(n, material.friction_coefficient, push, lift) if piece else np.inf
            for piece, n, push, lift in zip(
                facts.freed,
                held,
                forces.peak_lateral_n.tolist(),
                forces.lift_n.tolist(),
                strict=True,
            )
        ]
    )
    waste = np.array([piece is not None and piece.is_waste for piece in facts.freed])
    labels = [f"grip on the {'piece of waste' if w else 'part'}" for w in waste]
    column = lower(
        "hold_down",
        "grip",
        ratio,
        LEAST_RATIO,
        "",
        partial(_explain_grip, facts, held, ratio, forces),
        at_most_tight=waste,
        applies=np.array([piece is not None for piece in facts.freed]),
    )
    return replace(column, labels=labels)


def _explain_grip(
    facts: Facts, held_n: list[float], ratio: NDArray[np.float64], forces: PassForces, index: int
) -> Explained:
    machine, material = facts.chosen.machine, facts.chosen.material
    piece = facts.freed[index]
    assert piece is not None
    return Explained(
        key="hold_down",
        name="what holds the freed piece against the greatest push of a turn",
        value=float(ratio[index]),
        unit="",
        formula="the lesser of mu (N - F_lift) / F_lat and N / F_lift, with N = dp eff A",
        inputs=(
            Input("A", "area of the piece", piece.area_mm2, "mm2", Origin.DRAWING),
            Input("dp", "vacuum", machine.vacuum_kpa, "kPa", Origin.LIBRARY, machine.name),
            Input(
                "eff",
                "share of it that arrives",
                machine.vacuum_share,
                "",
                Origin.LIBRARY,
                machine.name,
            ),
            Input("N", "pressing force", held_n[index], "N", Origin.COMPUTED),
            Input(
                "mu",
                "friction on the board",
                material.friction_coefficient,
                "",
                Origin.LIBRARY,
                material.name,
            ),
            Input(
                "F_lat",
                "greatest lateral force of a turn",
                float(forces.peak_lateral_n[index]),
                "N",
                Origin.COMPUTED,
            ),
            Input("F_lift", "axial force", float(forces.lift_n[index]), "N", Origin.COMPUTED),
        ),
        limit=LEAST_RATIO,
        valid="a flat piece on a clean board; friction of plastic on MDF is an estimate",
        source="Coulomb friction",
        note="Below 1 the piece may move and be thrown: leave a skin or tabs, or take it out at a "
        "stop; ask someone qualified.",
    )
