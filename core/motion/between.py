"""What lies between the passes: lifts, rapid moves, cutter changes, spindle ramps.

A move from one pass to the next lifts the cutter to the safe height, runs there and comes down;
where the next pass begins close to where the last one ended (the next depth of the same ring), the
cutter stays down and nothing is moved.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.motion.profile import travel_time_s

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.layout.records import Order, OrderLine
    from core.library.records import Machine
    from core.plan.records import Pass, Toolpath

STAYS_DOWN_MM = 5.0
"""A cutter that goes deeper in its own slot does not lift for a way shorter than this: the seam
overlap and no more (house rule)."""


@dataclass(frozen=True, eq=False)
class Between:
    """Times before each of the n lines of an order, and the rapid way of all.

    Parameters
    ----------
    moving_s, cutter_changes_s, spindle_changes_s : array of shape (n,)
        Before each line. Spindle: from standstill where a sheet or a cutter is new. [s]
    rapid_mm : float
        Rapid way in all. [mm]
    """

    moving_s: NDArray[np.float64]
    cutter_changes_s: NDArray[np.float64]
    spindle_changes_s: NDArray[np.float64]
    rapid_mm: float

    @cached_property
    def idle_s(self) -> NDArray[np.float64]:
        """Time before each line in which nothing is cut, shape (n,). [s]."""
        return self.moving_s + self.cutter_changes_s + self.spindle_changes_s


def between_passes(passes: Sequence[Pass], order: Order, machine: Machine) -> Between:
    """Return what lies between the passes of an order.

    Parameters
    ----------
    passes : sequence of Pass
        The plan.
    order : Order
        The order of work over all sheets, n lines.
    machine : Machine
        Rapid speed, safe height, spindle ramp and time of a cutter change.
    """
    if not order.lines:
        nothing = np.zeros(0)
        return Between(nothing, nothing, nothing, 0.0)
    lines = [(passes[line.pass_index].toolpath, line) for line in order.lines]
    moving, rapid = _moves(lines, order.rapids_mm, machine)
    names: dict[str, int] = {}
    cutter = np.array([names.setdefault(path.mounted.key, len(names)) for path, _ in lines])
    sheet = np.array([line.sheet for _, line in lines])
    new_cutter = np.append(True, cutter[1:] != cutter[:-1])
    stands = new_cutter | np.append(True, sheet[1:] != sheet[:-1])
    speed = np.array([passes[line.pass_index].spindle_speed_rpm for line in order.lines])
    before = np.append(0.0, speed[:-1])
    # where it stands still in between it has run down from the old speed and up to the new one
    change = np.where(stands, before + speed, np.abs(speed - before))
    return Between(
        moving_s=moving,
        cutter_changes_s=np.where(new_cutter, machine.cutter_change_s, 0.0),
        spindle_changes_s=change / machine.spindle_ramp_rpm_s,
        rapid_mm=rapid,
    )


def _moves(
    lines: Sequence[tuple[Toolpath, OrderLine]], rapids_mm: Sequence[float], machine: Machine
) -> tuple[NDArray[np.float64], float]:
    """Return the time of the rapid move to each line, shape (n,), and the whole way. [s], [mm]."""
    plane = np.array(rapids_mm)
    deeper = np.array([path.level > 0 for path, _ in lines])
    height = machine.safe_height_mm + np.array([p.z_top_mm - p.z_bottom_mm for p, _ in lines])
    lifts = ~(deeper & (plane < STAYS_DOWN_MM))
    speed, acceleration = machine.rapid_mm_min / 60.0, machine.acceleration_mm_s2
    across = travel_time_s(plane, speed, acceleration)
    up_or_down = travel_time_s(height, speed, acceleration)
    seconds = np.where(lifts, across + 2.0 * up_or_down, 0.0)
    return seconds, float(((plane + 2.0 * height) * lifts).sum())
