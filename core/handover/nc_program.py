"""A program as it was read: moves as arrays, and what else it does, in order.

Places are in millimetres, heights above the bed, whatever the program's units and zero are.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.handover.nc_words import Fault


class Kind(enum.IntEnum):
    """How a move runs."""

    RAPID = 0
    STRAIGHT = 1
    CLOCKWISE = 2
    COUNTER_CLOCKWISE = 3


class Did(enum.StrEnum):
    """What a program does between moves."""

    SPINDLE_ON = "spindle on"
    SPINDLE_OFF = "spindle off"
    CUTTER = "cutter change"
    LENGTH = "length offset"
    DWELL = "dwell"
    STOP = "stop"
    END = "end"
    AIR_ON = "air on"
    AIR_OFF = "air off"
    VACUUM_ON = "vacuum on"
    VACUUM_OFF = "vacuum off"


@dataclass(frozen=True, slots=True)
class Event:
    """Something done before move number `move`; `value` is a speed, tool number or time."""

    line: int
    move: int
    did: Did
    value: float = 0.0


@dataclass(frozen=True, eq=False, slots=True)
class Moves:
    """n moves.

    Parameters
    ----------
    line : int array of shape (n,)
        Line of the text, from 1.
    kind : int array of shape (n,)
        A `Kind`.
    start, end : array of shape (n, 3)
        x, y, and height above the bed; nan where it is not known. [mm]
    centre : array of shape (n, 2)
        Centre of arcs, else nan. [mm]
    sweep_rad : array of shape (n,)
        Turn of arcs, left positive, else 0. [rad]
    feed_mm_min : array of shape (n,)
        Feed in force; nan for rapid moves. [mm/min]
    """

    line: NDArray[np.intp]
    kind: NDArray[np.intp]
    start: NDArray[np.float64]
    end: NDArray[np.float64]
    centre: NDArray[np.float64]
    sweep_rad: NDArray[np.float64]
    feed_mm_min: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.line)

    def part(self, which: slice | NDArray[np.intp] | NDArray[np.bool_]) -> Moves:
        """Return some of the moves."""
        return Moves(
            self.line[which],
            self.kind[which],
            self.start[which],
            self.end[which],
            self.centre[which],
            self.sweep_rad[which],
            self.feed_mm_min[which],
        )

    @property
    def plane_mm(self) -> NDArray[np.float64]:
        """Length seen from above, shape (n,). [mm]."""
        delta = self.end[:, :2] - self.start[:, :2]
        arc = self.sweep_rad != 0.0
        radius = np.hypot(*(self.start[:, :2] - self.centre).T)
        chord = np.hypot(delta[:, 0], delta[:, 1])
        return np.where(arc, np.where(arc, radius, 0.0) * np.abs(self.sweep_rad), chord)

    @property
    def length_mm(self) -> NDArray[np.float64]:
        """Length in space, shape (n,). [mm]."""
        return np.hypot(self.plane_mm, self.end[:, 2] - self.start[:, 2])


@dataclass(frozen=True, eq=False, slots=True)
class Program:
    """A program as it was read.

    Parameters
    ----------
    moves : Moves
        In order.
    events : tuple of Event
        What else is done, in order.
    faults : tuple of Fault
        Lines that cannot be understood or must not be: with any, nothing is proven.
    lines : int
        Lines read.
    """

    moves: Moves
    events: tuple[Event, ...]
    faults: tuple[Fault, ...]
    lines: int


def joined_moves(parts: Sequence[Moves]) -> Moves:
    """Return moves one behind the other."""
    return Moves(
        *(
            np.concatenate([getattr(part, name) for part in parts])
            for name in ("line", "kind", "start", "end", "centre", "sweep_rad", "feed_mm_min")
        )
    )
