"""The shortest way round many stops, by moves on near neighbours; the same again every time.

Terms: a *stop* is entered at one point and left at another. Some stops *wait* for others: what lies
inside a contour is cut before it. A *tour* begins at a given point, visits every stop once, and may
end anywhere. A *move* turns a stretch of the tour round (2-opt), or puts up to three stops that
follow each other elsewhere, either way round (Or-opt). All moves that bring near neighbours
together are weighed at once; the best of them whose stretches do not touch are made together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]
    Pairs = tuple[Index, Index]

NEAR = 8
"""Neighbours that are looked at; more cost time and shorten nothing."""

LONGEST_BLOCK = 3
"""Stops that an Or-opt move takes along at most."""

AT_ONCE = 400
"""Best moves of which as many are made together as do not touch; of long tours more."""

ROWS_AT_ONCE = 256
"""Stops whose distances to all others are held at once."""

WORK = 60_000
"""Stops weighed in all sweeps of a tour: thousands of stops get fewer sweeps, the best moves."""

_GAIN_MM = 1e-6


@dataclass(frozen=True, eq=False)
class Stops:
    """The stops of a tour; the last one is where it begins, and is not visited again.

    Parameters
    ----------
    enter_mm, leave_mm : array of shape (n + 1, 2)
        Where each is entered and left; the same point for the last one. [mm]
    waited_by : int array of shape (n + 1,)
        The stop that waits for each; -1 for none.
    """

    enter_mm: Array
    leave_mm: Array
    waited_by: Index

    def __len__(self) -> int:
        return len(self.waited_by) - 1

    def way(self, one: Index, other: Index) -> Array:
        """Return the way from leaving some stops to entering others. [mm]."""
        enter, leave = self._enter, self._leave
        x = enter[0].take(other) - leave[0].take(one)
        y = enter[1].take(other) - leave[1].take(one)
        return np.asarray(np.hypot(x, y))

    @cached_property
    def _enter(self) -> Array:
        return np.ascontiguousarray(self.enter_mm.T)

    @cached_property
    def _leave(self) -> Array:
        return np.ascontiguousarray(self.leave_mm.T)


def nearest_next(stops: Stops) -> Index:
    """Return a tour that goes to the nearest stop that need not wait any more, shape (n + 1,)."""
    count = len(stops)
    waits = np.bincount(stops.waited_by[stops.waited_by >= 0], minlength=count + 1)
    blocked = np.where(waits > 0, np.inf, 0.0)
    blocked[count] = np.inf
    tour = [count]
    x, y = stops.enter_mm.T
    for _ in range(count):
        at_x, at_y = stops.leave_mm[tour[-1]]
        stop = int(np.argmin((x - at_x) ** 2 + (y - at_y) ** 2 + blocked))
        tour.append(stop)
        blocked[stop] = np.inf
        waiting = int(stops.waited_by[stop])
        if waiting >= 0:
            waits[waiting] -= 1
            if not waits[waiting]:
                blocked[waiting] = 0.0
    return np.array(tour)


def shortened(stops: Stops, tour: Index, pairs: Pairs | None = None) -> Index:
    """Return a tour that no single move on near neighbours makes shorter, or with `WORK` done.

    Parameters
    ----------
    stops : Stops
        The stops.
    tour : int array of shape (n + 1,)
        A tour; it begins with stop n.
    pairs : Pairs or None
        Stops that may well follow each other, where they are known.
    """
    one, other = pairs or _near_pairs(stops)
    apart = stops.way(one, other)
    for _ in range(WORK // len(tour)):
        moves = _Weighing(stops, tour).moves(one, other, apart)
        if not len(moves.gain_mm):
            break
        tour = _moved(tour, moves)
    return tour


def good_tour(stops: Stops) -> Index:
    """Return a short tour, begun with one on which nothing waits: 4 % shorter than without."""
    pairs = _near_pairs(stops)
    waits = stops.waited_by >= 0
    if not waits.any():
        return shortened(stops, nearest_next(stops), pairs)
    free = replace(stops, waited_by=np.full_like(stops.waited_by, -1))
    first = shortened(free, nearest_next(free), pairs)
    return shortened(stops, _made_wait(stops, first), pairs)


def _made_wait(stops: Stops, tour: Index) -> Index:
    """Return a tour in which stops that come too early are put where they lengthen it least."""
    kept, early = tour.tolist(), _early(stops, tour)
    kept = [stop for stop in kept if stop not in early]
    waits_for: dict[int, set[int]] = {}
    for stop in np.flatnonzero(stops.waited_by >= 0).tolist():
        waits_for.setdefault(int(stops.waited_by[stop]), set()).add(stop)
    for stop in early:
        begin = max(i for i, other in enumerate(kept) if other in waits_for[stop])
        behind = np.array(kept[begin:])
        here = np.full(len(behind), stop)
        more = stops.way(behind, here)
        more[:-1] += stops.way(here[1:], behind[1:]) - stops.way(behind[:-1], behind[1:])
        kept.insert(begin + 1 + int(more.argmin()), stop)
    return np.array(kept)


def _early(stops: Stops, tour: Index) -> dict[int, None]:
    """Return the stops that come before one they wait for, and all that wait for those.

    In such an order that each comes behind those that it waits for.
    """
    place = np.empty(len(tour), dtype=np.intp)
    place[tour] = np.arange(len(tour))
    child = np.flatnonzero(stops.waited_by >= 0)
    wave = np.unique(stops.waited_by[child][place[child] > place[stops.waited_by[child]]])
    found: dict[int, None] = {}
    while len(wave):
        for stop in wave.tolist():
            # again, behind the others, where another way up to it is longer
            found.pop(stop, None)
            found[stop] = None
        above = stops.waited_by[wave]
        wave = np.unique(above[above >= 0])
    return found


def _near_pairs(stops: Stops) -> Pairs:
    """Return pairs of stops that may well follow each other: near to leave one for the other."""
    count = len(stops) + 1
    near = min(NEAR, count - 1)
    found = []
    for begin in range(0, count, ROWS_AT_ONCE):
        rows = np.arange(begin, min(begin + ROWS_AT_ONCE, count))
        delta = stops.leave_mm[rows, None] - stops.enter_mm
        away = delta[..., 0] ** 2 + delta[..., 1] ** 2
        away[np.arange(len(rows)), rows] = np.inf
        found.append(np.argpartition(away, near - 1, axis=1)[:, :near].ravel())
    one, other = np.repeat(np.arange(count), near), np.concatenate(found)
    # nothing leads back to where the tour begins
    fits = other < count - 1
    return one[fits], other[fits]


@dataclass(frozen=True, eq=False, slots=True)
class _Moves:
    """Moves, m in number; arrays of shape (m,).

    A move changes the places `low` to `high` of a tour: their first `split` stops change sides with
    the rest, and the part that was `turned` (0 none, 1 the first, 2 the rest) runs the other way.
    """

    gain_mm: Array
    low: Index
    high: Index
    split: Index
    turned: Index

    def chosen(self, which: Index | Bools) -> _Moves:
        return _Moves(*(getattr(self, name)[which] for name in self.__slots__))


class _Weighing:
    """What the moves of one tour gain."""

    def __init__(self, stops: Stops, tour: Index) -> None:
        self._stops, self._tour = stops, tour
        count = len(tour)
        self._place = np.empty(count, dtype=np.intp)
        self._place[tour] = np.arange(count)
        onward = stops.way(tour[:-1], tour[1:])
        back = stops.way(tour[1:], tour[:-1])
        # ways up to each place; there is no way behind the last one
        self._onward = np.concatenate([[0.0], np.cumsum(onward), [0.0]])
        self._onward[-1] = self._onward[-2]
        self._back = np.concatenate([[0.0], np.cumsum(back)])
        waited_by = stops.waited_by[tour]
        waits = waited_by >= 0
        self._until = np.full(count + 1, count)
        self._until[:-1][waits] = self._place[waited_by[waits]]
        # of all stops from a place on: the first place of one that waits for any of them
        self._free = np.minimum.accumulate(self._until[::-1])[::-1]
        self._since = np.full(count, -1)
        np.maximum.at(self._since, self._place[waited_by[waits]], np.flatnonzero(waits))

    def moves(self, one: Index, other: Index, apart_mm: Array) -> _Moves:
        """Return the moves that bring pairs of stops together and gain by it, best first.

        A pair further apart than both ways that its move takes away gains nothing.
        """
        p, q = self._place[one], self._place[other]
        ahead = np.diff(self._onward)
        after, before = ahead, np.append(0.0, ahead[:-1])
        turn = apart_mm < np.maximum(after[p], after[q])
        low, high = np.minimum(p[turn], q[turn]), np.maximum(p[turn], q[turn])
        found = [self._turns(low + 1, high)]
        turn = apart_mm < np.maximum(before[p], before[q])
        low, high = np.minimum(p[turn], q[turn]), np.maximum(p[turn], q[turn])
        found.append(self._turns(low, high - 1))
        ahead_of = apart_mm < np.maximum(after[p], before[q])
        behind_of = apart_mm < np.maximum(after[p], after[q])
        for size in range(1, LONGEST_BLOCK + 1):
            x, y = p[ahead_of], q[ahead_of]
            found.append(self._shifts(x, y, y + size - 1, False))
            x, y = p[behind_of], q[behind_of]
            found.append(self._shifts(x, y - size + 1, y, True))
        names = _Moves.__slots__
        every = _Moves(*(np.concatenate([getattr(part, name) for part in found]) for name in names))
        best = np.argsort(-every.gain_mm, kind="stable")[: max(AT_ONCE, len(self._tour))]
        return every.chosen(best)

    def _turns(self, low: Index, high: Index) -> _Moves:
        """Weigh turning the stretch from low to high."""
        keep = (low >= 1) & (high > low)
        low, high = low[keep], high[keep]
        before = self._onward[high + 1] - self._onward[low - 1]
        turned = self._back[high] - self._back[low]
        after = self._way(low - 1, high) + self._way(low, high + 1) + turned
        gain = before - after
        good = np.flatnonzero((gain > _GAIN_MM) & (self._free[low] > high))
        whole = high[good] - low[good] + 1
        return _Moves(gain[good], low[good], high[good], whole, np.ones_like(whole))

    def _shifts(self, behind: Index, low: Index, high: Index, turned: bool) -> _Moves:
        """Weigh putting the block from low to high behind a place, turned or as it is."""
        last = len(self._tour) - 1
        keep = (low >= 1) & (high <= last) & ((behind < low - 1) | (behind > high))
        behind, low, high = behind[keep], low[keep], high[keep]
        first, final = (high, low) if turned else (low, high)
        inner = (self._back if turned else self._onward)[high]
        inner = inner - (self._back if turned else self._onward)[low]
        before = self._onward[high + 1] - self._onward[low - 1]
        before = before + self._onward[behind + 1] - self._onward[behind]
        after = inner + self._way(low - 1, high + 1)
        after += self._way(behind, first) + self._way(final, behind + 1)
        gain = before - after
        good = np.flatnonzero(gain > _GAIN_MM)
        good = good[self._may_shift(behind[good], low[good], high[good], turned)]
        behind, low, high = behind[good], low[good], high[good]
        later = behind > high
        size = high - low + 1
        begin, end = np.where(later, low, behind + 1), np.where(later, behind, high)
        split = np.where(later, size, low - begin)
        which = np.where(later, 1, 2) if turned else np.zeros_like(split)
        return _Moves(gain[good], begin, end, split, which)

    def _may_shift(self, behind: Index, low: Index, high: Index, turned: bool) -> Bools:
        """Whether no stop comes to lie on the wrong side of one that it waits for."""
        may = self._free[low] > high if turned else np.ones(len(low), dtype=bool)
        for step in range(LONGEST_BLOCK):
            place = np.minimum(low + step, high)
            until, since = self._until[place], self._since[place]
            # what waits within the block stays behind in it, unless it is turned
            may &= (behind <= high) | (until > behind) | (until <= high)
            may &= (behind > high) | (since <= behind)
        return may

    def _way(self, one: Index, other: Index) -> Array:
        """Way from one place to another; nothing behind the end of the tour."""
        last = len(self._tour) - 1
        way = self._stops.way(self._tour[one], self._tour[np.minimum(other, last)])
        return np.where(other > last, 0.0, way)


def _moved(tour: Index, moves: _Moves) -> Index:
    """Return the tour after the best moves that do not touch each other."""
    tour, touched = tour.copy(), np.zeros(len(tour) + 1, dtype=bool)
    rows = zip(*(getattr(moves, name).tolist() for name in _Moves.__slots__[1:]), strict=True)
    for low, high, split, turned in rows:
        # the ways into and out of the stretch are changed too
        if touched[low : high + 2].any():
            continue
        touched[low : high + 2] = True
        head, rest = tour[low : low + split], tour[low + split : high + 1]
        if turned:
            head, rest = (head[::-1], rest) if turned == 1 else (head, rest[::-1])
        tour[low : high + 1] = np.concatenate([rest, head])
    return tour
