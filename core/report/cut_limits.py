"""Limits of the cut itself: heat, rubbing, the maker's chip-load range, power, cutting length."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from core.cutting.force import spindle_power_available_w
from core.cutting.rubbing import rubbing_thickness_mm
from core.explained import Explained, Input, Origin
from core.heat.records import state_word
from core.plan.feeds import chip_load_range
from core.report.limit_kinds import bound, lower, upper
from core.report.records import Limit, State

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.heat.records import PassHeat
    from core.plan.choices import Choices
    from core.plan.records import Pass
    from core.report.records import Spread


def heat_limit(heat: PassHeat, chosen: Choices) -> Limit:
    """Return the heat limit: the part nearest to softening, judged by the share that is hot."""
    hottest = {"chip": heat.chip_c, "wall": heat.wall_c, "cutter": heat.cutter_c}[heat.hottest]
    softening = hottest + heat.margin_k.nominal
    return Limit(
        name="heat",
        label=f"heat of the {heat.hottest}",
        actual=hottest,
        limit=softening,
        unit="°C",
        margin_ratio=1.0 - hottest / softening,
        state=State(state_word(heat.p_hot, heat.calibrated)),
        reason=partial(_explain_heat, heat, hottest, softening, chosen),
    )


def _explain_heat(
    heat: PassHeat, hottest_c: float, softening_c: float, chosen: Choices
) -> Explained:
    material = chosen.material
    band = heat.margin_k
    calibrated = "" if heat.calibrated else "not calibrated in this shop; "
    return Explained(
        key="heat",
        name=f"temperature of the {heat.hottest}, the nearest to softening",
        value=hottest_c,
        unit="°C",
        formula="margin = least of (softening temperature - temperature) of chip, wall and cutter",
        inputs=(
            Input("T_chip", "chip, 95 % of its volume", heat.chip_c, "°C", Origin.COMPUTED),
            Input("T_wall", "wall, hottest place", heat.wall_c, "°C", Origin.COMPUTED),
            Input(
                "T_cutter", "cutter, over the order of work", heat.cutter_c, "°C", Origin.COMPUTED
            ),
            Input("h", "mean chip thickness", heat.chip_thickness_mm, "mm", Origin.COMPUTED),
            Input(
                "t_c", "contact time at the wall", heat.contact_s * 1000.0, "ms", Origin.COMPUTED
            ),
            Input("K_te", "edge force of that edge", heat.edge_force_n_mm, "N/mm", Origin.COMPUTED),
            Input("r", "share of chips cut again", heat.recut_share, "", Origin.ESTIMATE),
            Input("r_e", "edge radius with its wear", heat.edge_radius_um, "µm", Origin.LIBRARY),
        ),
        limit=softening_c,
        valid="dry routing of thermoplastic sheet with sharp to worn carbide cutters",
        source=f"heat model of this program; coefficients of {material.name} on the shelf",
        note=(
            f"{calibrated}margin {band.nominal:+.0f} K, 5 to 95 % {band.low:+.0f} to "
            f"{band.high:+.0f} K; {heat.p_hot:.0%} of the uncertainty is hot"
        ),
    )


def rubbing(one: Pass, chip: Spread) -> Limit:
    """Return the limit below which the edge rubs instead of cutting."""
    cutter = one.toolpath.mounted.cutter
    limit = float(rubbing_thickness_mm(cutter.worn_edge_radius_um))

    def reason() -> Explained:
        return Explained(
            key="rubbing",
            name="chip thickness at the 5 % point, against rubbing",
            value=chip.p5,
            unit="mm",
            formula="h_min = 0.33 r_e; thinner than this the edge rubs and makes heat, not chips",
            inputs=(
                Input(
                    "r_e",
                    "edge radius, worn",
                    cutter.worn_edge_radius_um,
                    "µm",
                    Origin.LIBRARY,
                    cutter.name,
                ),
                Input(
                    "h",
                    "chip thickness, 5 % of the way is thinner",
                    chip.p5,
                    "mm",
                    Origin.COMPUTED,
                    "motion of the machine and true engagement",
                ),
            ),
            limit=limit,
            valid="carbide on PMMA; other plastics by analogy",
            source="ratio measured on PMMA: James et al. 2014, doi 10.1115/1.4028319 (abstract)",
        )

    return lower("rubbing", "rubbing", chip.p5, limit, "mm", reason)


def chip_load(one: Pass, chosen: Choices, reached: Spread) -> Iterator[Limit]:
    """Yield the maker's range from both sides: what is planned, and what is reached."""
    loads, from_maker = chip_load_range(one.toolpath.mounted, chosen.material.key)

    def reason(key: str, name: str, value: float, limit: float) -> Explained:
        return Explained(
            key=key,
            name=name,
            value=value,
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
                Input(
                    "z",
                    "cutting edges",
                    float(one.toolpath.mounted.cutter.tooth_count),
                    "",
                    Origin.LIBRARY,
                    one.toolpath.mounted.cutter.name,
                ),
            ),
            limit=limit,
            valid="the maker's range for this cutter in this material",
            in_range=from_maker,
            source=loads.source,
            note="; ".join(loads.others),
        )

    name = "chip load reached against the maker's range"
    yield lower(
        "chip_load_low",
        name,
        reached.mean,
        loads.low_mm,
        "mm",
        partial(reason, "chip_load_low", name, reached.mean, loads.low_mm),
        at_most_tight=True,
    )
    name = "chip load planned against the maker's range"
    yield bound(
        "chip_load_high",
        name,
        one.feed_per_tooth_mm,
        loads.high_mm,
        "mm",
        partial(reason, "chip_load_high", name, one.feed_per_tooth_mm, loads.high_mm),
    )


def spindle_power(one: Pass, chosen: Choices, power_w: float) -> Limit:
    """Return the power that the cut takes against what the spindle gives."""
    machine = chosen.machine
    available = float(
        spindle_power_available_w(
            machine.spindle_power_w, machine.spindle_base_speed_rpm, one.spindle_speed_rpm
        )
    )

    def reason() -> Explained:
        return Explained(
            key="spindle_power",
            name="cutting power",
            value=power_w,
            unit="W",
            formula="P = K_tc a_e a_p v_f + K_te a_p v_c z phi_e / (2 pi), over all bands",
            inputs=(
                *_coefficients(chosen),
                Input("v_f", "feed speed", one.feed_speed_mm_min, "mm/min", Origin.COMPUTED),
                Input(
                    "P_0",
                    "spindle power at this speed",
                    available,
                    "W",
                    Origin.LIBRARY,
                    machine.name,
                ),
            ),
            limit=available,
            valid="at full feed; what the spindle takes when idling comes on top",
            source="energy balance, textbook; coefficients on the shelf",
        )

    return upper("spindle_power", "spindle power", power_w, available, "W", reason)


def _coefficients(chosen: Choices) -> tuple[Input, ...]:
    heat = chosen.material.heat
    if heat is None:
        return ()
    force, edge = heat.specific_cutting_force_n_mm2, heat.edge_force_n_mm
    return (
        Input(
            "K_tc", "specific cutting force", force, "N/mm2", Origin.LIBRARY, chosen.material.name
        ),
        Input("K_te", "edge force", edge, "N/mm", Origin.LIBRARY, chosen.material.name),
    )


def cutting_length(one: Pass, chosen: Choices) -> Limit:
    """Return the depth of the cutter against its cutting length."""
    cutter = one.toolpath.mounted.cutter
    reach = chosen.cutting.thickness_mm - one.toolpath.z_bottom_mm

    def reason() -> Explained:
        return Explained(
            key="cutting_length",
            name="depth of the cutter in the sheet and board",
            value=reach,
            unit="mm",
            formula="depth = thickness - bottom of the pass",
            inputs=(
                Input("t", "thickness", chosen.cutting.thickness_mm, "mm", Origin.TYPED),
                Input(
                    "z",
                    "bottom of the pass above the bed",
                    one.toolpath.z_bottom_mm,
                    "mm",
                    Origin.COMPUTED,
                ),
            ),
            limit=cutter.flute_length_mm,
            source=f"cutting length of the {cutter.name}; a shank in the slot rubs",
        )

    return bound("cutting_length", "cutting length", reach, cutter.flute_length_mm, "mm", reason)
