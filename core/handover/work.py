"""What is handed over: the plan with the job that it follows from; and a program's text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.contours.records import Contours
    from core.job import Job
    from core.layout.records import Layout, Order, OrderLine
    from core.plan.choices import Choices
    from core.plan.records import Pass, Plan


@dataclass(frozen=True, eq=False, slots=True)
class Work:
    """Everything that a program is written from, and proven against."""

    job: Job
    chosen: Choices
    contours: tuple[Contours, ...]
    plan: Plan
    layout: Layout
    order: Order

    @property
    def top_mm(self) -> float:
        """Height of the sheet's top above the bed. [mm]."""
        return self.chosen.cutting.thickness_mm

    @property
    def safe_mm(self) -> float:
        """Height above the bed at which the cutter runs between cuts. [mm]."""
        return self.top_mm + self.chosen.machine.safe_height_mm

    @property
    def approach_mm(self) -> float:
        """Height above the bed at which rapid ends and feed begins. [mm]."""
        return self.top_mm + self.chosen.machine.nc.approach_mm

    def cut_pass(self, line: OrderLine) -> Pass:
        """Return the pass of a line of the order."""
        return self.plan.passes[line.pass_index]

    def programs(self) -> tuple[tuple[int, tuple[OrderLine, ...]], ...]:
        """Return what each program holds: the sheet's index and the lines of the order.

        One program a sheet; where the control wants a file for each cutter, one for each run of a
        cutter on a sheet.
        """
        split = self.chosen.machine.nc.one_file_per_cutter
        runs: list[tuple[tuple[int, str], list[OrderLine]]] = []
        for line in self.order.lines:
            cutter = self.cut_pass(line).toolpath.mounted.key if split else ""
            key = (line.sheet, cutter)
            if not runs or runs[-1][0] != key:
                runs.append((key, []))
            runs[-1][1].append(line)
        return tuple((key[0], tuple(lines)) for key, lines in runs)


@dataclass(frozen=True, slots=True)
class NcText:
    """One program: its sheet (from 0), which of how many, and its text."""

    sheet: int
    number: int
    count: int
    text: str
