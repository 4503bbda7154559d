"""A check of layouts that shares nothing with the program but the records.

Run `python -m tests.core.layout.independent` to check a thousand seeded sets.
"""

from __future__ import annotations

import sys

import shapely
from shapely import affinity

from core.layout.nest import first_layout
from tests.core.layout.seeded import seeded_task


def overlaps(task, layout) -> list[str]:
    """Return every pair that is too close and every part too close to an edge."""
    wrong = []
    for number, sheet in enumerate(layout.sheets):
        stock, shapes = sheet.stock, []
        for one in sheet.parts:
            (part,) = (
                p for p in task.parts if (p.drawing, p.contour_id) == (one.drawing, one.contour_id)
            )
            shape = shapely.Polygon(part.rings_mm[0], part.rings_mm[1:])
            if one.mirrored:
                shape = affinity.scale(shape, -1.0, 1.0, origin=(0, 0))
            shape = affinity.rotate(shape, one.turn_deg, origin=(0, 0))
            shapes.append(affinity.translate(shape, *one.at_mm))
        margin = stock.edge_margin_mm + task.kerf_mm - 1e-6
        inner = shapely.box(margin, margin, stock.size_mm[0] - margin, stock.size_mm[1] - margin)
        wrong += [
            f"sheet {number}: part {i} off" for i, s in enumerate(shapes) if not inner.covers(s)
        ]
        spacing = stock.part_spacing_mm + task.kerf_mm - 1e-6
        wrong += [
            f"sheet {number}: parts {i} and {j}"
            for i, a in enumerate(shapes)
            for j, b in enumerate(shapes[:i])
            if a.distance(b) < spacing
        ]
    return wrong


def main() -> int:
    """Check a thousand sets and print what is wrong."""
    faults = 0
    for seed in range(1000):
        task = seeded_task((20, 20, 60)[seed % 3], seed)
        faults += len(overlaps(task, first_layout(task)))
    print(f"1000 sets, {faults} faults")  # noqa: T201
    return faults > 0


if __name__ == "__main__":
    sys.exit(main())
