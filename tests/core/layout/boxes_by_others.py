"""What another library makes of the boxes of the parts: the best of twelve packings."""

from __future__ import annotations

import rectpack

from core.library.records import SheetStock
from tests.core.layout.seeded import SHEET

METHODS = (rectpack.MaxRectsBssf, rectpack.MaxRectsBl, rectpack.SkylineBlWm)
SORTS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI)


def spent_length_of_boxes_mm(
    outlines: list[list[tuple[float, float]]], sheet: SheetStock = SHEET
) -> float:
    """Return whole sheets but the emptiest, and of that the length in use, at best. [mm]."""
    return min(_packed(outlines, sheet, method, sort) for method in METHODS for sort in SORTS)


def _packed(outlines, sheet, method, sort) -> float:
    width, height = sheet.size_mm
    gap, edge = sheet.part_spacing_mm, sheet.edge_margin_mm
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=rectpack.PackingBin.BBF,
        pack_algo=method,
        sort_algo=sort,
        rotation=True,
    )
    for number, corners in enumerate(outlines):
        across, up = max(x for x, _ in corners), max(y for _, y in corners)
        packer.add_rect(up + gap, across + gap, number)
    packer.add_bin(height - 2 * edge + gap, width - 2 * edge + gap, count=float("inf"))
    packer.pack()
    assert sum(len(one) for one in packer) == len(outlines)
    used = [max(r.y + r.height for r in one) for one in packer]
    return (len(used) - 1) * width + min(used) + edge - gap
