"""The heat limit: the part nearest to softening, judged by the share of the band that is hot."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.explained import Explained, Input, Origin
from core.heat.records import state_word
from core.report.columns import GOOD, STATES, Column

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from core.heat.records import PassHeat
    from core.library.records import Material
    from core.report.facts import Facts


def heat_limit(facts: Facts) -> Column | None:
    """Return the heat limit of all passes, or None where heat is not modelled."""
    found = [heat for heat in facts.heat if heat is not None]
    if not found:
        return None
    hottest = _values(facts, hottest_c)
    softening = hottest + _values(facts, lambda heat: heat.margin_k.nominal)
    numbers = {state.value: number for number, state in enumerate(STATES)}
    state = _values(facts, lambda heat: numbers[state_word(heat.p_hot, heat.calibrated)], GOOD)
    return Column(
        name="heat",
        labels=[f"heat of the {heat.hottest}" if heat else "" for heat in facts.heat],
        unit="°C",
        actual=hottest,
        limit=softening,
        margin_ratio=1.0 - hottest / softening,
        state=state.astype(np.int8),
        reason=partial(_explain, facts),
        applies=np.array([heat is not None for heat in facts.heat]),
    )


def _values(
    facts: Facts, value: Callable[[PassHeat], float], instead: float = np.nan
) -> NDArray[np.float64]:
    """Return a value of every pass whose heat is modelled, and another for the rest, shape (p,)."""
    return np.array([instead if heat is None else value(heat) for heat in facts.heat], np.float64)


def _calibration(material: Material) -> str:
    """Return whose cuts the coefficients come from, or that they come from none of this shop."""
    shop = material.heat.shop if material.heat else None
    if shop is None:
        return "not calibrated in this shop; "
    return (
        f"{'calibrated' if shop.calibrated else 'not fully calibrated'} in this shop: {shop.said}; "
    )


def hottest_c(heat: PassHeat) -> float:
    """Return the temperature of the part that is nearest to softening. [C]."""
    return {"chip": heat.chip_c, "wall": heat.wall_c, "cutter": heat.cutter_c}[heat.hottest]


def _explain(facts: Facts, index: int) -> Explained:
    heat, material = facts.heat[index], facts.chosen.material
    assert heat is not None
    band, hottest = heat.margin_k, hottest_c(heat)
    calibrated = _calibration(material)
    computed = Origin.COMPUTED
    return Explained(
        key="heat",
        name=f"temperature of the {heat.hottest}, the nearest to softening",
        value=hottest,
        unit="°C",
        formula="margin = least of (softening temperature - temperature) of chip, wall and cutter",
        inputs=(
            Input("T_chip", "chip, 95 % of its volume", heat.chip_c, "°C", computed),
            Input("T_wall", "wall, hottest place", heat.wall_c, "°C", computed),
            Input("T_cutter", "cutter, over the order of work", heat.cutter_c, "°C", computed),
            Input("h", "mean chip thickness", heat.chip_thickness_mm, "mm", computed),
            Input("t_c", "contact time at the wall", heat.contact_s * 1000.0, "ms", computed),
            Input("K_te", "edge force of that edge", heat.edge_force_n_mm, "N/mm", computed),
            Input("r", "share of chips cut again", heat.recut_share, "", Origin.ESTIMATE),
            Input("r_e", "edge radius with its wear", heat.edge_radius_um, "µm", Origin.LIBRARY),
        ),
        limit=hottest + band.nominal,
        valid="dry routing of thermoplastic sheet with sharp to worn carbide cutters",
        source=f"heat model of this program; coefficients of {material.name} on the shelf",
        note=(
            f"{calibrated}margin {band.nominal:+.0f} K, 5 to 95 % {band.low:+.0f} to "
            f"{band.high:+.0f} K; {heat.p_hot:.0%} of the uncertainty is hot"
        ),
    )
