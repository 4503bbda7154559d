"""Numbers on the grid of the program's digits.

Terms: a *step* is one unit of the last digit that is written. Places are whole numbers of steps, so
that what is written is what is meant, to the last digit, and a sum of increments never drifts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.library.nc_records import NcSettings

MM_PER_INCH = 25.4

Steps = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Grid:
    """The grid of a program: its unit and digits."""

    nc: NcSettings

    @property
    def unit_mm(self) -> float:
        """Length of the program's unit. [mm]."""
        return MM_PER_INCH if self.nc.length_unit == "in" else 1.0

    @property
    def step_mm(self) -> float:
        """Length of one step. [mm]."""
        return float(self.unit_mm * 10.0**-self.nc.decimals)

    def steps(self, value_mm: float) -> int:
        """Return a length as whole steps."""
        return round(value_mm / self.step_mm)

    def place(self, x_mm: float, y_mm: float) -> Steps:
        """Return a place as whole steps."""
        return self.steps(x_mm), self.steps(y_mm)

    def written(self, steps: int) -> str:
        """Return steps as they are written: all digits, a point, a sign only below zero."""
        power = 10**self.nc.decimals
        whole, rest = divmod(abs(steps), power)
        return f"{'-' if steps < 0 else ''}{whole}.{rest:0{self.nc.decimals}d}"

    def feed(self, feed_mm_min: float) -> str:
        """Return a feed as it is written, rounded down so that no limit is passed."""
        power = 10**self.nc.feed_decimals
        units = max(math.floor(feed_mm_min / self.unit_mm * power + 1e-6), 1)
        whole, rest = divmod(units, power)
        return f"{whole}.{rest:0{self.nc.feed_decimals}d}" if self.nc.feed_decimals else f"{whole}"
