"""A test cut as it is written down, and what may be said of its edge."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

from core.job import Air
from core.library.records import Helix


class Edge(enum.StrEnum):
    """What a cut edge looks like, the best first."""

    CLEAN = "clean"
    FROSTED = "frosted"
    CHIPPED = "chipped"
    SMEARED = "smeared"


@dataclass(frozen=True, slots=True)
class LoggedCut:
    """One straight test cut.

    Parameters
    ----------
    number : int
        Its number in the log; 0 before it is written.
    made_on : str
        The day, as 2026-03-05.
    material, cutter : str
        Keys on the shelf: material, mounted cutter.
    diameter_mm, tooth_count, stick_out_mm, helix, edge_radius_um
        The cutter on that day, its edge with its wear.
    spindle_speed_rpm, feed_per_tooth_mm, radial_width_mm, axial_depth_mm : float
        The cut.
    air : Air
        What cleared the chip.
    room_c : float
        Room temperature. [C]
    power_w, idle_power_w : float or None
        Of the spindle in the cut, and idling at the same speed. [W]
    cutter_c, cut_s, after_s : float or None
        Cutter temperature, how long the cut had lasted, how long after it was measured. [C], [s]
    chip_c : float or None
        Temperature of the fresh chips. [C]
    edge_climb, edge_conventional : Edge or None
        What the edges look like on the climb side and on the conventional side of the slot.
    note : str
        What else should be known.
    """

    made_on: str
    material: str
    cutter: str
    diameter_mm: float
    tooth_count: int
    stick_out_mm: float
    helix: Helix
    edge_radius_um: float
    spindle_speed_rpm: float
    feed_per_tooth_mm: float
    radial_width_mm: float
    axial_depth_mm: float
    air: Air
    room_c: float
    power_w: float | None = None
    idle_power_w: float | None = None
    cutter_c: float | None = None
    cut_s: float | None = None
    after_s: float | None = None
    chip_c: float | None = None
    edge_climb: Edge | None = None
    edge_conventional: Edge | None = None
    note: str = ""
    number: int = 0

    @property
    def cutting_power_w(self) -> float | None:
        """Power of the cut itself: what the spindle took, less what it takes when idling. [W]."""
        if self.power_w is None or self.idle_power_w is None:
            return None
        return self.power_w - self.idle_power_w

    @property
    def feed_speed_mm_s(self) -> float:
        """Feed along the slot. [mm/s]."""
        return self.spindle_speed_rpm / 60.0 * self.tooth_count * self.feed_per_tooth_mm

    @property
    def removal_mm3_s(self) -> float:
        """Volume cut in a second. [mm3/s]."""
        return self.radial_width_mm * self.axial_depth_mm * self.feed_speed_mm_s

    @property
    def edge_sweep_mm2_s(self) -> float:
        """Surface that the edges sweep in a second. [mm2/s].

        Equation: S = a_p v_c z phi_e / (2 pi).
        """
        share = min(self.radial_width_mm / self.diameter_mm, 1.0)
        angle = math.acos(1.0 - 2.0 * share)
        speed = math.pi * self.diameter_mm * self.spindle_speed_rpm / 60.0
        return self.axial_depth_mm * speed * self.tooth_count * angle / (2.0 * math.pi)
