"""Limits of the cut itself: rubbing, the maker's chip-load range, power, cutting length."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.force import spindle_power_available_w
from core.cutting.rubbing import rubbing_thickness_mm
from core.explained import Explained, Input, Origin
from core.plan.feeds import chip_load_range
from core.report.columns import Column, bound, lower, upper

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from core.plan.choices import Choices
    from core.report.facts import Facts


def cut_limits(facts: Facts) -> Iterator[Column]:
    """Yield the limits of the cut itself."""
    yield _rubbing(facts)
    yield from _chip_load(facts)
    if facts.measures.forces is not None:
        yield _power(facts, facts.measures.forces.power_w)
    yield _cutting_length(facts)


def _rubbing(facts: Facts) -> Column:
    chip = facts.measures.chip_spread.p5
    edge_um = facts.each(lambda one: one.toolpath.mounted.cutter.worn_edge_radius_um)
    limit = rubbing_thickness_mm(edge_um)

    def reason(index: int) -> Explained:
        cutter = facts.plan.passes[index].toolpath.mounted.cutter
        thickness = float(chip[index])
        return Explained(
            key="rubbing",
            name="chip thickness at the 5 % point, against rubbing",
            value=thickness,
            unit="mm",
            formula="h_min = 0.33 r_e; thinner than this the edge rubs and makes heat, not chips",
            inputs=(
                Input(
                    "r_e",
                    "edge radius, worn",
                    float(edge_um[index]),
                    "µm",
                    Origin.LIBRARY,
                    cutter.name,
                ),
                Input(
                    "h",
                    "chip thickness, 5 % of the way is thinner",
                    thickness,
                    "mm",
                    Origin.COMPUTED,
                    "motion of the machine and true engagement",
                ),
            ),
            limit=float(limit[index]),
            valid="carbide on PMMA; other plastics by analogy",
            source="ratio measured on PMMA: James et al. 2014, doi 10.1115/1.4028319 (abstract)",
        )

    return lower("rubbing", "rubbing", chip, limit, "mm", reason)


def _chip_load(facts: Facts) -> Iterator[Column]:
    """Yield the maker's range from both sides: what is reached, and what is planned."""
    low, high = facts.chip_loads_mm
    reached = facts.measures.feed_spread.mean
    planned = facts.each(lambda one: one.feed_per_tooth_mm)
    name = "chip load reached against the maker's range"
    reason = partial(_explain_chip_load, facts, "chip_load_low", name, reached, low)
    yield lower("chip_load_low", name, reached, low, "mm", reason, at_most_tight=True)
    name = "chip load planned against the maker's range"
    reason = partial(_explain_chip_load, facts, "chip_load_high", name, planned, high)
    yield bound("chip_load_high", name, planned, high, "mm", reason)


def _explain_chip_load(
    facts: Facts,
    key: str,
    name: str,
    values_mm: NDArray[np.float64],
    limits_mm: NDArray[np.float64],
    index: int,
) -> Explained:
    one = facts.plan.passes[index]
    cutter = one.toolpath.mounted.cutter
    loads, from_maker = chip_load_range(one.toolpath.mounted, facts.chosen.material.key)
    return Explained(
        key=key,
        name=name,
        value=float(values_mm[index]),
        unit="mm",
        formula="f_z = v_f / (n z)",
        inputs=(
            Input(
                "v_f",
                "feed speed planned",
                one.feed_speed_mm_min,
                "mm/min",
                Origin.COMPUTED,
                one.bounds_on_feed[0].label,
            ),
            Input(
                "n",
                "spindle speed",
                one.spindle_speed_rpm,
                "rpm",
                Origin.COMPUTED,
                one.bounds_on_speed[0].label,
            ),
            Input("z", "cutting edges", float(cutter.tooth_count), "", Origin.LIBRARY, cutter.name),
        ),
        limit=float(limits_mm[index]),
        valid="the maker's range for this cutter in this material",
        in_range=from_maker,
        source=loads.source,
        note="; ".join(loads.others),
    )


def _power(facts: Facts, power_w: NDArray[np.float64]) -> Column:
    machine = facts.chosen.machine
    available = spindle_power_available_w(
        machine.spindle_power_w, machine.spindle_base_speed_rpm, facts.spindle_speed_rpm
    )

    def reason(index: int) -> Explained:
        one = facts.plan.passes[index]
        return Explained(
            key="spindle_power",
            name="cutting power",
            value=float(power_w[index]),
            unit="W",
            formula="P = K_tc a_e a_p v_f + K_te a_p v_c z phi_e / (2 pi), over all bands",
            inputs=(
                *_coefficients(facts.chosen),
                Input("v_f", "feed speed", one.feed_speed_mm_min, "mm/min", Origin.COMPUTED),
                Input(
                    "P_0",
                    "spindle power at this speed",
                    float(available[index]),
                    "W",
                    Origin.LIBRARY,
                    machine.name,
                ),
            ),
            limit=float(available[index]),
            valid="at full feed; what the spindle takes when idling comes on top",
            source="energy balance, textbook; coefficients on the shelf",
        )

    label, modelled = "spindle power", facts.is_milled
    return upper("spindle_power", label, power_w, available, "W", reason, applies=modelled)


def _coefficients(chosen: Choices) -> tuple[Input, ...]:
    heat, name = chosen.material.heat, chosen.material.name
    if heat is None:
        return ()
    force, edge = heat.specific_cutting_force_n_mm2, heat.edge_force_n_mm
    return (
        Input("K_tc", "specific cutting force", force, "N/mm2", Origin.LIBRARY, name),
        Input("K_te", "edge force", edge, "N/mm", Origin.LIBRARY, name),
    )


def _cutting_length(facts: Facts) -> Column:
    thickness = facts.chosen.cutting.thickness_mm
    bottom = facts.each(lambda one: one.toolpath.z_bottom_mm)
    flute = facts.each(lambda one: one.toolpath.mounted.cutter.flute_length_mm)

    def reason(index: int) -> Explained:
        cutter = facts.plan.passes[index].toolpath.mounted.cutter
        return Explained(
            key="cutting_length",
            name="depth of the cutter in the sheet and board",
            value=thickness - float(bottom[index]),
            unit="mm",
            formula="depth = thickness - bottom of the pass",
            inputs=(
                Input("t", "thickness", thickness, "mm", Origin.TYPED),
                Input(
                    "z",
                    "bottom of the pass above the bed",
                    float(bottom[index]),
                    "mm",
                    Origin.COMPUTED,
                ),
            ),
            limit=cutter.flute_length_mm,
            source=f"cutting length of the {cutter.name}; a shank in the slot rubs",
        )

    return bound("cutting_length", "cutting length", thickness - bottom, flute, "mm", reason)
