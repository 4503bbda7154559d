"""How long the first layout takes; the floor is the best of twelve packings of boxes.

`pytest tests/benchmarks/test_nesting_speed.py -n 0 --benchmark-enable`
"""

import pytest

from core.layout.nest import first_layout
from tests.core.layout.boxes_by_others import spent_length_of_boxes_mm
from tests.core.layout.seeded import outlines, seeded_task, spent_length_mm


@pytest.mark.parametrize("count", [20, 60, 200])
def test_first_layout(benchmark, count):
    layout = benchmark(lambda: first_layout(seeded_task(count, count)))
    assert not layout.unplaced


def test_floor_twelve_packings_of_two_hundred_boxes(benchmark):
    length_mm = benchmark(lambda: spent_length_of_boxes_mm(outlines(200, 200)))
    assert spent_length_mm(first_layout(seeded_task(200, 200))) < length_mm
