"""Where the copies lie, and in which order everything is cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.errors import Finding


@dataclass(frozen=True, slots=True)
class Copy:
    """One copy of a drawing on a sheet: turned about its own origin, then shifted by `at_mm`.

    A mirrored one has its x reversed before it is turned.
    """

    drawing: int
    at_mm: tuple[float, float]
    turn_deg: float = 0.0
    mirrored: bool = False


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """One part on a sheet: an outer contour of a drawing with everything inside it.

    It lies as a `Copy` of its drawing would: x reversed if mirrored, turned about the drawing's
    origin, then shifted by `at_mm`.
    """

    drawing: int
    contour_id: int
    at_mm: tuple[float, float]
    turn_deg: float = 0.0
    mirrored: bool = False


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """One sheet with what lies on it; its lower left corner is the origin."""

    size_mm: tuple[float, float]
    copies: tuple[Copy, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """All sheets of a job."""

    sheets: tuple[SheetLayout, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One pass of one copy, in the order of work."""

    sheet: int
    copy: int
    pass_index: int


@dataclass(frozen=True, slots=True)
class Order:
    """The order of work over all sheets, and what lies between the passes.

    Parameters
    ----------
    lines : tuple of OrderLine
        Passes in the order in which they are cut.
    rapids_mm : tuple of float
        Rapid move before each line, in the plane; 0 where the cutter stays down. [mm]
    lifts : int
        How often the cutter is lifted to the safe height and let down again.
    cutter_changes : int
        How often the cutter is changed, the first cutter of the job included.
    """

    lines: tuple[OrderLine, ...]
    rapids_mm: tuple[float, ...]
    lifts: int
    cutter_changes: int
