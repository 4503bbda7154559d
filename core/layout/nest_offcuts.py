"""What remains of a sheet, and what no layout can save.

An offcut is a strip across the whole sheet, beyond all parts, that a saw or the router takes off in
one cut. The lower bound counts area: parts grown by half the spacing cannot overlap, so their area
can never be more than that of the sheet within its margins, grown alike.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.layout.nest_records import Bounds, NestTask
    from core.layout.records import PlacedPart
    from core.library.records import SheetStock


def offcuts(task: NestTask, stock: SheetStock, placed: Sequence[PlacedPart]) -> tuple[Bounds, ...]:
    """Return what is worth keeping of a sheet: the larger strip, then what is left beside it."""
    width, height = stock.size_mm
    boxes = [task.outline(part).bounds for part in placed]
    right = max((b[2] for b in boxes), default=0.0) + task.kerf_mm
    top = max((b[3] for b in boxes), default=0.0) + task.kerf_mm
    side_first = [(right, 0.0, width, height), (0.0, top, right, height)]
    top_first = [(0.0, top, width, height), (right, 0.0, width, top)]
    kept = [
        [strip for strip in strips if _worth_keeping(strip, task.least_offcut_mm)]
        for strips in (side_first, top_first)
    ]
    return tuple(max(kept, key=lambda strips: sum(map(_area, strips))))


def _area(strip: Bounds) -> float:
    return (strip[2] - strip[0]) * (strip[3] - strip[1])


def _worth_keeping(strip: Bounds, least_mm: tuple[float, float]) -> bool:
    short, long = sorted((strip[2] - strip[0], strip[3] - strip[1]))
    return short >= min(least_mm) and long >= max(least_mm)


def stock_bound_mm2(task: NestTask, unplaced: Sequence[tuple[int, int]]) -> float:
    """Return the area of sheet that no layout of the parts that have a place can go below. [mm2].

    The bound is that of the sheet whose margins take least; with finite numbers of several sheets
    the true one can only be higher.
    """
    missing = dict(unplaced)
    shares = []
    for sheet in task.rack:
        growth = task.spacing_mm(sheet.stock) / 2.0
        inset = 2.0 * (task.margin_mm(sheet.stock) - growth)
        width, height = sheet.stock.size_mm
        usable = max(0.0, width - inset) * max(0.0, height - inset)
        # round corners in chords: never more than the true area
        needed = sum(
            float(shapely.buffer(part.shape if task.in_holes else part.solid, growth).area)
            * (part.quantity - missing.get(index, 0))
            for index, part in enumerate(task.parts)
        )
        shares.append(needed * width * height / usable if usable else float("inf"))
    return min(shares, default=0.0)
