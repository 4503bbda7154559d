"""What the limits and reports of passes are made from: everything found out about p passes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.plan.alike import alike
from core.plan.feeds import chip_load_range

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from numpy.typing import NDArray

    from core.heat.pass_heats import PassHeats
    from core.motion.records import Motion
    from core.plan.choices import Choices
    from core.plan.freed import Freed
    from core.plan.records import Pass, Plan
    from core.report.measures import Measures


@dataclass(frozen=True, eq=False)
class Facts:
    """Everything found out about the passes of a plan.

    Parameters
    ----------
    chosen : Choices
        What is cut from and on.
    plan : Plan
        The passes.
    motion : Motion
        How the machine runs them.
    heat : PassHeats
        Of each pass; None where heat is not modelled.
    measures : Measures
        Chip loads, chips, thin places, forces.
    pieces : mapping of (drawing, contour id) to Freed
        The piece that each contour frees.
    """

    chosen: Choices
    plan: Plan
    motion: Motion
    heat: PassHeats
    measures: Measures
    pieces: Mapping[tuple[int, int], Freed]

    def each(self, value: Callable[[Pass], float]) -> NDArray[np.float64]:
        """Return a value of every pass that does not depend on where it runs, shape (p,)."""
        return alike(self.plan.passes).each(value)

    @cached_property
    def is_milled(self) -> NDArray[np.bool_]:
        """Which passes the flank of an end mill cuts, shape (p,): force and heat hold for them."""
        return self.each(lambda one: one.toolpath.is_milled) > 0.0

    @cached_property
    def spindle_speed_rpm(self) -> NDArray[np.float64]:
        """Spindle speed of every pass, shape (p,). [rpm]."""
        return self.each(lambda one: one.spindle_speed_rpm)

    @cached_property
    def chip_loads_mm(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Low and high end of the maker's chip-load range on every pass, shape (p,). [mm]."""
        material = self.chosen.material.key
        low = self.each(lambda one: chip_load_range(one.toolpath.mounted, material)[0].low_mm)
        high = self.each(lambda one: chip_load_range(one.toolpath.mounted, material)[0].high_mm)
        return low, high

    @cached_property
    def freed(self) -> tuple[Freed | None, ...]:
        """The piece that each pass frees: the last depth of a contour frees it."""
        paths = [one.toolpath for one in self.plan.passes]
        return tuple(
            self.pieces.get((path.drawing, path.contour_id)) if path.z_bottom_mm <= 0.0 else None
            for path in paths
        )
