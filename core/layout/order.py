"""The order of work over the sheets: held parts first, shortest way next.

Stages in order, so that everything is roughed and finished while its skin holds it and nothing is
freed before; one cutter at a time; within that the shortest rapid moves, but what lies inside a
contour comes before it, so that a part is freed last.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from core.layout.order_entries import Doors, best_tour
from core.layout.order_tour import Stops, good_tour, shortened
from core.layout.records import Order, OrderLine

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from core.layout.records import Copy, Layout
    from core.plan.records import Toolpath
    from core.plan.starts import Starts

    Within = tuple[int, int]
    Parents = Mapping[Within, int | None]


NO_SPEEDS: Mapping[Within, float] = MappingProxyType({})
"""No contour has a spindle speed of its own."""


@dataclass(frozen=True, slots=True)
class Tour:
    """A good order of the trips of one copy, and where it starts the rings that may be started.

    Parameters
    ----------
    trips : tuple of int
        Indices of toolpaths.
    place : tuple of int
        Of each ring of the `Starts` the number of its place.
    """

    trips: tuple[int, ...] = ()
    place: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class _Group:
    """Trips of one contour that stay together."""

    drawing: int
    contour: int
    trips: tuple[int, ...]


@dataclass(frozen=True, eq=False, slots=True)
class _Stage:
    """Groups of one drawing that are ordered together, and which of them each is waited for by."""

    groups: tuple[_Group, ...]
    waited_by: NDArray[np.intp]


def find_tour(
    layout: Layout, toolpaths: Sequence[Toolpath], starts: Starts, parents: Parents
) -> Tour:
    """Return the order of the trips of the first copy of every drawing, and the best starts.

    Parameters
    ----------
    layout : Layout
        Where the copies lie.
    toolpaths : sequence of Toolpath
        The trips of one copy of every drawing.
    starts : Starts
        Where their rings may be started.
    parents : mapping of (drawing, contour id) to int or None
        The contour right around each.
    """
    copies: dict[int, Copy] = {}
    for copy in (copy for sheet in layout.sheets for copy in sheet.copies):
        copies.setdefault(copy.drawing, copy)
    ring_of = {ring.trips: number for number, ring in enumerate(starts.rings)}
    place = np.zeros(len(starts.rings), dtype=np.intp)
    trips: list[int] = []
    here = dict.fromkeys(copies, np.zeros(2))
    for stage in _stages(toolpaths, parents):
        for drawing, own in stage.items():
            if drawing not in copies:
                continue
            rings = [ring_of.get(group.trips, -1) for group in own.groups]
            doors = _doors(own, rings, toolpaths, starts, copies[drawing], here[drawing])
            order, chosen = best_tour(doors)
            last = int(order[-1])
            here[drawing] = doors.leave_mm[last, chosen[last]]
            trips += (index for stop in order.tolist() for index in own.groups[stop].trips)
            free = np.array(rings) >= 0
            place[np.array(rings)[free]] = chosen[free]
    return Tour(tuple(trips), tuple(place.tolist()))


def _doors(
    stage: _Stage,
    rings: Sequence[int],
    toolpaths: Sequence[Toolpath],
    starts: Starts,
    copy: Copy,
    here: NDArray[np.float64],
) -> Doors:
    many = starts.s_mm.shape[1]
    enter = np.array([toolpaths[group.trips[0]].entry.points[0] for group in stage.groups])
    leave = np.array([toolpaths[group.trips[-1]].exit.points[-1] for group in stage.groups])
    doors = [np.repeat(points[:, None], many, axis=1) for points in (enter, leave)]
    free = np.flatnonzero(np.array(rings) >= 0)
    own = np.array(rings)[free]
    doors[0][free], doors[1][free] = starts.enter_mm[own], starts.leave_mm[own]
    return Doors(placed(doors[0], copy), placed(doors[1], copy), stage.waited_by, here)


def order_work(
    layout: Layout,
    toolpaths: Sequence[Toolpath],
    parents: Parents,
    *,
    tour: Tour | None = None,
    ahead: frozenset[int] = frozenset(),
    speeds_rpm: Mapping[Within, float] = NO_SPEEDS,
) -> Order:
    """Return the order of all trips on all sheets.

    Parameters
    ----------
    layout : Layout
        Where the copies lie.
    toolpaths : sequence of Toolpath
        The trips of one copy of every drawing.
    parents : mapping of (drawing, contour id) to int or None
        The contour right around each, which waits for what is inside of it.
    tour : Tour or None
        A good order of the trips of one copy, to begin with.
    ahead : frozenset of int
        Drawings that lie in the waste of others and are cut first, stage by stage.
    speeds_rpm : mapping of (drawing, contour id) to float
        Spindle speeds set for single contours: equal ones stay together, unless something would be
        cut before what lies inside of it.
    """
    stages = [
        part
        for stage in _stages(toolpaths, parents, ahead)
        for part in _by_speed(stage, parents, speeds_rpm)
    ]
    ends = _Ends(toolpaths)
    rank = {trip: number for number, trip in enumerate(tour.trips)} if tour else {}
    known: dict[tuple[Copy, ...], list[tuple[int, int]]] = {}
    lines: list[OrderLine] = []
    for number, sheet in enumerate(layout.sheets):
        if sheet.copies not in known:
            known[sheet.copies] = _over_sheet(sheet.copies, stages, ends, rank)
        lines += (OrderLine(number, copy, trip) for copy, trip in known[sheet.copies])
    return _with_rapids(lines, layout, toolpaths, ends)


class _Ends:
    """Where each toolpath begins and ends, n in number, shape (n, 2). [mm]."""

    def __init__(self, toolpaths: Sequence[Toolpath]) -> None:
        self.begin = np.array([t.entry.points[0] for t in toolpaths]).reshape(-1, 2)
        self.end = np.array([t.exit.points[-1] for t in toolpaths]).reshape(-1, 2)


def _stages(
    toolpaths: Sequence[Toolpath], parents: Parents, ahead: frozenset[int] = frozenset()
) -> list[dict[int, _Stage]]:
    """Return what is ordered together, by stage and cutter: the groups of each drawing."""
    trips: dict[tuple[int, int, int, str], list[int]] = defaultdict(list)
    for index, path in enumerate(toolpaths):
        trips[path.drawing, path.contour_id, path.stage, path.mounted.key].append(index)
    stages: dict[tuple[int, str, bool], dict[int, list[_Group]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for (drawing, contour, stage, cutter), own in trips.items():
        group = _Group(drawing, contour, tuple(own))
        stages[stage, cutter, drawing not in ahead][drawing].append(group)
    return [
        {drawing: _stage(groups, parents) for drawing, groups in stages[key].items()}
        for key in sorted(stages)
    ]


def _by_speed(
    stage: dict[int, _Stage], parents: Parents, speeds_rpm: Mapping[Within, float]
) -> list[dict[int, _Stage]]:
    """Return a stage split by spindle speed, rising or falling, or whole where neither may be."""
    groups = [group for own in stage.values() for group in own.groups]
    speed = {g: speeds_rpm.get((g.drawing, g.contour), 0.0) for g in groups}
    ranks = sorted(set(speed.values()))
    waits = [
        (group, own.groups[waiting])
        for own in stage.values()
        for group, waiting in zip(own.groups, own.waited_by.tolist(), strict=True)
        if waiting >= 0
    ]
    for order in (ranks, ranks[::-1]):
        if all(order.index(speed[a]) <= order.index(speed[b]) for a, b in waits):
            return [
                {
                    drawing: _stage([g for g in own.groups if speed[g] == rpm], parents)
                    for drawing, own in stage.items()
                    if any(speed[g] == rpm for g in own.groups)
                }
                for rpm in order
            ]
    return [stage]


def _stage(groups: Sequence[_Group], parents: Parents) -> _Stage:
    number = {group.contour: i for i, group in enumerate(groups)}
    waited_by = np.full(len(groups), -1)
    for i, group in enumerate(groups):
        around = parents[group.drawing, group.contour]
        while around is not None and around not in number:
            around = parents.get((group.drawing, around))
        if around is not None:
            waited_by[i] = number[around]
    return _Stage(tuple(groups), waited_by)


def _over_sheet(
    copies: Sequence[Copy],
    stages: Sequence[Mapping[int, _Stage]],
    ends: _Ends,
    rank: Mapping[int, int],
) -> list[tuple[int, int]]:
    """Return copy and toolpath of every trip on one sheet, in order."""
    lines: list[tuple[int, int]] = []
    here = np.zeros((1, 2))
    for stage in stages:
        groups: list[tuple[int, _Group]] = []
        waited_by, enter, leave = [], [here[:0]], [here[:0]]
        for number, copy in enumerate(copies):
            if copy.drawing not in stage:
                continue
            own = stage[copy.drawing]
            waits = own.waited_by
            waited_by.append(np.where(waits >= 0, waits + len(groups), -1))
            enter.append(placed(ends.begin[[g.trips[0] for g in own.groups]], copy))
            leave.append(placed(ends.end[[g.trips[-1] for g in own.groups]], copy))
            groups += ((number, group) for group in own.groups)
        if not groups:
            continue
        stops = Stops(
            np.concatenate([*enter, here]),
            np.concatenate([*leave, here]),
            np.concatenate([*waited_by, [-1]]),
        )
        order = shortened(stops, _first_order(stops, groups, rank))[1:].tolist()
        lines += ((groups[stop][0], trip) for stop in order for trip in groups[stop][1].trips)
        here = stops.leave_mm[order[-1]][None]
    return lines


def _first_order(
    stops: Stops, groups: Sequence[tuple[int, _Group]], rank: Mapping[int, int]
) -> NDArray[np.intp]:
    """Return the order to begin with: the one that is known of a single copy, else the nearest."""
    single = len({group.trips for _, group in groups}) == len(groups)
    if not rank or not single:
        return good_tour(stops)
    known = np.argsort([rank[group.trips[0]] for _, group in groups], kind="stable")
    return np.concatenate([[len(stops)], known])


def placed(points_mm: NDArray[np.float64], copy: Copy) -> NDArray[np.float64]:
    """Return points of the drawing, shape (..., 2), where the copy has them on the sheet. [mm]."""
    turn = math.radians(copy.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x, y = points_mm[..., 0], points_mm[..., 1]
    x = -x if copy.mirrored else x
    shifted = [cos * x - sin * y + copy.at_mm[0], sin * x + cos * y + copy.at_mm[1]]
    return np.stack(shifted, axis=-1)


def _with_rapids(
    lines: Sequence[OrderLine], layout: Layout, toolpaths: Sequence[Toolpath], ends: _Ends
) -> Order:
    """Return the order with the rapid move to each line from where the one before ended."""
    trips = [line.pass_index for line in lines]
    where = [layout.sheets[line.sheet].copies[line.copy] for line in lines]
    begin, end = (_placed_each(points[trips], where) for points in (ends.begin, ends.end))
    from_mm = np.concatenate([np.zeros((1, 2)), end[:-1]])[: len(begin)]
    rapids = np.hypot(*(begin - from_mm).T)
    cutters = [toolpaths[trip].mounted.key for trip in trips]
    changes = sum(a != b for a, b in pairwise(cutters)) + bool(cutters)
    return Order(tuple(lines), tuple(rapids.tolist()), len(lines), changes)


def _placed_each(points_mm: NDArray[np.float64], where: Sequence[Copy]) -> NDArray[np.float64]:
    """Return points where their own copies have them on the sheets, shape (n, 2). [mm]."""
    at = np.empty_like(points_mm)
    lines: dict[Copy, list[int]] = defaultdict(list)
    for number, copy in enumerate(where):
        lines[copy].append(number)
    for copy, own in lines.items():
        at[own] = placed(points_mm[own], copy)
    return at
