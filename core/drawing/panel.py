"""A panel by numbers: a sheet part described without a drawing.

Terms: the panel lies with its bottom left corner on the origin, x to the right, y upwards. A
*corner* is square, round or chamfered. A *slot* has half circles as ends, a *hand hole* is a slot
that a hand goes through, a *cut-out* is a rectangle with sharp or round corners, a *notch* is cut
into an edge. Every feature keeps as `label` what its user calls it, for messages.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

import numpy as np

Point = tuple[float, float]

HAND_HOLE_MM = (100.0, 30.0)
"""Length and width of a hand hole unless said otherwise: common practice, no source."""


class Corner(enum.StrEnum):
    """The corners, counter-clockwise."""

    BOTTOM_LEFT = "bottom-left"
    BOTTOM_RIGHT = "bottom-right"
    TOP_RIGHT = "top-right"
    TOP_LEFT = "top-left"


class Edge(enum.StrEnum):
    """The edges, counter-clockwise; each begins at the corner of the same number."""

    BOTTOM = "bottom"
    RIGHT = "right"
    TOP = "top"
    LEFT = "left"


@dataclass(frozen=True, slots=True)
class CornerCut:
    """What is taken off a corner: a radius, or a chamfer at 45 degrees; 0: square. [mm]."""

    size_mm: float = 0.0
    is_round: bool = True
    label: str = ""


@dataclass(frozen=True, slots=True)
class Single:
    """One place. [mm]."""

    at_mm: Point

    def places_mm(self, size_mm: Point) -> tuple[Point, ...]:
        """Return the place."""
        return (self.at_mm,)


@dataclass(frozen=True, slots=True)
class InCorners:
    """A place in each corner, so far from the sides. [mm]."""

    inset_mm: Point

    def places_mm(self, size_mm: Point) -> tuple[Point, ...]:
        """Return the four places on a panel of a size. [mm]."""
        x, y = self.inset_mm
        right, top = size_mm[0] - x, size_mm[1] - y
        return ((x, y), (right, y), (right, top), (x, top))


@dataclass(frozen=True, slots=True)
class Row:
    """Places at equal steps from the first to the last. [mm]."""

    first_mm: Point
    last_mm: Point
    count: int

    def places_mm(self, size_mm: Point) -> tuple[Point, ...]:
        """Return the places along the row. [mm]."""
        x = np.linspace(self.first_mm[0], self.last_mm[0], self.count)
        y = np.linspace(self.first_mm[1], self.last_mm[1], self.count)
        return tuple(zip(x.tolist(), y.tolist(), strict=True))


@dataclass(frozen=True, slots=True)
class Grid:
    """Columns and rows at equal steps between two opposite corners of the grid. [mm]."""

    first_mm: Point
    last_mm: Point
    columns: int
    rows: int

    def places_mm(self, size_mm: Point) -> tuple[Point, ...]:
        """Return the places row by row. [mm]."""
        x = np.linspace(self.first_mm[0], self.last_mm[0], self.columns).tolist()
        y = np.linspace(self.first_mm[1], self.last_mm[1], self.rows).tolist()
        return tuple((across, up) for up in y for across in x)


@dataclass(frozen=True, slots=True)
class BoltCircle:
    """Places at equal angles on a circle, the first one at an angle from the x axis."""

    centre_mm: Point
    diameter_mm: float
    count: int
    first_angle_deg: float = 0.0

    def places_mm(self, size_mm: Point) -> tuple[Point, ...]:
        """Return the places round the circle. [mm]."""
        begin = math.radians(self.first_angle_deg)
        turns = [begin + math.tau * k / self.count for k in range(self.count)]
        (x, y), radius = self.centre_mm, self.diameter_mm / 2.0
        return tuple((x + radius * math.cos(a), y + radius * math.sin(a)) for a in turns)


Pattern = Single | InCorners | Row | Grid | BoltCircle


@dataclass(frozen=True, slots=True)
class Holes:
    """Round holes of one diameter. [mm]."""

    diameter_mm: float
    pattern: Pattern
    label: str = ""


@dataclass(frozen=True, slots=True)
class Slot:
    """A slot: over-all length and width, its middle, its turn from the x axis. [mm], [deg]."""

    length_mm: float
    width_mm: float
    at_mm: Point
    angle_deg: float = 0.0
    is_hand_hole: bool = False
    label: str = ""


@dataclass(frozen=True, slots=True)
class CutOut:
    """A rectangular opening: sides, middle, corner radius, turn from the x axis. [mm], [deg]."""

    size_mm: Point
    at_mm: Point
    radius_mm: float = 0.0
    angle_deg: float = 0.0
    label: str = ""


@dataclass(frozen=True, slots=True)
class Notch:
    """A notch in an edge.

    `at_mm` is its middle along the edge, from the left or from the bottom; `radius_mm` rounds its
    two inner corners. [mm]
    """

    edge: Edge
    at_mm: float
    width_mm: float
    depth_mm: float
    radius_mm: float = 0.0
    label: str = ""


SQUARE = (CornerCut(), CornerCut(), CornerCut(), CornerCut())


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel.

    Parameters
    ----------
    size_mm : (float, float)
        Width and height. [mm]
    corners : four CornerCut
        In the order of `Corner`.
    holes, slots, cut_outs, notches : tuple
        What is cut out of it.
    quantity : int
        How many are wanted.
    """

    size_mm: Point
    corners: tuple[CornerCut, CornerCut, CornerCut, CornerCut] = SQUARE
    holes: tuple[Holes, ...] = ()
    slots: tuple[Slot, ...] = ()
    cut_outs: tuple[CutOut, ...] = ()
    notches: tuple[Notch, ...] = ()
    quantity: int = 1
