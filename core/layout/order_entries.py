"""Where each stop of a tour is entered: the best of a few places, for all stops together.

A contour may be started at several places. In a given order the best ones follow exactly, stop by
stop: the shortest way to each place of a stop is that to some place of the stop before it, and on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.layout.order_tour import Stops, good_tour, shortened

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

MOST_ROUNDS = 3
"""How often order and places are improved in turn at most; more rounds gain less than 0.5 %."""

_GAIN_MM = 1e-6


@dataclass(frozen=True, eq=False, slots=True)
class Doors:
    """Stops with k places each, at which they may be entered and left.

    Parameters
    ----------
    enter_mm, leave_mm : array of shape (n, k, 2)
        Where a stop is entered and left at each of its places; the first is the one that is taken
        without a reason. A stop with fewer places repeats one. [mm]
    waited_by : int array of shape (n,)
        The stop that waits for each; -1 for none.
    begin_mm : array of shape (2,)
        Where the tour begins. [mm]
    """

    enter_mm: Array
    leave_mm: Array
    waited_by: Index
    begin_mm: Array

    def stops(self, place: Index) -> Stops:
        """Return the stops, each entered at one place."""
        each = np.arange(len(self.waited_by))
        begin = self.begin_mm[None]
        return Stops(
            np.concatenate([self.enter_mm[each, place], begin]),
            np.concatenate([self.leave_mm[each, place], begin]),
            np.append(self.waited_by, -1),
        )


def best_tour(doors: Doors) -> tuple[Index, Index]:
    """Return in which order to visit stops, and the place at which each is entered.

    Order and places are improved in turn until neither gains. The result is the same each time.

    Returns
    -------
    (int array of shape (n,), int array of shape (n,))
        Stops in their order; the number of the place of each stop.
    """
    place = np.zeros(len(doors.waited_by), dtype=np.intp)
    stops = doors.stops(place)
    tour = good_tour(stops)
    length = _length_mm(stops, tour)
    for _ in range(MOST_ROUNDS if doors.enter_mm.shape[1] > 1 else 0):
        better = _best_places(doors, tour[1:])
        stops = doors.stops(better)
        moved = shortened(stops, tour)
        shorter = _length_mm(stops, moved)
        if shorter >= length - _GAIN_MM:
            break
        tour, place, length = moved, better, shorter
    return tour[1:], place


def _length_mm(stops: Stops, tour: Index) -> float:
    return float(stops.way(tour[:-1], tour[1:]).sum())


def _best_places(doors: Doors, order: Index) -> Index:
    """Return the places that make the way through stops in a given order shortest, shape (n,)."""
    enter, leave = doors.enter_mm[order], doors.leave_mm[order]
    delta = enter[1:, None] - leave[:-1, :, None]
    ways = np.hypot(delta[..., 0], delta[..., 1])
    first = enter[0] - doors.begin_mm
    so_far = np.hypot(first[:, 0], first[:, 1])
    came = np.empty((len(ways), len(so_far)), dtype=np.intp)
    every = np.arange(len(so_far))
    for number, way in enumerate(ways):
        through = so_far[:, None] + way
        came[number] = through.argmin(axis=0)
        so_far = through[came[number], every]
    place = np.empty(len(order), dtype=np.intp)
    at = int(so_far.argmin())
    for number in range(len(order) - 1, -1, -1):
        place[order[number]] = at
        if number:
            at = int(came[number - 1, at])
    return place
