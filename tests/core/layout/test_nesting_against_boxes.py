"""Nesting against the best of twelve rectangle packings by another library."""

import pytest

from core.layout.nest import first_layout, nest
from tests.core.layout.boxes_by_others import spent_length_of_boxes_mm
from tests.core.layout.seeded import SHEET, outlines, seeded_task, spent_length_mm


@pytest.mark.parametrize(("count", "seed"), [(20, 1), (20, 3), (20, 18), (60, 1), (60, 60)])
def test_nesting_is_never_worse_than_the_best_of_twelve_rectangle_packings(count, seed):
    other = spent_length_of_boxes_mm(outlines(count, seed))
    task = seeded_task(count, seed)
    ours = spent_length_mm(first_layout(task))
    if ours > other:
        ours = spent_length_mm(nest(task))
    assert ours <= other


def test_the_first_layout_of_two_hundred_uses_four_fifths_of_the_sheets():
    task = seeded_task(200, 200)
    area = sum(part.area_mm2 for part in task.parts)
    assert area / (spent_length_mm(first_layout(task)) * SHEET.size_mm[1]) >= 0.80
