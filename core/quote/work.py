"""What is priced: sheets, minutes, metres and pieces, however they were laid out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.library.records import MountedCutter, SheetStock


@dataclass(frozen=True, slots=True)
class SheetsUsed:
    """Sheets of one kind: how many, and what of all of them goes back on the rack. [mm2]."""

    stock: SheetStock
    count: int
    kept_mm2: float

    @property
    def area_mm2(self) -> float:
        """Area of all of them. [mm2]."""
        return self.stock.size_mm[0] * self.stock.size_mm[1] * self.count


@dataclass(frozen=True, slots=True)
class CutterUse:
    """How far one mounted cutter cuts in the whole job. [m]."""

    mounted: MountedCutter
    cut_m: float


@dataclass(frozen=True, slots=True)
class Work:
    """Everything of a job that costs.

    Parameters
    ----------
    quantity : int
        Copies of the job.
    pieces : int
        Parts in all.
    sheets : tuple of SheetsUsed
        By kind.
    machine_s, machine_with_jerk_s : float
        Time on the machine, cutter changes included; the same with the machine's jerk counted. [s]
    cutters : tuple of CutterUse
        By mounted cutter.
    edge_m : float
        Length of all edges of all parts. [m]
    holes : int
        Holes in all parts.
    stops : int
        How often the program stops for a person.
    parts_mm2 : float
        Area of all parts. [mm2]
    """

    quantity: int
    pieces: int
    sheets: tuple[SheetsUsed, ...]
    machine_s: float
    machine_with_jerk_s: float
    cutters: tuple[CutterUse, ...]
    edge_m: float
    holes: int
    stops: int
    parts_mm2: float

    @property
    def sheet_count(self) -> int:
        """Sheets of all kinds."""
        return sum(used.count for used in self.sheets)

    @property
    def sheets_mm2(self) -> float:
        """Area of all sheets. [mm2]."""
        return sum(used.area_mm2 for used in self.sheets)

    @property
    def kept_mm2(self) -> float:
        """Area of the offcuts that go back on the rack. [mm2]."""
        return sum(used.kept_mm2 for used in self.sheets)

    @property
    def used_ratio(self) -> float:
        """Share of the sheets, without the offcuts kept, that becomes parts."""
        spent = self.sheets_mm2 - self.kept_mm2
        return self.parts_mm2 / spent if spent > 0.0 else 0.0
