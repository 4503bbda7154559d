"""The map: spindle speed against chip load, with what binds in every cell.

Colour is the worst margin, the zero line what still works; outside the maker's chip-load range the
map is hatched. It holds for a warm cutter on the gentlest stretch of a pass, or in a straight slot;
stops and corners are in the report of the pass.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.advice.map_margins import Margin, margins, reached_mm
from core.plan.feeds import chip_load_range

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.advice.map_cut import MapCut
    from core.cutting.values import Array

CELLS = 200
"""Spindle speeds and chip loads of a map."""

SPEED_ABOVE, FEED_ABOVE, FEED_BELOW = 1.05, 1.5, 0.4
"""How far the map reaches beyond what spindle and maker allow, so that the limits are on it."""


@dataclass(frozen=True, eq=False, slots=True)
class SettingsMap:
    """Margins over k spindle speeds and m chip loads.

    Parameters
    ----------
    spindle_speed_rpm, feed_per_tooth_mm : array of shape (k,), (m,)
        The axes. [rpm], [mm]
    margins : tuple of Margin
        Every limit.
    worst_ratio : array of shape (k, m)
        The least margin in each cell.
    binding : int array of shape (k, m)
        Which of `margins` that is.
    hatched : bool array of shape (k, m)
        Where the chip load is above the maker's range, or what is reached below it.
    maker_low_mm, maker_high_mm : float
        The maker's range. [mm]
    from_maker : bool
        False where the maker gives none for this material: the range then is an estimate.
    """

    spindle_speed_rpm: NDArray[np.float64]
    feed_per_tooth_mm: NDArray[np.float64]
    margins: tuple[Margin, ...]
    worst_ratio: NDArray[np.float64]
    binding: NDArray[np.int8]
    hatched: NDArray[np.bool_]
    maker_low_mm: float
    maker_high_mm: float
    from_maker: bool

    def cell(self, spindle_speed_rpm: float, feed_per_tooth_mm: float) -> tuple[int, int]:
        """Return the cell nearest to a setting."""
        row = int(np.abs(self.spindle_speed_rpm - spindle_speed_rpm).argmin())
        return row, int(np.abs(self.feed_per_tooth_mm - feed_per_tooth_mm).argmin())

    def binding_label(self, row: int, column: int) -> str:
        """Return the words of the limit that binds in a cell."""
        return self.margins[int(self.binding[row, column])].label


def settings_map(
    cut: MapCut,
    speed_rpm: NDArray[np.float64] | None = None,
    feed_mm: NDArray[np.float64] | None = None,
) -> SettingsMap:
    """Return the map of a cut.

    Parameters
    ----------
    cut : MapCut
        The cut.
    speed_rpm, feed_mm : array or None
        The axes, rising; what machine and maker allow, and a little beyond, if left out.
        [rpm], [mm]

    Notes
    -----
    200 x 200 cells take about 4 ms (tests/benchmarks/test_map_speed.py).
    """
    loads, from_maker = chip_load_range(cut.mounted, cut.chosen.material.key)
    if speed_rpm is None:
        speed_rpm = _speeds_rpm(cut)
    if feed_mm is None:
        feed_mm = np.linspace(FEED_BELOW * loads.low_mm, FEED_ABOVE * loads.high_mm, CELLS)
    column, row = speed_rpm[:, None], feed_mm[None, :]
    found = tuple(margins(cut, column, row))
    worst, binding = _worst(found, len(speed_rpm), len(feed_mm))
    reached = reached_mm(cut, column, row)
    hatched = np.broadcast_to((reached < loads.low_mm) | (row > loads.high_mm), worst.shape)
    return SettingsMap(
        speed_rpm,
        feed_mm,
        found,
        worst,
        binding,
        hatched,
        loads.low_mm,
        loads.high_mm,
        from_maker,
    )


def _speeds_rpm(cut: MapCut) -> NDArray[np.float64]:
    machine, mounted = cut.chosen.machine, cut.mounted
    most = max(machine.highest_spindle_speed_rpm, mounted.cutter.highest_spindle_speed_rpm)
    least = max(machine.lowest_spindle_speed_rpm / SPEED_ABOVE, 1.0)
    return np.linspace(least, most * SPEED_ABOVE, CELLS)


def _worst(found: tuple[Margin, ...], rows: int, columns: int) -> tuple[Array, NDArray[np.int8]]:
    """Return the least margin of each cell and whose it is; edges are compared before tables."""
    edges = {(rows, 1), (1, columns)}
    kept: dict[tuple[int, ...], tuple[Array, NDArray[np.int8]]] = {}
    for number, one in enumerate(found):
        shape = one.margin_ratio.shape if one.margin_ratio.shape in edges else (rows, columns)
        before = kept.get(shape)
        if before is None:
            kept[shape] = np.broadcast_to(one.margin_ratio, shape), np.full(shape, number, np.int8)
        else:
            kept[shape] = _lesser(before, one.margin_ratio, np.int8(number))
    worst, binding = np.full((rows, columns), np.inf), np.zeros((rows, columns), np.int8)
    for margin, whose in kept.values():
        worst, binding = _lesser((worst, binding), margin, whose)
    return worst, binding


def _lesser(
    before: tuple[Array, NDArray[np.int8]], margin: Array, whose: np.int8 | NDArray[np.int8]
) -> tuple[Array, NDArray[np.int8]]:
    return np.minimum(before[0], margin), np.where(margin < before[0], whose, before[1])
