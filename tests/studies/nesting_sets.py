"""Nesting against the best of twelve rectangle packings by another library, on fifty seeded sets.

Prints each set where the first layout is worse, and how often the best one is: it never should be.
Seen: 4 first layouts of 20 parts are worse, no best one; the first layouts of 200 parts use 80 to
83 % of the sheets, where the packings of boxes use 74 to 76 %.

Run: python -m tests.studies.nesting_sets
"""

from __future__ import annotations

from core.layout.nest import first_layout, nest
from tests.core.layout.boxes_by_others import spent_length_of_boxes_mm
from tests.core.layout.seeded import SHEET, outlines, seeded_task, spent_length_mm

COUNTS = (20, 60, 200)


def main() -> None:
    """Print the sets, and the count of those where boxes win."""
    worse, used = 0, []
    for seed in range(1, 51):
        count = COUNTS[seed % 3]
        task, boxes_mm = seeded_task(count, seed), spent_length_of_boxes_mm(outlines(count, seed))
        first_mm = best_mm = spent_length_mm(first_layout(task))
        if first_mm > boxes_mm:
            best_mm = spent_length_mm(nest(task))
            print(f"{count} parts, set {seed}: boxes {boxes_mm:.0f} mm, first layout", end=" ")
            print(f"{first_mm:.0f} mm, best {best_mm:.0f} mm")
        worse += best_mm > boxes_mm
        if count == max(COUNTS):
            area = sum(part.area_mm2 for part in task.parts)
            used.append(area / (first_mm * SHEET.size_mm[1]))
    print(f"worse than boxes: {worse} of 50; first layouts of 200 use", end=" ")
    print(f"{min(used):.1%} to {max(used):.1%}")


if __name__ == "__main__":
    main()
