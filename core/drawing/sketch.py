"""Collects what the entities of one block, or of the modelspace, show.

A sketch is a builder: entity readers write into it, then `shapes` gives what was collected. Layers
are kept by name; "0" inside a block means the layer of whatever places the block.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.placing import AS_DRAWN, PlacedCurve, Placement, Shapes

if TYPE_CHECKING:
    from core.drawing.placing import Conic, Row, Spline


@dataclass(frozen=True, eq=False)
class Insert:
    """A place where a block is shown, once or as an array of copies.

    `placement` maps the block's coordinates to those of the sketch; copies lie at column times
    `column_step` plus row times `row_step` from it.
    """

    block: str
    layer: str
    placement: Placement
    columns: int
    rows: int
    column_step: tuple[float, float]
    row_step: tuple[float, float]

    @property
    def copies(self) -> int:
        """How many copies it asks for."""
        return max(self.columns, 1) * max(self.rows, 1)


@dataclass(eq=False)
class Sketch:
    """What was read so far.

    Attributes
    ----------
    rows, row_entity, curves : list
        Lines and arcs, their entity, and exact curves with their placement and entity.
    layers : list of str
        Layer of each entity.
    inserts : list of Insert
        Blocks that are shown.
    left_out : counter
        Entity types that are never cut.
    unknown : counter
        Entity types that this reader does not know, or entities that it cannot make sense of.
    notes : counter
        Anything else worth telling ("tilted", "paper space").
    """

    rows: list[Row] = field(default_factory=list)
    row_entity: list[int] = field(default_factory=list)
    curves: list[PlacedCurve] = field(default_factory=list)
    layers: list[str] = field(default_factory=list)
    inserts: list[Insert] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)
    unknown: Counter[str] = field(default_factory=Counter)
    notes: Counter[str] = field(default_factory=Counter)

    def add_rows(self, layer: str, rows: tuple[Row, ...] | list[Row]) -> None:
        """Add one entity made of lines and arcs."""
        if rows:
            self.row_entity += [len(self.layers)] * len(rows)
            self.layers.append(layer)
            self.rows += rows

    def add_curves(
        self, layer: str, curves: list[Conic | Spline], placement: Placement = AS_DRAWN
    ) -> None:
        """Add one entity made of exact curves."""
        entity = len(self.layers)
        self.layers.append(layer)
        self.curves += [PlacedCurve(c, placement, entity) for c in curves]

    def add_shapes(self, shapes: Shapes) -> None:
        """Add entities that are finished already."""
        first = len(self.layers)
        self.rows += map(tuple, shapes.rows.tolist())
        self.row_entity += (shapes.row_entity + first).tolist()
        self.curves += [PlacedCurve(c.curve, c.placement, c.entity + first) for c in shapes.curves]
        self.layers += shapes.layers

    def shapes(self) -> Shapes:
        """Return what was collected, without the inserts."""
        return Shapes(
            np.array(self.rows, dtype=np.float64).reshape(-1, 5),
            np.array(self.row_entity, dtype=np.intp),
            tuple(self.curves),
            tuple(self.layers),
        )
