"""Reads a program back and proves it against the job.

Two independent questions: does the text do what the plan wants, place by place; and does what it
does leave every part whole, sever every outline, and keep the machine's limits. A program is proven
when neither finds anything to object to.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.handover.complaints import Complaint
from core.handover.nc_reader import read_program
from core.handover.planned import planned_runs
from core.handover.rules import holder_clear, run_well, within_limits
from core.handover.runs import read_runs
from core.handover.same_way import follows_the_plan
from core.handover.severed import parting, skins_kept
from core.handover.walls import gouges, walls_on
from core.handover.zones import out_of_zones
from core.library.nc_records import DepthZero

if TYPE_CHECKING:
    from core.handover.nc_program import Program
    from core.handover.work import Work

MOST_COMPLAINTS = 100


@dataclass(frozen=True, eq=False, slots=True)
class Proof:
    """What was proven of one program.

    Parameters
    ----------
    program : Program
        As it was read.
    number, count : int
        Which program of how many.
    sha256 : str
        Digest of its text.
    gouge_mm : float
        How deep a cutter enters a part at the most. [mm]
    uncut_mm : float
        How much stands in front of a wall that must be severed, beyond what the cutter cannot
        reach. [mm]
    outlines, severed, held : int
        Outlines that must be severed, those that are, and those that must stay held.
    loose_waste : int
        Pieces of waste that come loose.
    complaints : tuple of Complaint
        What there is to object to; with any, the program is not proven.
    """

    program: Program
    number: int
    count: int
    sha256: str
    gouge_mm: float
    uncut_mm: float
    outlines: int
    severed: int
    held: int
    loose_waste: int
    complaints: tuple[Complaint, ...]

    @property
    def holds(self) -> bool:
        """Whether the program is proven."""
        return not self.complaints

    @property
    def depth_ok(self) -> bool:
        """Whether it keeps to the allowed depths."""
        return not any(c.code in ("depth", "held") for c in self.complaints)

    @property
    def speed_ok(self) -> bool:
        """Whether feeds and spindle speeds are those of the plan, within the machine's limits."""
        return not any(c.code in ("feed", "spindle") for c in self.complaints)


def prove(work: Work, text: str, number: int = 1) -> Proof:
    """Return what is proven of a program.

    Parameters
    ----------
    work : Work
        The job and its plan.
    text : str
        The program.
    number : int
        Which of the job's programs it must be, from 1.
    """
    machine = work.chosen.machine
    zero = work.top_mm if machine.nc.depth_zero is DepthZero.SHEET_TOP else 0.0
    program = read_program(text, machine.nc, zero)
    parts = work.programs()
    digest = hashlib.sha256(text.encode()).hexdigest()
    if program.faults or not 1 <= number <= len(parts):
        found = [Complaint("words", fault.message, fault.line) for fault in program.faults]
        if not found:
            found = [Complaint("order", f"the job has {len(parts)} programs, and no {number}.")]
        kept = tuple(found[:MOST_COMPLAINTS])
        return Proof(program, number, len(parts), digest, 0.0, 0.0, 0, 0, 0, 0, kept)
    sheet, lines = parts[number - 1]
    planned = planned_runs(work, lines)
    read, _ = read_runs(program)
    walls = walls_on(work, sheet)
    found = [
        *follows_the_plan(read, planned, machine.nc),
        *run_well(work, program, read, planned),
        *within_limits(work, program),
        *holder_clear(work, read, planned),
        *skins_kept(work, read, planned),
        *out_of_zones(work, read, planned),
    ]
    gouge, gouged = gouges(work, walls, read, planned)
    parted, uncut = parting(work, walls, read, planned)
    found += [*gouged, *uncut]
    return Proof(
        program=program,
        number=number,
        count=len(parts),
        sha256=digest,
        gouge_mm=gouge,
        uncut_mm=parted.uncut_mm,
        outlines=parted.outlines,
        severed=parted.severed,
        held=parted.held,
        loose_waste=parted.loose_waste,
        complaints=tuple(found[:MOST_COMPLAINTS]),
    )
