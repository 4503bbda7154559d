"""A program as runs: what it cuts from one lift to the next, and how the machine stands then."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.handover.nc_program import Did, Kind

if TYPE_CHECKING:
    from core.handover.nc_program import Event, Moves, Program


@dataclass(frozen=True, slots=True)
class Standing:
    """How the machine stands: what is on, what is in the spindle, what was waited for.

    Parameters
    ----------
    tool, length_of : float
        Number of the cutter, and of the length in force; nan before any.
    spindle_rpm, from_rpm : float
        Speed in force, and the one before it.
    waited_s : float
        Dwell since the speed was changed. [s]
    air, vacuum : bool
        Whether they are on.
    stops : int
        Programmed stops since the last change of cutter.
    changes : int
        Changes of cutter so far.
    """

    tool: float = float("nan")
    length_of: float = float("nan")
    spindle_rpm: float = 0.0
    from_rpm: float = 0.0
    waited_s: float = 0.0
    air: bool = False
    vacuum: bool = False
    stops: int = 0
    changes: int = 0
    ended: bool = False

    def after(self, event: Event) -> Standing:
        """Return how it stands after something was done."""
        did, value = event.did, event.value
        if did is Did.SPINDLE_ON or did is Did.SPINDLE_OFF:
            return replace(self, from_rpm=self.spindle_rpm, spindle_rpm=value, waited_s=0.0)
        if did is Did.CUTTER:
            return replace(self, tool=value, length_of=np.nan, stops=0, changes=self.changes + 1)
        changes = {
            Did.LENGTH: {"length_of": value},
            Did.DWELL: {"waited_s": self.waited_s + value},
            Did.STOP: {"stops": self.stops + 1},
            Did.AIR_ON: {"air": True},
            Did.AIR_OFF: {"air": False},
            Did.VACUUM_ON: {"vacuum": True},
            Did.VACUUM_OFF: {"vacuum": False},
            Did.END: {"ended": True},
        }
        return replace(self, **changes[did])  # type: ignore[arg-type]


@dataclass(frozen=True, eq=False, slots=True)
class ReadRun:
    """One run of a program: moves `first` to `last`, and how the machine stands meanwhile.

    `standing` is None where something is switched while it cuts.
    """

    first: int
    last: int
    moves: Moves
    standing: Standing
    switched: bool


def read_runs(program: Program) -> tuple[list[ReadRun], Standing]:
    """Return the runs of a program, and how the machine stands at its end."""
    cuts = program.moves.kind != Kind.RAPID
    edges = np.flatnonzero(np.diff(np.concatenate([[0], cuts.astype(np.int8), [0]])))
    runs, standing, k = [], Standing(), 0
    for first, stop in zip(edges[0::2], edges[1::2], strict=True):
        while k < len(program.events) and program.events[k].move <= first:
            standing = standing.after(program.events[k])
            k += 1
        switched = k < len(program.events) and program.events[k].move < stop
        part = program.moves.part(slice(int(first), int(stop)))
        runs.append(ReadRun(int(first), int(stop) - 1, part, standing, switched))
    for event in program.events[k:]:
        standing = standing.after(event)
    return runs, standing
