"""From passes and motion to the heat of every pass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.heat.cuts import conditions_of, hottest_walls, read_cuts, warmed
from core.heat.estimates import ESTIMATES, Estimates, in_this_shop
from core.heat.pass_heats import Heated, PassHeats
from core.heat.risk import draws_of, risk

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.job import Air
    from core.library.records import Machine, Material
    from core.motion.records import Motion
    from core.plan.records import Pass


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
) -> PassHeats:
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
        return PassHeats(None, np.full(len(passes), -1))
    estimates = in_this_shop(estimates, material.heat)
    cuts = read_cuts(passes, motion.along, material, machine, air, thickness_mm, estimates)
    hottest = hottest_walls(cuts)
    steady = conditions_of(cuts, hottest, machine.room_temperature_c)
    order = range(len(passes)) if order is None else order
    idle_s = [0.0] * len(order) if idle_s is None else idle_s
    conditions, tau_s = warmed(cuts, steady, motion, order, idle_s)
    draws = draws_of(material, estimates)
    heated = Heated(
        cuts=cuts,
        conditions=conditions,
        band=risk(draws, conditions),
        time_constant_s=tau_s,
        hottest_place=hottest,
        anchored=draws.anchored,
        calibrated=material.heat.shop is not None and material.heat.shop.calibrated,
    )
    return PassHeats(heated, np.arange(len(passes)))
