"""What lies between the passes: lifts, rapid moves, ways down, cutter changes, spindle ramps.

From one pass to the next the cutter is lifted to the safe height, runs there and comes down:
rapidly to the approach height above the sheet, and from there with the plunge speed to where the
way in begins. Where the next depth of the same ring begins close to where the last one ended it
goes back in its own slot instead (`core.motion.staying`). A sheet begins and ends where the machine
parks; it also waits there at a programmed stop and where a person changes the cutter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.layout.order import placed
from core.library.nc_records import CutterChange
from core.motion.profile import travel_time_s
from core.motion.staying import way_back, way_time_s
from core.plan.records import Entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.layout.records import Layout, Order
    from core.library.records import Machine
    from core.plan.records import Pass


@dataclass(frozen=True, eq=False)
class Between:
    """Times before each of the n lines of an order, and the rapid way of all.

    Parameters
    ----------
    moving_s, cutter_changes_s, spindle_changes_s : array of shape (n,)
        Before each line. Moving: before the first line of a sheet also the way home from the
        sheet's last. Spindle: from standstill where a sheet or a cutter is new. [s]
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


def between_passes(
    passes: Sequence[Pass], order: Order, machine: Machine, layout: Layout
) -> Between:
    """Return what lies between the passes of an order.

    Parameters
    ----------
    passes : sequence of Pass
        The plan.
    order : Order
        The order of work over all sheets, n lines.
    machine : Machine
        Rapid speed, heights, spindle ramp and time of a cutter change.
    layout : Layout
        Where the copies lie.
    """
    if not order.lines:
        nothing = np.zeros(0)
        return Between(nothing, nothing, nothing, 0.0)
    paths = [passes[line.pass_index].toolpath for line in order.lines]
    names: dict[str, int] = {}
    cutter = np.array([names.setdefault(path.mounted.key, len(names)) for path in paths])
    sheet = np.array([line.sheet for line in order.lines])
    new_cutter = np.append(True, cutter[1:] != cutter[:-1])
    new_sheet = np.append(True, sheet[1:] != sheet[:-1])
    speed = np.array([passes[line.pass_index].spindle_speed_rpm for line in order.lines])
    before = np.append(0.0, speed[:-1])
    stopped = np.append(False, [bool(path.stop_after) for path in paths[:-1]]) & ~new_sheet
    # where it stands still in between it has run down from the old speed and up to the new one
    stands = new_cutter | new_sheet | stopped
    change = np.where(stands, before + speed, np.abs(speed - before))
    by_hand = machine.nc.cutter_change is CutterChange.STOP
    parks = (stopped | (new_cutter & by_hand)) & ~new_sheet
    moves = _Moves(passes, order, machine, layout, new_sheet, parks)
    return Between(
        moving_s=moves.moving_s,
        cutter_changes_s=np.where(new_cutter, machine.cutter_change_s, 0.0),
        spindle_changes_s=change / machine.spindle_ramp_rpm_s,
        rapid_mm=moves.rapid_mm,
    )


class _Moves:
    """The moves to each of n lines, and from the last one of each sheet to the park."""

    def __init__(
        self,
        passes: Sequence[Pass],
        order: Order,
        machine: Machine,
        layout: Layout,
        new_sheet: NDArray[np.bool_],
        parks: NDArray[np.bool_],
    ) -> None:
        self._passes, self._lines = passes, order.lines
        self._machine, self._layout = machine, layout
        self._first = np.flatnonzero(new_sheet)
        self._last = np.append(self._first[1:] - 1, len(order.lines) - 1)
        paths = [passes[line.pass_index].toolpath for line in order.lines]
        top = max(p.toolpath.z_top_mm for p in passes)
        bottom = np.array([path.z_bottom_mm for path in paths])
        begins = np.array([path.entry_from_mm for path in paths])
        # a drill is fed from the top of the sheet on
        plunges = np.array([path.entry_kind is Entry.PLUNGE and not path.pecks for path in paths])
        back_s = self._back_s(parks)
        lifts = np.isnan(back_s)
        plane, home = np.array(order.rapids_mm), np.zeros(len(paths))
        from_park = np.flatnonzero(new_sheet | parks)
        plane[from_park] = self._park_mm(from_park, ending=False)
        to_park = np.flatnonzero(parks)
        home[to_park] = self._park_mm(to_park - 1, ending=True)
        # down to the approach height rapidly, below it with the plunge speed
        height, approach = machine.safe_height_mm, machine.nc.approach_mm
        down = self._rapid_s(np.full(len(paths), height - approach))
        down += self._plunge_s(top + approach - np.where(plunges, bottom, begins))
        # the part of a plunge that cuts is counted with the way in
        down -= np.where(plunges, self._plunge_s(begins - bottom), 0.0)
        up_mm = np.append(0.0, top + height - bottom[:-1])
        up_mm[self._first] = 0.0
        moved = self._rapid_s(up_mm) + self._rapid_s(home) + self._rapid_s(plane) + down
        self.moving_s = np.where(lifts, moved, back_s)
        home_mm = self._park_mm(self._last, ending=True)
        lift_mm = top + height - bottom[self._last]
        self.moving_s[self._first] += self._rapid_s(home_mm) + self._rapid_s(lift_mm)
        rapid = (up_mm + home + plane + height - approach)[lifts].sum()
        self.rapid_mm = float(rapid + home_mm.sum() + lift_mm.sum())

    def _rapid_s(self, way_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        machine = self._machine
        return travel_time_s(way_mm, machine.rapid_mm_min / 60.0, machine.acceleration_mm_s2)

    def _plunge_s(self, way_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        machine = self._machine
        return travel_time_s(way_mm, machine.plunge_mm_min / 60.0, machine.acceleration_mm_s2)

    def _back_s(self, parks: NDArray[np.bool_]) -> NDArray[np.float64]:
        """Return the time of the way back in the slot before each line; nan where it lifts."""
        known: dict[tuple[int, int], float] = {}
        out = np.full(len(self._lines), np.nan)
        for k, (line, after) in enumerate(pairwise(self._lines), 1):
            same = line.sheet == after.sheet and line.copy == after.copy and not parks[k]
            if same and self._passes[after.pass_index].toolpath.level > 0:
                pair = line.pass_index, after.pass_index
                if pair not in known:
                    known[pair] = self._one_back_s(*pair)
                out[k] = known[pair]
        return out

    def _one_back_s(self, before: int, after: int) -> float:
        way = way_back(self._passes[before].toolpath, self._passes[after].toolpath)
        if way is None:
            return math.nan
        feed = self._passes[after].feed_speed_mm_min / 60.0
        return way_time_s(way, feed, self._machine.acceleration_mm_s2)

    def _park_mm(self, which: NDArray[np.intp], *, ending: bool) -> NDArray[np.float64]:
        """Return the way in the plane between the park and some lines' begin or end. [mm]."""
        out = []
        for k in which:
            line = self._lines[k]
            path = self._passes[line.pass_index].toolpath
            point = path.exit.points[-1] if ending else path.entry.points[0]
            copy = self._layout.sheets[line.sheet].copies[line.copy]
            out.append(np.hypot(*(placed(point, copy) - np.array(self._machine.nc.park_mm))))
        return np.array(out)
