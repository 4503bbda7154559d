"""What nesting reads and what it hands on.

Terms: a *part* is an outer contour with everything inside it; the *rack* is what there is to cut
from; a *zone* is a rectangle of the sheet that must stay free (a clamp); parts are *placed* with at
least the *spacing* between them. A sheet that is laid out the same way several times stands once,
with how often it is *repeated*. Sheet coordinates start in the sheet's lower left corner.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.errors import Finding
    from core.layout.records import PlacedPart
    from core.library.records import SheetStock

Bounds = tuple[float, float, float, float]
"""x_min, y_min, x_max, y_max. [mm]."""

FLAT_MM = 0.05
"""Chord error of round outlines that parts are nested by; their spacing is larger by as much."""


class Turns(enum.StrEnum):
    """Which turns of a part are allowed; a film's or a print's direction allows few."""

    NONE = "none"
    HALF = "half"
    QUARTER = "quarter"
    FREE = "free"


@dataclass(frozen=True, eq=False)
class Part:
    """A part to be nested.

    Parameters
    ----------
    drawing, contour_id : int
        Its outer contour.
    name : str
        As shown.
    rings_mm : tuple of array of shape (n, 2)
        Its outline and holes, arcs as chords, in drawing coordinates. [mm]
    quantity : int
        How many are wanted.
    turns : Turns
        Which turns are allowed.
    may_mirror : bool
        Whether it may be turned over: only where both faces and all edges are alike.
    members : frozenset of int
        Ids of all contours that belong to it.
    chord_error_mm : float
        By how much its outline may reach beyond the chords. [mm]
    """

    drawing: int
    contour_id: int
    name: str
    rings_mm: tuple[NDArray[np.float64], ...]
    quantity: int
    turns: Turns = Turns.QUARTER
    may_mirror: bool = False
    members: frozenset[int] = frozenset()
    chord_error_mm: float = 0.0

    @cached_property
    def shape(self) -> shapely.Polygon:
        """The part as a polygon with holes, in drawing coordinates. [mm]."""
        return shapely.Polygon(self.rings_mm[0], self.rings_mm[1:])

    @cached_property
    def solid(self) -> shapely.Polygon:
        """The part with its holes filled. [mm]."""
        return shapely.Polygon(self.rings_mm[0])

    @cached_property
    def area_mm2(self) -> float:
        """Area without the holes. [mm2]."""
        return float(self.shape.area)


@dataclass(frozen=True, slots=True)
class RackSheet:
    """A sheet that can be taken, and what a square millimetre of it counts.

    Parameters
    ----------
    stock : SheetStock
        Size and margins.
    count : int or None
        How many there are; None: as many as are needed.
    weight : float
        Worth of its area against that of a bought sheet: an offcut counts less.
    """

    stock: SheetStock
    count: int | None = None
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Pinned:
    """A part that somebody placed by hand: it stays where it is."""

    sheet: int
    part: PlacedPart


@dataclass(frozen=True, eq=False)
class NestTask:
    """What is to be nested on what.

    Parameters
    ----------
    parts : tuple of Part
        The parts with their quantities.
    rack : tuple of RackSheet
        The sheets, the one to begin with first where nothing else decides.
    kerf_mm : float
        Width of the slot that the cutter leaves round a part. [mm]
    zones_mm : tuple of Bounds
        Zones of every sheet that must stay free (clamps). [mm]
    in_holes : bool
        Whether parts may lie in the waste inside others.
    pinned : tuple of Pinned
        Parts placed by hand; they count among the quantities.
    least_offcut_mm : (float, float)
        Long and short side of the smallest offcut that is worth keeping. [mm]
    """

    parts: tuple[Part, ...]
    rack: tuple[RackSheet, ...]
    kerf_mm: float
    zones_mm: tuple[Bounds, ...] = ()
    in_holes: bool = False
    pinned: tuple[Pinned, ...] = ()
    least_offcut_mm: tuple[float, float] = (600.0, 300.0)

    def spacing_mm(self, stock: SheetStock) -> float:
        """Return the least distance between two parts on a sheet. [mm]."""
        return stock.part_spacing_mm + self.kerf_mm

    def margin_mm(self, stock: SheetStock) -> float:
        """Return the least distance of a part from the edge of a sheet. [mm]."""
        return stock.edge_margin_mm + self.kerf_mm

    @cached_property
    def part_index(self) -> dict[tuple[int, int], int]:
        """Which part an outer contour of a drawing is."""
        return {(p.drawing, p.contour_id): index for index, p in enumerate(self.parts)}

    def outline(self, placed: PlacedPart) -> shapely.Polygon:
        """Return the polygon of a placed part, in sheet coordinates. [mm]."""
        shape = self.parts[self.part_index[placed.drawing, placed.contour_id]].shape
        return moved(shape, placed.turn_deg, placed.mirrored, placed.at_mm)


def moved(
    shape: shapely.Polygon, turn_deg: float, mirrored: bool, by_mm: tuple[float, float]
) -> shapely.Polygon:
    """Return a shape mirrored (x reversed), turned about the origin, then shifted."""
    if not mirrored and turn_deg == 0.0 and by_mm == (0.0, 0.0):
        return shape
    # exact for quarter turns, where the sine of a float would leave a trace
    cos, sin = _EXACT.get(turn_deg % 360.0) or (
        float(np.cos(np.radians(turn_deg))),
        float(np.sin(np.radians(turn_deg))),
    )
    side = -1.0 if mirrored else 1.0
    turn = np.array([[side * cos, side * sin], [-sin, cos]])
    lying: shapely.Polygon = shapely.transform(shape, lambda points: points @ turn + by_mm)
    return lying


_EXACT = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


@dataclass(frozen=True, slots=True)
class NestedSheet:
    """One sheet with what lies on it, cut `repeat` times.

    Parameters
    ----------
    stock : SheetStock
        The sheet.
    parts : tuple of PlacedPart
        What lies on it.
    repeat : int
        How many sheets look like this.
    offcuts_mm : tuple of Bounds
        What remains and is worth keeping, of each of them. [mm]
    used_mm : float
        Length of the sheet, from its left edge, that is used up. [mm]
    """

    stock: SheetStock
    parts: tuple[PlacedPart, ...]
    repeat: int
    offcuts_mm: tuple[Bounds, ...]
    used_mm: float


@dataclass(frozen=True, slots=True)
class Nesting:
    """Where all parts lie.

    Parameters
    ----------
    sheets : tuple of NestedSheet
        The sheets in the order in which they are cut.
    method : str
        Which method found it, in words.
    unplaced : tuple of (int, int)
        Parts that found no place: index and how many.
    parts_area_mm2, sheets_area_mm2, offcuts_area_mm2 : float
        Area of all parts, of all sheets taken, and of what remains of them worth keeping. [mm2]
    bound_mm2 : float
        Area of sheet that no layout can go below. [mm2]
    findings : tuple of Finding
        What was noticed.
    """

    sheets: tuple[NestedSheet, ...]
    method: str
    unplaced: tuple[tuple[int, int], ...]
    parts_area_mm2: float
    sheets_area_mm2: float
    offcuts_area_mm2: float
    bound_mm2: float
    findings: tuple[Finding, ...]

    @property
    def sheet_count(self) -> int:
        """How many sheets are taken."""
        return sum(sheet.repeat for sheet in self.sheets)

    @property
    def used_ratio(self) -> float:
        """Share of the sheets, without the offcuts worth keeping, that becomes parts."""
        spent = self.sheets_area_mm2 - self.offcuts_area_mm2
        return self.parts_area_mm2 / spent if spent > 0.0 else 0.0
