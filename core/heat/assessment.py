"""From passes and motion to the heat of every pass."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

import numpy as np

from core.heat.cause import causes_of
from core.heat.cuts import conditions_of, hottest_walls, read_cuts, warmed
from core.heat.estimates import ESTIMATES, Estimates, in_this_shop
from core.heat.records import TIGHT_ABOVE, MarginBand, PassHeat
from core.heat.risk import Risk, draws_of, risk
from core.heat.temperatures import contact_w_k, edge_shares, margins_k, rises_k

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.heat.cuts import Cuts
    from core.heat.temperatures import Conditions
    from core.job import Air
    from core.library.records import Machine, Material
    from core.motion.records import Motion
    from core.plan.records import Pass

PARTS = ("chip", "wall", "cutter")
"""What may soften, in the order of `margins_k`."""


def assess(
    passes: Sequence[Pass],
    motion: Motion,
    material: Material,
    machine: Machine,
    air: Air,
    *,
    thickness_mm: float,
    order: Sequence[int] | None = None,
    idle_s: Sequence[float] | None = None,
    estimates: Estimates = ESTIMATES,
) -> tuple[PassHeat | None, ...]:
    """Return the heat of every pass; None for each where the material has no coefficients.

    Parameters
    ----------
    passes : sequence of Pass, p in number
        The passes, as in `motion`.
    motion : Motion
        How the machine really moves.
    material : Material
        The sheet; without heat coefficients nothing is modelled.
    machine : Machine
        Acceleration and room temperature.
    air : Air
        What clears the chip.
    thickness_mm : float
        Of the sheet: how deep in the slot a pass is. [mm]
    order : sequence of int, optional
        Passes in the order of work, copies included; as given if left out. The cutter's body
        warms and cools through it.
    idle_s : sequence of float, optional
        Time before each pass of the order for rapids, ramps and changes. [s]
    estimates : Estimates
        Coefficients that are on no card.

    Notes
    -----
    The wall is judged where it stays on the part (`final_wall`); a wall that a later pass cuts away
    is told, but counts for nothing: 10 ms of contact reach sqrt(4 alpha t) = 0.07 mm into a stock
    of 0.5 mm. Not modelled: ways in and out, a warm collet, heat that neighbouring cuts left in the
    sheet, what a chip does once it has left the slot.
    """
    if material.heat is None or not passes:
        return (None,) * len(passes)
    estimates = in_this_shop(estimates, material.heat)
    calibrated = material.heat.shop is not None and material.heat.shop.calibrated
    cuts = read_cuts(passes, motion.along, material, machine, air, thickness_mm, estimates)
    hottest = hottest_walls(cuts)
    steady = conditions_of(cuts, hottest, machine.room_temperature_c)
    order = range(len(passes)) if order is None else order
    idle_s = [0.0] * len(order) if idle_s is None else idle_s
    conditions, tau_s = warmed(cuts, steady, motion, order, idle_s)
    draws = draws_of(material, estimates)
    band = risk(draws, conditions)
    numbers = _numbers(cuts, conditions, tau_s) | {"p_hot": band.p_hot}
    places = cuts.places.xy_mm(cuts.along, hottest).tolist()
    words = zip(*_words(cuts, conditions, band), strict=True)
    rows = zip(*(column.tolist() for column in numbers.values()), strict=True)
    along_c = _along_c(cuts, conditions.room_c)
    return tuple(
        PassHeat(
            wall_hottest_at_mm=(place[0], place[1]),
            margin_k=margin,
            hottest=hot,
            cause=cause,
            anchored=draws.anchored,
            final_wall=cut.toolpath.wall_stock_mm <= 0.0,
            wall_along_c=wall_c,
            calibrated=calibrated,
            **dict(zip(numbers, row, strict=True)),
        )
        for cut, row, place, (margin, hot, cause), wall_c in zip(
            passes, rows, places, words, along_c, strict=True
        )
    )


def _numbers(cuts: Cuts, conditions: Conditions, tau_s: NDArray[np.float64]) -> dict[str, Any]:
    """Return the plain numbers of `PassHeat` by name, arrays of shape (p,)."""
    c, room = cuts.coefficients, conditions.room_c
    chip, wall, cutter = rises_k(c, conditions)
    shares = edge_shares(c, conditions.chip_thinness_per_m)
    return {
        "chip_c": room + chip,
        "wall_c": room + wall,
        "cutter_c": room + conditions.warmed * cutter,
        "chip_thickness_mm": 1e3 / conditions.chip_thinness_per_m - cuts.estimates.thin_chip_mm,
        "contact_s": conditions.wall.contact_s,
        "recut_share": conditions.recut_share,
        "edge_radius_um": cuts.table.edge_radius_um,
        "edge_force_n_mm": cuts.heat.edge_force_n_mm * conditions.wear,
        "chip_share": shares[0],
        "wall_share": shares[1],
        "cutter_share": shares[2],
        "fin_w_k": conditions.fin_w_k,
        "contact_w_k": contact_w_k(c, conditions),
        "edge_w": c.edge_j_m2 * conditions.wear * conditions.edge_m2_s,
        "time_constant_s": tau_s,
    }


def _words(
    cuts: Cuts, conditions: Conditions, band: Risk
) -> tuple[list[MarginBand], list[str], list[str | None]]:
    """Return margin, hottest part and cause of each pass; no cause where it is comfortable."""
    margins = np.array(margins_k(cuts.coefficients, conditions))
    table = np.column_stack([band.low_k, margins.min(axis=0), band.high_k])
    hottest = [PARTS[part] for part in margins.argmin(axis=0).tolist()]
    causes: list[str | None] = [None] * len(hottest)
    rows = np.flatnonzero(band.p_hot > TIGHT_ABOVE)
    if len(rows):
        for row, cause in zip(rows.tolist(), causes_of(cuts, conditions, rows), strict=True):
            causes[row] = cause
    return [MarginBand(*row) for row in table.tolist()], hottest, causes


def _along_c(cuts: Cuts, room_c: float) -> list[NDArray[np.float64]]:
    """Return the wall temperature at the samples of each pass. [C]."""
    rise = np.where(cuts.places.exists, cuts.wall_k, 0.0)[cuts.places.is_sample]
    wall_c = room_c + rise
    wall_c.flags.writeable = False
    first = cuts.along.first.tolist()
    return [wall_c[begin:end] for begin, end in itertools.pairwise(first)]
