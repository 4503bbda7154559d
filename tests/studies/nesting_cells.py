"""How many cells a sheet needs: share of the sheets used and time, by the number of cells.

Run `python -m tests.studies.nesting_cells`. Seen on a shared machine: 60 000 cells are worth
up to 3 points against 40 000; seven times as many gain 1 point on average, and take seven times as
long. Hence few cells for the first layout, finer ones only where parts are small.
"""

from __future__ import annotations

import time

from core.layout.nest_bitmap import BitmapFiller
from core.layout.nest_search import lay_out, sorted_order
from tests.core.layout.boxes_by_others import spent_length_of_boxes_mm
from tests.core.layout.seeded import SHEET, outlines, seeded_task

SETS = ((20, 20), (20, 5), (60, 60), (60, 2), (200, 200), (200, 1))


def main() -> None:
    """Print one line a number of cells, and the same by boxes."""
    areas = [sum(p.area_mm2 for p in seeded_task(*one).parts) for one in SETS]
    print("cells     ", *(f"{count:>8}#{seed:<4}" for count, seed in SETS))
    for cells in (40_000, 60_000, 120_000, 400_000):
        shown = []
        for one, area in zip(SETS, areas, strict=True):
            task, begun = seeded_task(*one), time.perf_counter()
            found = lay_out(task, BitmapFiller(task, cells), sorted_order(task, "area"))
            assert found is not None
            shown.append(f"{area / found.spent_mm2:6.1%} {time.perf_counter() - begun:5.2f}s")
        print(f"{cells:<10}", *shown)
    boxes = [spent_length_of_boxes_mm(outlines(*one)) * SHEET.size_mm[1] for one in SETS]
    print("boxes     ", *(f"{a / b:6.1%}       " for a, b in zip(areas, boxes, strict=True)))


if __name__ == "__main__":
    main()
