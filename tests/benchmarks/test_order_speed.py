"""How long the order of work takes, and how short its rapid moves are.

`pytest tests/benchmarks/test_order_speed.py -n 0 --benchmark-enable`. The floor is the nearest stop
next, which every tour begins with. The goal for 500 contours: no longer than the bound of Held and
Karp on every tour with fixed entries, and at most 120 ms.
"""

import numpy as np
import pytest

from core.layout.order_entries import best_tour
from core.layout.order_tour import Stops, nearest_next, shortened
from tests.core.layout.tours import doors, held_karp_bound, panels

# the window keeps the garbage collector waiting until nothing is going on
pytestmark = pytest.mark.benchmark(disable_gc=True)


def fixed(count):
    points, waits = panels(count)
    with_begin = np.vstack([points, np.zeros((1, 2))])
    return Stops(with_begin, with_begin, np.append(waits, -1))


def length_mm(stops, tour):
    return float(stops.way(tour[:-1], tour[1:]).sum())


@pytest.mark.parametrize("count", [50, 500])
def test_floor_the_nearest_stop_next(benchmark, count):
    stops = fixed(count)
    assert len(benchmark(lambda: nearest_next(stops))) == count + 1


@pytest.mark.parametrize("count", [50, 500])
def test_order_and_places(benchmark, count):
    some = doors(count)
    order, place = benchmark(lambda: best_tour(some))
    length = length_mm(some.stops(place), np.append(count, order))
    points, _ = panels(count)
    free = Stops(*[np.vstack([points, np.zeros((1, 2))])] * 2, np.full(count + 1, -1))
    upper = length_mm(free, shortened(free, nearest_next(free)))
    bound = held_karp_bound(np.vstack([np.zeros((1, 2)), points]), upper, steps=200)
    benchmark.extra_info["share of the bound"] = round(length / bound, 3)
    assert length <= bound
