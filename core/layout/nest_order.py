"""The order of work over nested sheets: each part is ordered as a drawing of its own.

Sheets that repeat are ordered twice, first and again: the first of a kind may find another cutter
in the spindle than all later ones, which find what the one before left.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import shapely

from core.layout.order import order_work
from core.layout.records import Copy, Layout, SheetLayout

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from core.layout.nest_records import NestedSheet, Nesting, NestTask
    from core.layout.records import Order
    from core.plan.records import Toolpath


@dataclass(frozen=True, eq=False, slots=True)
class NestedOrder:
    """The order of work over nested sheets.

    Parameters
    ----------
    order : Order
        Its lines name sheets and toolpaths of this record.
    toolpaths : tuple of Toolpath
        Those of each kind of part, one kind after the other.
    origin : tuple of int
        Which toolpath of the plan each of them is.
    times : tuple of int
        How often each sheet of the order is cut.
    layout : Layout
        Where the parts lie on the sheets of the order.
    """

    order: Order
    toolpaths: tuple[Toolpath, ...]
    origin: tuple[int, ...]
    times: tuple[int, ...]
    layout: Layout


def order_nesting(
    task: NestTask,
    nesting: Nesting,
    toolpaths: Sequence[Toolpath],
    parents: Mapping[tuple[int, int], int | None],
) -> NestedOrder:
    """Return the order of all trips on all nested sheets.

    Parameters
    ----------
    task, nesting : NestTask, Nesting
        The parts and where they lie.
    toolpaths : sequence of Toolpath
        The trips of one copy of every drawing.
    parents : mapping of (drawing, contour id) to int or None
        The contour right around each in its drawing.

    Notes
    -----
    A part in the waste inside another is cut before that is freed, stage by stage.
    """
    kinds = _Kinds(task)
    sheets, times = [], []
    for sheet in nesting.sheets:
        laid = SheetLayout(sheet.stock.size_mm, kinds.copies(sheet))
        for count in (1, sheet.repeat - 1):
            if count:
                sheets.append(laid)
                times.append(count)
    every, origin = kinds.toolpaths(toolpaths)
    layout = Layout(tuple(sheets), ())
    order = order_work(layout, every, kinds.parents(parents), ahead=kinds.inside)
    return NestedOrder(order, every, origin, tuple(times), layout)


class _Kinds:
    """Numbers the kinds of parts: each part, on the sheet or inside another."""

    def __init__(self, task: NestTask) -> None:
        self._task = task
        self._number: dict[tuple[int, bool], int] = {}

    def copies(self, sheet: NestedSheet) -> tuple[Copy, ...]:
        inside = self._inside_others(sheet)
        copies = []
        for placed, deep in zip(sheet.parts, inside, strict=True):
            part = self._task.part_index[placed.drawing, placed.contour_id]
            kind = self._number.setdefault((part, deep), len(self._number))
            copies.append(Copy(kind, placed.at_mm, placed.turn_deg, placed.mirrored))
        return tuple(copies)

    def _inside_others(self, sheet: NestedSheet) -> list[bool]:
        if not self._task.in_holes:
            return [False] * len(sheet.parts)
        shapes = [self._task.outline(placed) for placed in sheet.parts]
        solids = [shapely.Polygon(shape.exterior) for shape in shapes]
        return [
            any(solid.contains(shape) for j, solid in enumerate(solids) if j != i)
            for i, shape in enumerate(shapes)
        ]

    def toolpaths(
        self, toolpaths: Sequence[Toolpath]
    ) -> tuple[tuple[Toolpath, ...], tuple[int, ...]]:
        every, origin = [], []
        for (part_index, _), kind in self._number.items():
            part = self._task.parts[part_index]
            for index, path in enumerate(toolpaths):
                if path.drawing == part.drawing and path.contour_id in part.members:
                    every.append(replace(path, drawing=kind))
                    origin.append(index)
        return tuple(every), tuple(origin)

    def parents(
        self, parents: Mapping[tuple[int, int], int | None]
    ) -> dict[tuple[int, int], int | None]:
        out = {}
        for (part_index, _), kind in self._number.items():
            part = self._task.parts[part_index]
            for member in part.members:
                out[kind, member] = parents[part.drawing, member]
        return out

    @property
    def inside(self) -> frozenset[int]:
        """Kinds that lie inside others."""
        return frozenset(kind for (_, inside), kind in self._number.items() if inside)
