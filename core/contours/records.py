"""Contours: what the loose lines and arcs of a drawing mean.

Terms: a *contour* is a run of chained segments, closed or open. Closed ones are nested: depth 0 is
an *outer* contour, odd depths are *holes* in what surrounds them, even depths below that are
*islands*. Counting follows the even-odd rule: material lies between an even ring and the odd
rings in it.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.errors import Finding
    from core.geometry.path import Path
    from core.job.job import Task


class Kind(enum.StrEnum):
    """What a contour is by its place."""

    OUTER = "outer"
    HOLE = "hole"
    ISLAND = "island"
    OPEN = "open"


class Shape(enum.StrEnum):
    """What a contour is by its form."""

    CIRCLE = "circle"
    SLOT = "slot"
    RECTANGLE = "rectangle"
    OTHER = "other"


@dataclass(frozen=True, eq=False)
class Contour:
    """One contour.

    Parameters
    ----------
    id : int
        Counts from 1 in the order of the drawing's entities.
    path : Path
        Its lines and arcs; a closed one runs counter-clockwise. [mm]
    kind : Kind
        Outer, hole, island or open.
    parent : int or None
        Id of the ring right around it.
    depth : int
        How many rings lie around it.
    layer : str
        Layer of most of its length.
    name : str
        As shown ("Hole ø 8 mm").
    shape : Shape
        Circle, slot, rectangle or other.
    circle_diameter_mm : float or None
        Diameter of a circle.
    task : Task
        What is done along it: the user's choice, else by its kind.
    """

    id: int
    path: Path
    kind: Kind
    parent: int | None
    depth: int
    layer: str
    name: str
    shape: Shape
    circle_diameter_mm: float | None
    task: Task


@dataclass(frozen=True, eq=False)
class Contours:
    """All contours of a drawing.

    Parameters
    ----------
    contours : tuple of Contour
        Ordered by id.
    findings : tuple of Finding
        What was mended and what is asked.
    bounds_mm : (float, float, float, float)
        Box around everything that is drawn (x_min, y_min, x_max, y_max); zeros if empty. [mm]
    size_mm : (float, float)
        Width and height of that box. [mm]
    outer_count : int
        Closed rings at even depth: outer contours and islands.
    hole_count : int
        Closed rings at odd depth.
    open_count : int
        Open chains.
    area_mm2 : float
        Area by the even-odd rule: outer minus holes plus islands. [mm2]
    groups : tuple of tuple of int
        Ids of outer contours that are the same part, two and more a group.
    layers_left_out : tuple of str
        Layers that a layer rule left out.
    """

    contours: tuple[Contour, ...]
    findings: tuple[Finding, ...]
    bounds_mm: tuple[float, float, float, float]
    size_mm: tuple[float, float]
    outer_count: int
    hole_count: int
    open_count: int
    area_mm2: float
    groups: tuple[tuple[int, ...], ...]
    layers_left_out: tuple[str, ...] = ()
