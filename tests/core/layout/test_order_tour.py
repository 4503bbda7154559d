"""Tours: every stop once, what must wait waits, and no longer than a bound on all tours."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.layout.order_entries import _best_places, best_tour
from core.layout.order_tour import Stops, good_tour, nearest_next, shortened
from tests.core.layout.tours import doors, held_karp_bound, panels


def stops_of(points, waits, leave=None):
    begin = np.zeros((1, 2))
    return Stops(
        np.vstack([points, begin]),
        np.vstack([points if leave is None else leave, begin]),
        np.append(waits, -1),
    )


def length_mm(stops, tour):
    return float(stops.way(tour[:-1], tour[1:]).sum())


def keeps(stops, tour):
    """Whether a tour visits every stop once, and none before those it waits for."""
    place = np.empty(len(tour), dtype=int)
    place[tour] = np.arange(len(tour))
    waits = np.flatnonzero(stops.waited_by >= 0)
    return (
        tour[0] == len(stops)
        and sorted(tour) == list(range(len(stops) + 1))
        and (place[waits] < place[stops.waited_by[waits]]).all()
    )


@given(st.integers(1, 60), st.integers(0, 10**6))
def test_tours_visit_every_stop_once_and_keep_the_waiting_ones_waiting(count, seed):
    points, waits = panels(count, seed)
    leave = points + np.random.default_rng(seed).uniform(-30.0, 30.0, points.shape)
    stops = stops_of(points, waits, leave)
    first = nearest_next(stops)
    better = shortened(stops, first)
    assert keeps(stops, first)
    assert keeps(stops, better)
    assert length_mm(stops, better) <= length_mm(stops, first) + 1e-6
    assert keeps(stops, good_tour(stops))


@given(st.lists(st.integers(-1, 11), min_size=12, max_size=12), st.integers(0, 10**6))
def test_stops_that_wait_for_stops_that_wait_are_kept_waiting_too(waits, seed):
    # a stop waits only for later ones, so that none waits for itself
    waits = np.array([w if w > i else -1 for i, w in enumerate(waits)])
    points = np.random.default_rng(seed).uniform(0.0, 100.0, (12, 2))
    assert keeps(stops_of(points, waits), good_tour(stops_of(points, waits)))


def test_what_waits_for_something_that_waits_comes_last():
    points = np.array([[10.0, 0.0], [20.0, 0.0], [30.0, 0.0]])
    tour = nearest_next(stops_of(points, np.array([-1, 0, 1])))
    assert tour.tolist() == [3, 2, 1, 0]


@pytest.mark.parametrize("seed", range(5))
def test_a_short_tour_is_the_best_of_all(seed):
    points = np.random.default_rng(seed).uniform(0.0, 100.0, (6, 2))
    stops = stops_of(points, np.full(6, -1))
    every = (np.array([6, *order]) for order in itertools.permutations(range(6)))
    best = min(length_mm(stops, tour) for tour in every)
    assert length_mm(stops, shortened(stops, nearest_next(stops))) <= 1.05 * best


def test_places_are_the_best_of_all_in_a_given_order():
    some, order = doors(4), np.array([2, 0, 3, 1])
    length = {}
    for place in itertools.product(range(8), repeat=4):
        stops = some.stops(np.array(place))
        length[place] = length_mm(stops, np.array([4, *order]))
    found = tuple(_best_places(some, order).tolist())
    assert length[found] == pytest.approx(min(length.values()))


def test_the_same_stops_give_the_same_tour_again():
    one, other = best_tour(doors(80)), best_tour(doors(80))
    assert np.array_equal(one[0], other[0])
    assert np.array_equal(one[1], other[1])


@pytest.mark.parametrize("seed", [1, 2])
def test_free_places_make_the_way_shorter_than_any_tour_with_fixed_ones(seed):
    some = doors(150, seed)
    order, place = best_tour(some)
    points, _ = panels(150, seed)
    fixed = stops_of(points, np.full(150, -1))
    upper = length_mm(fixed, shortened(fixed, nearest_next(fixed)))
    bound = held_karp_bound(np.vstack([np.zeros((1, 2)), points]), upper, steps=150)
    assert 0.9 * upper < bound <= upper
    assert length_mm(some.stops(place), np.append(150, order)) <= bound


def test_the_bound_is_reached_where_all_points_stand_in_line():
    points = np.column_stack([np.arange(12.0), np.zeros(12)])
    assert held_karp_bound(points, 11.0) == pytest.approx(11.0)
