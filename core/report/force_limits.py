"""Limits that the forces set: bending, chip packing, the skin under the part, grip on the table."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from core.cutting.hold_down import hold_down_ratio, vacuum_force_n
from core.cutting.section import chip_packing, gullet_area_mm2
from core.cutting.skin import needed_skin_mm
from core.explained import Explained, Input, Origin
from core.report.forces import compliance_mm_n
from core.report.limit_kinds import least, lower, upper

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.plan.choices import Choices
    from core.plan.freed import Freed
    from core.plan.records import Pass
    from core.report.records import Limit

WALL_ERROR_LIMIT_MM = 0.1
"""Bending that a finished wall may show (common practice, no source): the tolerance class m of
ISO 2768-1 from 3 to 30 mm is 0.1 to 0.2 mm (from memory)."""

STOCK_SHARE = 0.5
"""Roughing may bend into this share of the stock that it leaves (house rule)."""

LEAST_RATIO = 1.0
"""What holds a piece must at least equal the greatest push of a revolution."""


def packing(one: Pass) -> Limit:
    """Return how full the gullet is against full."""
    mounted = one.toolpath.mounted
    width = max(band.radial_width_mm for band in one.toolpath.bands)
    area = float(gullet_area_mm2(mounted.diameter_mm, mounted.cutter.tooth_count))
    fill = float(chip_packing(one.feed_per_tooth_mm, width, area))

    def reason() -> Explained:
        return Explained(
            key="chip_packing",
            name="fill of the gullet with the loose chips of one turn",
            value=fill,
            unit="",
            formula="fill = 4 a_e f_z / A_gullet",
            inputs=(
                Input("a_e", "radial width, the widest band", width, "mm", Origin.COMPUTED),
                Input("f_z", "chip load", one.feed_per_tooth_mm, "mm", Origin.COMPUTED),
                Input(
                    "A",
                    "section of the gullet",
                    area,
                    "mm2",
                    Origin.ESTIMATE,
                    "a circular gullet, 40 % of the cutter's disc",
                ),
            ),
            limit=1.0,
            valid="loose, unmelted chips; the bulk factor of 4 is an estimate",
            source="volume balance",
        )

    return upper("chip_packing", "chip packing", fill, 1.0, "", reason, at_most_tight=True)


def bending(one: Pass, chosen: Choices, wall_error_mm: float) -> Limit:
    """Return the wall error by bending against what the wall or its stock allows."""
    path = one.toolpath
    finished = path.wall_stock_mm <= 0.0
    limit = WALL_ERROR_LIMIT_MM if finished else STOCK_SHARE * path.wall_stock_mm
    give = compliance_mm_n(path.mounted, chosen.machine.stiffness_n_um)

    def reason() -> Explained:
        return Explained(
            key="bending",
            name="wall error by bending of cutter and machine",
            value=abs(wall_error_mm),
            unit="mm",
            formula="error = compliance x force across the feed while the edge makes the wall",
            inputs=(
                Input(
                    "C",
                    "compliance at the tip",
                    give * 1000.0,
                    "µm/N",
                    Origin.COMPUTED,
                    f"{path.mounted.name} and {chosen.machine.name}",
                ),
                Input("F", "force across the feed", wall_error_mm / give, "N", Origin.COMPUTED),
            ),
            limit=limit,
            valid="static, straight wall",
            source="stepped cantilever and the force model; textbook",
            note="the part comes out larger" if wall_error_mm > 0.0 else "the cutter digs in",
        )

    return upper("bending", "bending of the cutter", abs(wall_error_mm), limit, "mm", reason)


def floor_skin(one: Pass, chosen: Choices) -> Iterator[Limit]:
    """Yield the skin left under the part against what bed and depth errors ask for."""
    path, machine = one.toolpath, chosen.machine
    if path.step.floor_stock_mm <= 0.0 or path.floor_stock_mm > path.step.floor_stock_mm:
        return
    skin = path.step.floor_stock_mm
    needed = needed_skin_mm(machine.bed_flatness_mm, machine.depth_error_mm)

    def reason() -> Explained:
        return Explained(
            key="floor_skin",
            name="skin left under the part",
            value=skin,
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

    yield least("floor_skin", "skin under the part", skin, needed, "mm", reason)


def grip(one: Pass, chosen: Choices, freed: Freed, peak_lateral_n: float, lift_n: float) -> Limit:
    """Return what holds a piece while this pass frees it, against what pushes it."""
    machine, material = chosen.machine, chosen.material
    held = vacuum_force_n(freed.area_mm2, machine.vacuum_kpa, machine.vacuum_share)
    ratio = hold_down_ratio(held, material.friction_coefficient, peak_lateral_n, lift_n)
    return lower(
        "hold_down",
        "grip on the piece of waste" if freed.is_waste else "grip on the part",
        ratio,
        LEAST_RATIO,
        "",
        partial(_explain_grip, chosen, freed, held, ratio, peak_lateral_n, lift_n),
        at_most_tight=freed.is_waste,
    )


def _explain_grip(
    chosen: Choices, freed: Freed, held_n: float, ratio: float, push_n: float, lift_n: float
) -> Explained:
    machine, material = chosen.machine, chosen.material
    return Explained(
        key="hold_down",
        name="what holds the freed piece against the greatest push of a turn",
        value=ratio,
        unit="",
        formula="the lesser of mu (N - F_lift) / F_lat and N / F_lift, with N = dp eff A",
        inputs=(
            Input("A", "area of the piece", freed.area_mm2, "mm2", Origin.DRAWING),
            Input("dp", "vacuum", machine.vacuum_kpa, "kPa", Origin.LIBRARY, machine.name),
            Input(
                "eff",
                "share of it that arrives",
                machine.vacuum_share,
                "",
                Origin.LIBRARY,
                machine.name,
            ),
            Input("N", "pressing force", held_n, "N", Origin.COMPUTED),
            Input(
                "mu",
                "friction on the board",
                material.friction_coefficient,
                "",
                Origin.LIBRARY,
                material.name,
            ),
            Input("F_lat", "greatest lateral force of a turn", push_n, "N", Origin.COMPUTED),
            Input("F_lift", "axial force", lift_n, "N", Origin.COMPUTED),
        ),
        limit=LEAST_RATIO,
        valid="a flat piece on a clean board; friction of plastic on MDF is an estimate",
        source="Coulomb friction",
        note="Below 1 the piece may move and be thrown: leave a skin or tabs, or take it out at a "
        "stop; ask someone qualified.",
    )
