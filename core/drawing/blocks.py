"""Puts every block where it is shown: nested, turned, mirrored, stretched, in arrays.

Each block is read once and its copies are made on arrays. Before anything is copied the amount is
counted: a drawing can ask for 10^9 copies in a few bytes, or for a block inside itself. What goes
beyond the bounds is left out and told.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from core.drawing.entities import read_entities
from core.drawing.placing import Shapes, gathered
from core.drawing.sketch import Insert, Sketch

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from numpy.typing import NDArray

MOST_COPIED = 1_000_000
"""Segments that the blocks of one drawing may become in all."""

DEEPEST_NESTING = 100
"""Blocks within blocks: real drawings hold a handful."""


@dataclass(frozen=True, eq=False)
class Flat:
    """Everything the modelspace shows, blocks resolved.

    Parameters
    ----------
    shapes : Shapes
        Lines, arcs and curves with their entity and layer.
    left_out, unknown, notes : counter
        As in the sketch.
    refused : tuple of (str, str)
        Blocks that go beyond a bound, and why.
    """

    shapes: Shapes
    left_out: Counter[str]
    unknown: Counter[str]
    notes: Counter[str]
    refused: tuple[tuple[str, str], ...]


class _Blocks:
    """The blocks of one document, each read once."""

    def __init__(self, document: Document, hidden: frozenset[str]) -> None:
        self._document: Any = document
        self._hidden = hidden
        self._sketches: dict[str, Sketch] = {}
        self._done: dict[str, Shapes] = {}
        self._open: set[str] = set()
        self._copied = 0
        self.refused: dict[str, str] = {}

    def resolved(self, sketch: Sketch, depth: int = 0) -> Shapes:
        """Return what a sketch shows together with its blocks."""
        parts = [sketch.shapes()]
        parts += [shapes for insert in sketch.inserts for shapes in self._shown(insert, depth)]
        return gathered(parts) if len(parts) > 1 else parts[0]

    def _shown(self, insert: Insert, depth: int) -> list[Shapes]:
        """Return the copies of one insert, none where it goes beyond a bound."""
        name = insert.block.lower()
        content = self._content(name, depth)
        if content is None or not content.weight:
            return []
        asked = content.weight * insert.copies
        if self._copied + asked > MOST_COPIED:
            self.refused[insert.block] = (
                f"asks for {insert.copies:,} copies of {content.weight:,} pieces; "
                f"{MOST_COPIED:,} is the most"
            )
            return []
        self._copied += asked
        inherited = replace(content, layers=self._layers(content, insert))
        placed = inherited.placed(insert.placement)
        return [placed.repeated(_offsets(insert)) if insert.copies > 1 else placed]

    def _content(self, name: str, depth: int) -> Shapes | None:
        if name in self._done:
            return self._done[name]
        if name in self._open:
            self.refused[name] = "holds itself"
            return None
        if depth >= DEEPEST_NESTING:
            self.refused[name] = f"is nested deeper than {DEEPEST_NESTING} blocks"
            return None
        self._open.add(name)
        self._done[name] = self.resolved(self._sketch(name), depth + 1)
        self._open.discard(name)
        return self._done[name]

    def _sketch(self, name: str) -> Sketch:
        sketch = self._sketches[name] = Sketch()
        read_entities(self._document.blocks.get(name), sketch)
        return sketch

    def _layers(self, content: Shapes, insert: Insert) -> tuple[str, ...]:
        """Return the layers of a copy: "0" is the insert's; a frozen insert hides everything."""
        if insert.layer.lower() in self._hidden:
            return (insert.layer,) * len(content.layers)
        return tuple(insert.layer if layer == "0" else layer for layer in content.layers)

    def counted(self, name: str) -> Counter[str]:
        """Return one of the counters over all blocks that are shown."""
        return sum((getattr(s, name) for s in self._sketches.values()), Counter())


def _offsets(insert: Insert) -> NDArray[np.float64]:
    columns, rows = np.meshgrid(np.arange(insert.columns), np.arange(insert.rows))
    steps = np.array([insert.column_step, insert.row_step])
    return np.asarray(np.column_stack([columns.reshape(-1), rows.reshape(-1)]) @ steps)


def _count_in_paper_space(document: Document) -> int:
    """Return how many entities lie on the sheets of the layouts, their windows not counted."""
    sheets = (layout for layout in document.layouts if layout.name != "Model")
    return sum(entity.dxftype() != "VIEWPORT" for sheet in sheets for entity in sheet)


def flatten(document: Document, frozen_layers: frozenset[str]) -> Flat:
    """Return what the modelspace shows.

    Parameters
    ----------
    document : ezdxf document
        As loaded.
    frozen_layers : frozenset of str
        Lower-case names of layers that are frozen; they hide the blocks placed on them.
    """
    sketch = Sketch()
    read_entities(document.modelspace(), sketch)
    sketch.left_out["(in paper space)"] = _count_in_paper_space(document)
    blocks = _Blocks(document, frozen_layers)
    shapes = blocks.resolved(sketch)
    return Flat(
        shapes,
        sketch.left_out + blocks.counted("left_out"),
        sketch.unknown + blocks.counted("unknown"),
        sketch.notes + blocks.counted("notes"),
        tuple(sorted(blocks.refused.items())),
    )
