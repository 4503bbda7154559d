"""Heat where it is modelled: of the passes that the flank of an end mill cuts.

A drill scrapes with its point in its own chips, and a V cutter cuts with a cone: for neither is a
model known here whose coefficients anybody published for sheet plastics, so their heat is told as
not modelled. Their time counts all the same: meanwhile the other cutters cool.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.heat.assessment import assess
from core.heat.pass_heats import PassHeats

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.job import Air
    from core.library.records import Machine, Material
    from core.motion.records import Motion
    from core.plan.records import Pass


def assess_milled(
    passes: Sequence[Pass],
    motion: Motion,
    material: Material,
    machine: Machine,
    air: Air,
    *,
    thickness_mm: float,
    order: Sequence[int],
    idle_s: Sequence[float],
) -> PassHeats:
    """Return the heat of every pass; None for drills and V cutters, and without coefficients.

    Parameters
    ----------
    passes, motion, material, machine, air, thickness_mm, order, idle_s
        As in `core.heat.assessment.assess`.

    Notes
    -----
    While a drill or V cutter works, the cutter before it is taken to cool as it does between two
    of its own passes.
    """
    milled = np.flatnonzero([one.toolpath.is_milled for one in passes])
    if len(milled) == len(passes):
        return assess(
            passes,
            motion,
            material,
            machine,
            air,
            thickness_mm=thickness_mm,
            order=order,
            idle_s=idle_s,
        )
    own_order, own_idle_s = _shortened(milled, motion, order, idle_s)
    found = assess(
        [passes[i] for i in milled.tolist()],
        _of_passes(motion, milled),
        material,
        machine,
        air,
        thickness_mm=thickness_mm,
        order=own_order,
        idle_s=own_idle_s,
    )
    row = np.full(len(passes), -1)
    row[milled] = found.row
    return PassHeats(found.heated, row)


def _shortened(
    milled: NDArray[np.intp], motion: Motion, order: Sequence[int], idle_s: Sequence[float]
) -> tuple[list[int], list[float]]:
    """Return the order of the milled passes; what lies between them counts as idle."""
    number = {index: k for k, index in enumerate(milled.tolist())}
    own: list[int] = []
    gaps: list[float] = []
    waited = 0.0
    for index, idle in zip(order, idle_s, strict=True):
        waited += idle
        if index in number:
            own.append(number[index])
            gaps.append(waited)
            waited = 0.0
        else:
            waited += float(motion.cutting_s[index] + motion.entering_s[index])
    return own, gaps


def _of_passes(motion: Motion, which: NDArray[np.intp]) -> Motion:
    """Return the motion of some passes."""
    return replace(
        motion,
        along=motion.along.of_passes(which),
        cutting_s=motion.cutting_s[which],
        entering_s=motion.entering_s[which],
        cutting_jerk_s=motion.cutting_jerk_s[which],
    )
