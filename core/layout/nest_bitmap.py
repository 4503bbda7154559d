"""Nesting of true shapes: the leftmost, then lowest place, on a grid in one big integer a sheet.

The free cells of a sheet are one integer (see `nest_cells`). A rectangle of w x h cells fits where
h cells in a column and w columns beside each other are free: the integer and itself, shifted, with
the shift doubled each time. A footprint fits where all its rectangles do. One operation looks at
all places of the sheet at once, so there is nothing to search.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from core.layout.nest_cells import repeated, stances
from core.layout.nest_fill import Filled, stance_place

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.layout.nest_cells import Stance
    from core.layout.nest_records import Bounds, NestTask
    from core.layout.records import PlacedPart
    from core.library.records import SheetStock


@dataclass(frozen=True, slots=True)
class Grid:
    """The empty sheet: cells, bits a column, and the integer in which every free cell is a 1."""

    cell_mm: float
    corner_mm: float
    columns: int
    rows: int
    free: int

    @property
    def step(self) -> int:
        """Bits a column: one more than it has rows."""
        return self.rows + 1


class BitmapFiller:
    """Fills sheets by true shape.

    Parameters
    ----------
    task : NestTask
        What is nested.
    cells : int
        How many cells a sheet is divided into.
    """

    def __init__(self, task: NestTask, cells: int) -> None:
        self._task = task
        self._cells = cells
        self._grids = lru_cache(maxsize=None)(self._grid)
        self._stances = lru_cache(maxsize=None)(self._stances_on)
        self._masks = lru_cache(maxsize=None)(lambda stance, step: stance.mask(step))
        self.name = f"true shapes on {cells // 1000} thousand cells"

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
        grid = self._grids(stock)
        room = _Room(grid.free, grid.step)
        for outline in map(self._task.outline, fixed):
            room.take(_blocked(grid, self._grown(stock, outline.bounds)))
        filled = Filled()
        full: set[int] = set()
        for part, count in order:
            if part in full:
                continue
            for _ in range(count):
                place = self._best(grid, stock, part, room)
                if place is None:
                    full.add(part)
                    break
                stance, bit = place
                room.take(self._masks(stance, grid.step) << bit)
                x, y = divmod(bit, grid.step)
                at = grid.corner_mm + x * grid.cell_mm, grid.corner_mm + y * grid.cell_mm
                filled.add(part, stance_place(self._task.parts[part], stance, at, on_cells=True))
        return filled

    def _best(
        self, grid: Grid, stock: SheetStock, part: int, room: _Room
    ) -> tuple[Stance, int] | None:
        best, where = None, (grid.columns + 1, 0)
        for stance in self._stances(part, stock):
            fits = room.places(stance)
            if fits:
                bit = (fits & -fits).bit_length() - 1
                x, y = divmod(bit, grid.step)
                corner = x + stance.columns, y + stance.rows
                if corner < where:
                    best, where = (stance, bit), corner
        return best

    def _grid(self, stock: SheetStock) -> Grid:
        width, height = stock.size_mm
        cell = (width * height / self._cells) ** 0.5
        # the growth of a footprint may reach over the margin: there is no neighbour
        corner = self._task.margin_mm(stock) - self._task.spacing_mm(stock) / 2.0
        columns, rows = int((width - 2 * corner) / cell), int((height - 2 * corner) / cell)
        grid = Grid(cell, corner, columns, rows, repeated((1 << rows) - 1, columns, rows + 1))
        free = grid.free
        for zone in self._task.zones_mm:
            free &= ~_blocked(grid, self._grown(stock, zone))
        return Grid(cell, corner, columns, rows, free)

    def _grown(self, stock: SheetStock, zone: Bounds) -> Bounds:
        growth = self._task.spacing_mm(stock) / 2.0
        x0, y0, x1, y1 = zone
        return x0 - growth, y0 - growth, x1 + growth, y1 + growth

    def _stances_on(self, part: int, stock: SheetStock) -> tuple[Stance, ...]:
        grid = self._grids(stock)
        growth = self._task.spacing_mm(stock) / 2.0
        found = stances(self._task.parts[part], growth, grid.cell_mm, self._task.in_holes)
        return tuple(s for s in found if s.columns <= grid.columns and s.rows <= grid.rows)


def _blocked(grid: Grid, zone: Bounds) -> int:
    """Return the cells that a zone touches."""
    low = [int((side - grid.corner_mm) // grid.cell_mm) for side in zone[:2]]
    high = [int(-((grid.corner_mm - side) // grid.cell_mm)) for side in zone[2:]]
    x0, x1 = max(low[0], 0), min(high[0], grid.columns)
    y0, y1 = max(low[1], 0), min(high[1], grid.rows)
    if x1 <= x0 or y1 <= y0:
        return 0
    return repeated(((1 << (y1 - y0)) - 1) << y0, x1 - x0, grid.step) << (x0 * grid.step)


class _Room:
    """The free cells of a sheet, and where columns of so many cells are free."""

    def __init__(self, free: int, step: int) -> None:
        self._free, self._step = free, step
        self._upright: dict[int, int] = {}

    def places(self, stance: Stance) -> int:
        """Return where the low corner of a footprint can lie, as an integer of cells."""
        places = -1
        for x, y, width, height in stance.rects:
            if height not in self._upright:
                self._upright[height] = _worn(self._free, height, 1)
            places &= _worn(self._upright[height], width, self._step) >> (x * self._step + y)
            if not places:
                return 0
        return places

    def take(self, cells: int) -> None:
        """Take cells away."""
        self._free &= ~cells
        self._upright.clear()


def _worn(bits: int, length: int, step: int) -> int:
    """Return where `length` bits, `step` apart, are all set."""
    done = 1
    while 2 * done <= length:
        bits &= bits >> (done * step)
        done *= 2
    return bits & bits >> ((length - done) * step) if length > done else bits
