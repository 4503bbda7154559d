"""Nesting by boxes: each part's box goes into one of the largest free rectangles that are left.

The free space is kept as all its maximal rectangles, which may overlap; a box that is placed cuts
every one that it touches, and rectangles inside another are dropped (J. Jylanki, A Thousand Ways to
Pack the Bin, 2010, from memory). Exact to the last digit and best where all parts are rectangles.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from core.layout.nest_cells import box_stances
from core.layout.nest_fill import Filled, stance_place

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from core.layout.nest_cells import Stance
    from core.layout.nest_records import Bounds, NestTask
    from core.layout.records import PlacedPart
    from core.library.records import SheetStock

SLACK_MM = 1e-7
"""A box may be wider than its place by this: the noise of adding floats."""


def _short_side(free: Bounds, width: float, height: float) -> tuple[float, float]:
    across, up = free[2] - free[0] - width, free[3] - free[1] - height
    return min(across, up), max(across, up)


def _left(free: Bounds, width: float, height: float) -> tuple[float, float]:
    return free[0] + width, free[1]


def _area(free: Bounds, width: float, height: float) -> tuple[float, float]:
    room = (free[2] - free[0]) * (free[3] - free[1]) - width * height
    return room, min(free[2] - free[0] - width, free[3] - free[1] - height)


FITS: dict[str, Callable[[Bounds, float, float], tuple[float, float]]] = {
    "shortest side left over": _short_side,
    "leftmost": _left,
    "least area left over": _area,
}
"""How a place is chosen; the least value wins."""


class BoxFiller:
    """Fills sheets by the boxes of the parts.

    Parameters
    ----------
    task : NestTask
        What is nested.
    fit : str
        How a place is chosen: a key of `FITS`.
    """

    def __init__(self, task: NestTask, fit: str) -> None:
        self._task = task
        self._value = FITS[fit]
        self._stances = lru_cache(maxsize=None)(self._stances_on)
        self.name = f"boxes, {fit}"

    def fill(
        self,
        stock: SheetStock,
        order: Sequence[tuple[int, int]],
        fixed: Sequence[PlacedPart] = (),
    ) -> Filled:
        """Return what lies on one sheet when parts are tried in an order.

        Parameters
        ----------
        stock : SheetStock
            The sheet.
        order : sequence of (part, count)
            Which part is tried next, and how many of it.
        fixed : sequence of PlacedPart
            What lies there already.
        """
        free = self._room(stock, fixed)
        filled = Filled()
        full: set[int] = set()
        for part, count in order:
            if part in full:
                continue
            for _ in range(count):
                place = self._best(free, part, stock)
                if place is None:
                    full.add(part)
                    break
                stance, x, y = place
                box = (x, y, x + stance.size_mm[0], y + stance.size_mm[1])
                free = _without(free, box)
                filled.add(
                    part, stance_place(self._task.parts[part], stance, (x, y), on_cells=False)
                )
        return filled

    def _room(self, stock: SheetStock, fixed: Sequence[PlacedPart]) -> list[Bounds]:
        growth = self._task.spacing_mm(stock) / 2.0
        corner = self._task.margin_mm(stock) - growth
        width, height = stock.size_mm
        free = [(corner, corner, width - corner, height - corner)]
        outlines = map(self._task.outline, fixed)
        for x0, y0, x1, y1 in (*self._task.zones_mm, *(o.bounds for o in outlines)):
            free = _without(free, (x0 - growth, y0 - growth, x1 + growth, y1 + growth))
        return free

    def _best(
        self, free: list[Bounds], part: int, stock: SheetStock
    ) -> tuple[Stance, float, float] | None:
        best, least = None, (float("inf"), 0.0)
        for stance in self._stances(part, stock):
            width, height = stance.size_mm
            for room in free:
                if (
                    width <= room[2] - room[0] + SLACK_MM
                    and height <= room[3] - room[1] + SLACK_MM
                    and (value := self._value(room, width, height)) < least
                ):
                    best, least = (stance, room[0], room[1]), value
        return best

    def _stances_on(self, part: int, stock: SheetStock) -> tuple[Stance, ...]:
        growth = self._task.spacing_mm(stock) / 2.0
        return box_stances(self._task.parts[part], growth)


def _without(free: list[Bounds], box: Bounds) -> list[Bounds]:
    """Return the maximal free rectangles that are left when a box is taken."""
    x0, y0, x1, y1 = box
    kept, cut = [], []
    for room in free:
        a0, b0, a1, b1 = room
        if x0 >= a1 - SLACK_MM or x1 <= a0 + SLACK_MM or y0 >= b1 - SLACK_MM or y1 <= b0 + SLACK_MM:
            kept.append(room)
            continue
        if x0 > a0 + SLACK_MM:
            cut.append((a0, b0, x0, b1))
        if x1 < a1 - SLACK_MM:
            cut.append((x1, b0, a1, b1))
        if y0 > b0 + SLACK_MM:
            cut.append((a0, b0, a1, y0))
        if y1 < b1 - SLACK_MM:
            cut.append((a0, y1, a1, b1))
    # only new pieces can lie inside another: in one that was kept or in each other
    fresh = [
        piece
        for index, piece in enumerate(cut)
        if not any(_within(piece, room) for room in kept)
        and not any(
            _within(piece, other) and (piece != other or index > place)
            for place, other in enumerate(cut)
            if place != index
        )
    ]
    return kept + fresh


def _within(inner: Bounds, outer: Bounds) -> bool:
    return (
        inner[0] >= outer[0]
        and inner[1] >= outer[1]
        and inner[2] <= outer[2]
        and inner[3] <= outer[3]
    )
