"""How long the map of spindle speed and chip load takes; the house wants 5 ms at most.

`pytest tests/benchmarks/test_map_speed.py -n 0 --benchmark-enable`
"""

import pytest

from core.advice.map import CELLS, settings_map
from core.advice.map_cut import cut_of_pass, straight_slot
from core.pipeline import Pipeline
from tests.core.advice.plates import job, plate


@pytest.fixture(scope="module")
def results():
    return Pipeline().results(job(plate((60.0, 60.0, 9.0))))


def test_a_straight_slot(benchmark, results):
    cut = straight_slot(results.chosen, results.chosen.cutting.rough, 6.0)
    table = benchmark(lambda: settings_map(cut))
    assert table.worst_ratio.shape == (CELLS, CELLS)


@pytest.mark.parametrize("index", range(4))
def test_passes_of_a_plate_with_a_hole(benchmark, results, index):
    cut = cut_of_pass(results, index)
    table = benchmark(lambda: settings_map(cut))
    assert table.worst_ratio.shape == (CELLS, CELLS)
