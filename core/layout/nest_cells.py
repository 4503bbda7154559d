"""How a part may lie, as cells of a grid: what the nesting of true shapes computes with.

A part's *footprint* is its outline grown by half the spacing; where footprints do not share a
cell, the spacing is kept. The footprint covers every cell that it touches, however little, and
never fewer. A *stance* is one turn of a part with its cells as rectangles and as one big integer:
bit x * (rows + 1) + y is the cell in column x and row y, the spare row keeps columns apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.layout.nest_records import Part, Turns, moved

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    Cells = NDArray[np.bool_]

CellRect = tuple[int, int, int, int]
"""Column, row, width, height. [cells]."""

TOUCH = 1e-6
"""What reaches into a cell by less than this share of it does not count: the noise of floats."""

SHARPEST_MITRE = 2.0
"""Corners below 60 degrees get their point cut off at twice the growth, still outside of it."""


@dataclass(frozen=True, slots=True)
class Stance:
    """One way a part may lie.

    Parameters
    ----------
    turn_deg, mirrored : float, bool
        How it lies.
    size_mm : (float, float)
        Box of the grown part. [mm]
    origin_mm : (float, float)
        Where the drawing's origin lies from the low corner of that box. [mm]
    cell_origin_mm : (float, float)
        The same from the low corner of the cells, which are whole ones. [mm]
    cell_mm : float
        Side of a cell. [mm]
    columns, rows : int
        Size of the footprint. [cells]
    rects : tuple of CellRect
        The footprint as rectangles, the largest first.
    """

    turn_deg: float
    mirrored: bool
    size_mm: tuple[float, float]
    origin_mm: tuple[float, float]
    cell_origin_mm: tuple[float, float]
    cell_mm: float
    columns: int
    rows: int
    rects: tuple[CellRect, ...]

    @property
    def area(self) -> int:
        """Cells covered."""
        return sum(width * height for _, _, width, height in self.rects)

    def mask(self, step: int) -> int:
        """Return the footprint as one integer, for a grid with `step` bits a column."""
        mask = 0
        for x, y, width, height in self.rects:
            mask |= repeated(((1 << height) - 1) << y, width, step) << (x * step)
        return mask


def repeated(column: int, times: int, step: int) -> int:
    """Return a column's bits `times` times beside each other."""
    done, bits = 1, column
    while 2 * done <= times:
        bits |= bits << (done * step)
        done *= 2
    return bits | bits << ((times - done) * step) if times > done else bits


def stances(part: Part, growth_mm: float, cell_mm: float, in_holes: bool) -> tuple[Stance, ...]:
    """Return every different way a part may lie.

    Parameters
    ----------
    part : Part
        The part.
    growth_mm : float
        Half the spacing. [mm]
    cell_mm : float
        Side of a cell. [mm]
    in_holes : bool
        Whether its holes are free for others.
    """
    grown = shapely.buffer(
        part.shape if in_holes else part.solid,
        growth_mm + part.chord_error_mm,
        join_style="mitre",
        mitre_limit=SHARPEST_MITRE,
    )
    return _every(part, grown, partial(_as_drawn, cell_mm=cell_mm))


def box_stances(part: Part, growth_mm: float) -> tuple[Stance, ...]:
    """Return every way a part may lie whose box differs; the box is one cell.

    Parameters
    ----------
    part : Part
        The part.
    growth_mm : float
        Half the spacing. [mm]
    """
    return _every(part, part.solid, partial(_as_box, growth_mm=growth_mm + part.chord_error_mm))


def _every(
    part: Part,
    shape: shapely.Polygon,
    made: Callable[[shapely.Polygon, float, bool], Stance],
) -> tuple[Stance, ...]:
    found: dict[tuple[float, ...], Stance] = {}
    for mirrored in (False, True) if part.may_mirror else (False,):
        for base_deg in _bases(part):
            lying = moved(shape, base_deg, mirrored, (0.0, 0.0))
            for stance in _quarter_turns(made(lying, base_deg, mirrored), part.turns):
                # of two that cover the same cells one is enough
                size = (round(side, 6) for side in stance.size_mm)
                key = (*size, stance.columns, stance.mask(stance.rows + 1))
                found.setdefault(key, stance)
    return tuple(found.values())


def _bases(part: Part) -> tuple[float, ...]:
    """Return the turns that the quarter turns start from."""
    if part.turns is not Turns.FREE:
        return (0.0,)
    # the turn that lays the smallest box around the part square to the sheet
    box = shapely.minimum_rotated_rectangle(part.solid)
    (x0, y0), (x1, y1) = box.exterior.coords[:2]
    square = -math.degrees(math.atan2(y1 - y0, x1 - x0)) % 90.0
    return (0.0, 45.0) if min(square, 90.0 - square) < 1e-6 else (0.0, square, 45.0)


def _as_drawn(lying: shapely.Polygon, turn_deg: float, mirrored: bool, cell_mm: float) -> Stance:
    x0, y0, x1, y1 = lying.bounds
    width, height = x1 - x0, y1 - y0
    if lying.area >= width * height * (1.0 - TOUCH):
        columns, rows = _cells_of(width, height, cell_mm)
        rects: tuple[CellRect, ...] = ((0, 0, columns, rows),)
    else:
        rings = (np.asarray(r.coords) - (x0, y0) for r in (lying.exterior, *lying.interiors))
        cells = covered(tuple(rings), cell_mm)
        (columns, rows), rects = cells.shape, _rectangles(cells)
    return Stance(
        turn_deg=turn_deg,
        mirrored=mirrored,
        size_mm=(width, height),
        origin_mm=(-x0, -y0),
        cell_origin_mm=(-x0, -y0),
        cell_mm=cell_mm,
        columns=columns,
        rows=rows,
        rects=rects,
    )


def _as_box(lying: shapely.Polygon, turn_deg: float, mirrored: bool, growth_mm: float) -> Stance:
    x0, y0, x1, y1 = lying.bounds
    size = x1 - x0 + 2.0 * growth_mm, y1 - y0 + 2.0 * growth_mm
    origin = growth_mm - x0, growth_mm - y0
    return Stance(turn_deg, mirrored, size, origin, origin, max(size), 1, 1, ((0, 0, 1, 1),))


def _cells_of(width_mm: float, height_mm: float, cell_mm: float) -> tuple[int, int]:
    columns, rows = (math.ceil(side / cell_mm - TOUCH) for side in (width_mm, height_mm))
    return max(1, columns), max(1, rows)


_QUARTERS = {Turns.NONE: (0,), Turns.HALF: (0, 2)}


def _quarter_turns(stance: Stance, turns: Turns) -> Iterator[Stance]:
    for quarter in range(4):
        if quarter in _QUARTERS.get(turns, (0, 1, 2, 3)):
            yield stance
        stance = _turned_left(stance)


def _turned_left(stance: Stance) -> Stance:
    """Return the stance after a quarter turn to the left: (x, y) goes to (height - y, x)."""
    x, y = stance.origin_mm
    cell_x, cell_y = stance.cell_origin_mm
    return replace(
        stance,
        turn_deg=(stance.turn_deg + 90.0) % 360.0,
        size_mm=stance.size_mm[::-1],
        origin_mm=(stance.size_mm[1] - y, x),
        cell_origin_mm=(stance.rows * stance.cell_mm - cell_y, cell_x),
        columns=stance.rows,
        rows=stance.columns,
        rects=tuple((stance.rows - y - h, x, h, w) for x, y, w, h in stance.rects),
    )


def covered(rings_mm: tuple[NDArray[np.float64], ...], cell_mm: float) -> Cells:
    """Return which cells a polygon touches.

    Parameters
    ----------
    rings_mm : tuple of array of shape (n, 2)
        Outline and holes; each ends where it begins, and the box starts at the origin. [mm]
    cell_mm : float
        Side of a cell. [mm]

    Returns
    -------
    array of bool, shape (columns, rows)
    """
    width, height = rings_mm[0].max(axis=0).tolist()
    columns, rows = _cells_of(width, height, cell_mm)
    start = np.vstack([ring[:-1] for ring in rings_mm]) / cell_mm
    end = np.vstack([ring[1:] for ring in rings_mm]) / cell_mm
    return _touched(start, end, columns, rows) | _inside(start, end, columns, rows)


def _touched(
    start: NDArray[np.float64], end: NDArray[np.float64], columns: int, rows: int
) -> Cells:
    """Return the cells that edges run through, column by column."""
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    first = np.clip(np.floor(low + TOUCH), 0, columns - 1).astype(np.intp)
    last = np.clip(np.ceil(high - TOUCH) - 1, 0, columns - 1).astype(np.intp)
    count = np.maximum(last - first + 1, 0)
    edge = np.repeat(np.arange(len(start)), count)
    column = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge]
    run = end[edge, 0] - start[edge, 0]
    slope = np.divide(
        end[edge, 1] - start[edge, 1], run, out=np.zeros(len(edge)), where=np.abs(run) > TOUCH
    )
    upright = np.abs(run) <= TOUCH
    ends = [
        np.where(
            upright,
            y,
            start[edge, 1]
            + slope * (np.clip(column + side, low[edge], high[edge]) - start[edge, 0]),
        )
        for side, y in ((0.0, start[edge, 1]), (1.0, end[edge, 1]))
    ]
    bottom = np.clip(np.floor(np.minimum(*ends) + TOUCH), 0, rows - 1).astype(np.intp)
    top = np.clip(np.ceil(np.maximum(*ends) - TOUCH) - 1, 0, rows - 1).astype(np.intp)
    marks = np.zeros((columns, rows + 1), dtype=np.int32)
    run_up = top >= bottom
    np.add.at(marks, (column[run_up], bottom[run_up]), 1)
    np.add.at(marks, (column[run_up], top[run_up] + 1), -1)
    return np.cumsum(marks, axis=1)[:, :rows] > 0


def _inside(start: NDArray[np.float64], end: NDArray[np.float64], columns: int, rows: int) -> Cells:
    """Return the cells whose middle lies inside, by the even-odd rule."""
    low, high = np.minimum(start[:, 0], end[:, 0]), np.maximum(start[:, 0], end[:, 0])
    first = np.maximum(np.ceil(low - 0.5), 0).astype(np.intp)
    last = np.minimum(np.ceil(high - 0.5) - 1, columns - 1).astype(np.intp)
    count = np.maximum(last - first + 1, 0)
    edge = np.repeat(np.arange(len(start)), count)
    column = np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count) + first[edge]
    share = (column + 0.5 - start[edge, 0]) / (end[edge, 0] - start[edge, 0])
    crossing = start[edge, 1] + share * (end[edge, 1] - start[edge, 1])
    row = np.clip(np.ceil(crossing - 0.5), 0, rows).astype(np.intp)
    marks = np.zeros((columns, rows + 1), dtype=np.int32)
    np.add.at(marks, (column, row), 1)
    odd: Cells = np.cumsum(marks, axis=1)[:, :rows] % 2 == 1
    return odd


def _rectangles(cells: Cells) -> tuple[CellRect, ...]:
    """Return rectangles that cover the cells exactly: runs of equal columns, run by run."""
    new = np.flatnonzero(np.any(cells[1:] != cells[:-1], axis=1)) + 1
    begins = [0, *new.tolist()]
    rects = []
    for x, after in zip(begins, [*begins[1:], len(cells)], strict=True):
        edges = np.flatnonzero(np.diff(cells[x].astype(np.int8), prepend=0, append=0))
        for bottom, top in edges.reshape(-1, 2).tolist():
            rects.append((x, bottom, after - x, top - bottom))
    return tuple(sorted(rects, key=lambda r: -r[2] * r[3]))
