"""The order of work over the sheets: held parts first, shortest way next.

Stages in order, so that everything is roughed and finished while its skin holds it and nothing is
freed before; one cutter at a time; inside before outside, so that a part is freed last; nearest
next.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.layout.records import Order, OrderLine

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from core.layout.records import Copy, Layout
    from core.plan.records import Toolpath

Trips = list[int]


def order_work(
    layout: Layout, toolpaths: Sequence[Toolpath], depths: Mapping[tuple[int, int], int]
) -> Order:
    """Return the order of all trips on all sheets.

    Parameters
    ----------
    layout : Layout
        Where the copies lie.
    toolpaths : sequence of Toolpath
        The trips of one copy of every drawing.
    depths : mapping of (drawing, contour id) to int
        How deep each contour is nested; deeper ones are cut first.
    """
    stages = _stages(toolpaths, depths)
    lines: list[OrderLine] = []
    for number, sheet in enumerate(layout.sheets):
        here = np.zeros(2)
        for stage in stages:
            for copy_number, copy in enumerate(sheet.copies):
                groups = [g for g in stage if toolpaths[g[0]].drawing == copy.drawing]
                chosen, here = _nearest_next(groups, toolpaths, copy, here)
                lines += [OrderLine(number, copy_number, index) for index in chosen]
    return _with_rapids(lines, layout, toolpaths)


def _stages(
    toolpaths: Sequence[Toolpath], depths: Mapping[tuple[int, int], int]
) -> list[list[Trips]]:
    """Return groups of trips that stay together, by stage, cutter and nesting depth."""
    groups: dict[tuple[int, int, int, str], Trips] = {}
    for index, path in enumerate(toolpaths):
        key = (path.drawing, path.contour_id, path.stage, path.mounted.key)
        groups.setdefault(key, []).append(index)
    stages: dict[tuple[int, str, int], list[Trips]] = {}
    for (drawing, contour, stage, cutter), trips in groups.items():
        stages.setdefault((stage, cutter, -depths[drawing, contour]), []).append(trips)
    return [stages[key] for key in sorted(stages)]


def _nearest_next(
    groups: list[Trips], toolpaths: Sequence[Toolpath], copy: Copy, here: NDArray[np.float64]
) -> tuple[list[int], NDArray[np.float64]]:
    if not groups:
        return [], here
    starts = np.array([placed(toolpaths[g[0]].entry.points[0], copy) for g in groups])
    left = np.ones(len(groups), dtype=bool)
    chosen: list[int] = []
    for _ in groups:
        distance = np.where(left, np.hypot(*(starts - here).T), np.inf)
        nearest = int(np.argmin(distance))
        left[nearest] = False
        chosen += groups[nearest]
        here = placed(toolpaths[chosen[-1]].exit.points[-1], copy)
    return chosen, here


def placed(point_mm: NDArray[np.float64], copy: Copy) -> NDArray[np.float64]:
    """Return a point of the drawing where the copy has it on the sheet. [mm]."""
    turn = math.radians(copy.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x, y = point_mm
    x = -x if copy.mirrored else x
    return np.array([cos * x - sin * y + copy.at_mm[0], sin * x + cos * y + copy.at_mm[1]])


def _with_rapids(lines: list[OrderLine], layout: Layout, toolpaths: Sequence[Toolpath]) -> Order:
    rapids = []
    ends = [np.zeros(2)]
    for line in lines:
        copy = layout.sheets[line.sheet].copies[line.copy]
        path = toolpaths[line.pass_index]
        rapids.append(float(np.hypot(*(placed(path.entry.points[0], copy) - ends[-1]))))
        ends.append(placed(path.exit.points[-1], copy))
    cutters = [toolpaths[line.pass_index].mounted.key for line in lines]
    changes = sum(a != b for a, b in pairwise(cutters)) + bool(cutters)
    return Order(tuple(lines), tuple(rapids), len(lines), changes)
