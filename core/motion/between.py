"""What lies between the passes: lifts, rapid moves, cutter changes, spindle ramps.

A move from one pass to the next lifts the cutter to the safe height, runs there and comes down;
where the next pass begins close to where the last one ended (the next depth of the same ring), the
cutter stays down and nothing is moved.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.motion.move import rapid_time_s, spindle_ramp_s

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.layout.records import Order
    from core.library.records import Machine
    from core.plan.records import Pass

STAYS_DOWN_MM = 5.0
"""A cutter that goes deeper in its own slot does not lift for a way shorter than this: the seam
overlap and no more (house rule)."""


@dataclass(frozen=True, slots=True)
class Between:
    """Times before each line of an order, and the rapid way, for all lines.

    Parameters
    ----------
    moving_s, cutter_changes_s, spindle_changes_s : tuple of float
        Before each line. Spindle: from standstill where a sheet or a cutter is new. [s]
    rapid_mm : float
        Rapid way in all. [mm]
    """

    moving_s: tuple[float, ...]
    cutter_changes_s: tuple[float, ...]
    spindle_changes_s: tuple[float, ...]
    rapid_mm: float

    @property
    def idle_s(self) -> tuple[float, ...]:
        """Time before each line in which nothing is cut. [s]."""
        parts = zip(self.moving_s, self.cutter_changes_s, self.spindle_changes_s, strict=True)
        return tuple(map(sum, parts))


def between_passes(passes: Sequence[Pass], order: Order, machine: Machine) -> Between:
    """Return what lies between the passes of an order.

    Parameters
    ----------
    passes : sequence of Pass
        The plan.
    order : Order
        The order of work over all sheets.
    machine : Machine
        Rapid speed, safe height, spindle ramp and time of a cutter change.
    """
    moving, changes, spindle = [], [], []
    rapid = 0.0
    cutter, sheet, speed = "", -1, 0.0
    for line, plane_mm in zip(order.lines, order.rapids_mm, strict=True):
        one = passes[line.pass_index]
        seconds, way = _move(one, plane_mm, machine)
        new_cutter = one.toolpath.mounted.key != cutter
        if new_cutter or line.sheet != sheet:
            # it stopped from the old speed, and starts from standstill
            ramp = spindle_ramp_s(speed, 0.0, machine)
            ramp += spindle_ramp_s(0.0, one.spindle_speed_rpm, machine)
        else:
            ramp = spindle_ramp_s(speed, one.spindle_speed_rpm, machine)
        moving.append(seconds)
        changes.append(machine.cutter_change_s if new_cutter else 0.0)
        spindle.append(ramp)
        rapid += way
        cutter, sheet = one.toolpath.mounted.key, line.sheet
        speed = one.spindle_speed_rpm
    return Between(tuple(moving), tuple(changes), tuple(spindle), rapid)


def _move(one: Pass, plane_mm: float, machine: Machine) -> tuple[float, float]:
    """Return time and way of the rapid move to a pass. [s], [mm]."""
    path = one.toolpath
    if path.level > 0 and plane_mm < STAYS_DOWN_MM:
        return 0.0, 0.0
    height = machine.safe_height_mm + path.z_top_mm - path.z_bottom_mm
    seconds = rapid_time_s(plane_mm, machine) + 2.0 * rapid_time_s(height, machine)
    return seconds, plane_mm + 2.0 * height
