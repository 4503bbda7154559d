"""A straight slot without a drawing: its map, and the margins of one setting with their slopes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.advice.map import CELLS, FEED_ABOVE, SettingsMap, settings_map
from core.advice.map_cut import MapCut, straight_slot
from core.cutting.speeds import cutting_speed_m_min
from core.plan.choices import choose
from core.plan.feeds import chip_load_range

if TYPE_CHECKING:
    from core.job.job import Job
    from core.library.shelf import Shelf

LEAST_LOAD_MM = 0.01
"""The map of a slot begins here, far below every maker's range: what melts shall be on it. [mm]."""

SLOPE = 1.01
"""A small change, whose effect on a margin is told: 1 % more."""


@dataclass(frozen=True, slots=True)
class Slot:
    """What is cut: choices as in a job, and the size of the cut.

    Parameters
    ----------
    job : Job
        Material, thickness, cutter, machine and air; it holds no drawing.
    depth_mm : float
        Depth of the cut.
    width_mm : float or None
        Radial width; None: the whole diameter.
    """

    job: Job
    depth_mm: float
    width_mm: float | None = None

    def changed(self, **changes: object) -> Slot:
        """Return the slot with other choices."""
        return replace(self, job=replace(self.job, **changes))  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class AtSetting:
    """One limit at a setting: its margin, and what 1 % more of speed or chip load does to it."""

    name: str
    label: str
    margin: float
    per_speed: float
    per_load: float


@dataclass(frozen=True, eq=False, slots=True)
class SlotMap:
    """The map of a slot, and the setting that the house rule gives."""

    cut: MapCut
    settings: SettingsMap
    house_rpm: float
    house_load_mm: float

    def at(self, rpm: float, load_mm: float) -> tuple[AtSetting, ...]:
        """Return every limit at a setting, the worst first."""
        here = self._margins(rpm, load_mm)
        faster = self._margins(rpm * SLOPE, load_mm)
        thicker = self._margins(rpm, load_mm * SLOPE)
        found = [
            AtSetting(*key, margin, faster[key] - margin, thicker[key] - margin)
            for key, margin in here.items()
        ]
        return tuple(sorted(found, key=lambda one: one.margin))

    def _margins(self, rpm: float, load_mm: float) -> dict[tuple[str, str], float]:
        # the forces are taken between two chip loads, so the second one is a little above
        speeds, loads = np.array([rpm, rpm * SLOPE]), np.array([load_mm, load_mm * SLOPE])
        found = settings_map(self.cut, speeds, loads).margins
        shape = (2, 2)
        return {
            (m.name, m.label): float(np.broadcast_to(m.margin_ratio, shape)[0, 0]) for m in found
        }

    def feed_mm_min(self, rpm: float, load_mm: float) -> float:
        """Return v_f = n z f_z. [mm/min]."""
        return rpm * self.cut.tooth_count * load_mm

    def cutting_speed_m_min(self, rpm: float) -> float:
        """Return the speed at the circumference. [m/min]."""
        return float(cutting_speed_m_min(self.cut.mounted.diameter_mm, rpm))


def slot_map(slot: Slot, shelf: Shelf) -> SlotMap:
    """Return the map of a slot.

    Raises
    ------
    WorkbenchError
        If a choice is not on the shelf or the slot cannot be meant.
    """
    chosen = choose(replace(slot.job, drawings=()), shelf)
    mounted = chosen.cutting.rough
    cut = straight_slot(chosen, mounted, slot.depth_mm, slot.width_mm)
    loads, _ = chip_load_range(mounted, chosen.material.key)
    house_rpm = min(
        chosen.feeding.headroom_share * mounted.holder.balanced_speed_rpm,
        mounted.cutter.highest_spindle_speed_rpm,
        chosen.machine.highest_spindle_speed_rpm,
    )
    feeds = np.linspace(LEAST_LOAD_MM, FEED_ABOVE * loads.high_mm, CELLS)
    return SlotMap(cut, settings_map(cut, None, feeds), house_rpm, loads.middle_mm)
