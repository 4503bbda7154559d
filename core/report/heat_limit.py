"""The heat limit: the part nearest to softening, judged by the share of the band that is hot."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.explained import Explained, Input, Origin
from core.heat.pass_heats import PARTS
from core.heat.records import state_word
from core.report.columns import GOOD, STATES, Column

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.records import PassHeat
    from core.library.records import Material
    from core.report.facts import Facts


def heat_limit(facts: Facts) -> Column | None:
    """Return the heat limit of all passes, or None where heat is not modelled."""
    heated, row = facts.heat.heated, facts.heat.row
    if heated is None:
        return None
    modelled = row >= 0
    hottest, margin = _spread(heated.hottest_c, row), _spread(heated.margin_k, row)
    words = [f"heat of the {part}" for part in PARTS]
    numbers = {state.value: number for number, state in enumerate(STATES)}
    state = [numbers[state_word(p_hot, heated.calibrated)] for p_hot in heated.band.p_hot.tolist()]
    return Column(
        name="heat",
        labels=[words[part] for part in heated.hottest[row].tolist()],
        unit="°C",
        actual=hottest,
        limit=hottest + margin,
        margin_ratio=1.0 - hottest / (hottest + margin),
        state=np.where(modelled, np.array(state)[row], GOOD).astype(np.int8),
        reason=partial(_explain, facts),
        applies=modelled,
    )


def _spread(value: NDArray[np.float64], row: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return the value of each pass that is modelled, else nan, shape (p,)."""
    return np.where(row >= 0, value[row], np.nan)


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
