"""A path as blocks of a program: lines and arcs whose ends and centres lie on the grid.

An arc's centre is found anew from its ends as they are written and from its bulge, so that the arc
of the text keeps the height of the arc that is meant, and its radius agrees at both ends to the
last digit. What is too small, too flat or too large to be an arc becomes lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import points_on
from core.library.nc_records import ArcStyle, LongestArc

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.geometry.path import Path
    from core.handover.nc_grid import Grid, Steps

LEAST_RADIUS_STEPS = 10.0
"""Smaller arcs are written as lines: their centre has too few digits."""

LEAST_HEIGHT_STEPS = 0.5
"""Arcs that rise less above their chord are lines on this grid."""


@dataclass(frozen=True, slots=True)
class Block:
    """A line, or an arc where there is a centre.

    Parameters
    ----------
    end, centre : (int, int)
        On the grid. [steps]
    sweep_rad : float
        Turn of an arc, left positive. [rad]
    share : float
        Share of the path's length that is passed at its end.
    """

    end: Steps
    centre: Steps | None
    sweep_rad: float
    share: float


def blocks(path: Path, grid: Grid, *, arcs: bool = True) -> list[Block]:
    """Return an open path as blocks.

    Parameters
    ----------
    path : Path
        The way. [mm]
    grid : Grid
        Digits, and what the control takes as an arc.
    arcs : bool
        False: everything as lines.
    """
    out: list[Block] = []
    here = grid.place(*path.points[0])
    for end_mm, bulge, share in _pieces(path, grid, arcs):
        end = grid.place(*end_mm)
        if end != here:
            out.append(_block(here, end, bulge, share))
            here = end
    return _whole(out) if grid.nc.longest_arc is LongestArc.WHOLE else out


Piece = tuple[tuple[float, float], float, float]


def _pieces(path: Path, grid: Grid, arcs: bool) -> Iterator[Piece]:
    """Yield (end, bulge, share of the way) of lines and of arcs as long as the control takes."""
    segments, ends = path.segments, path.ends_mm
    total = ends[-1] if ends[-1] > 0.0 else 1.0
    for k in range(len(segments)):
        cuts, bulged = np.array([1.0]), False
        if segments.is_arc[k]:
            cuts, bulged = _cuts(path, k, grid, arcs)
        points = points_on(segments, np.full(len(cuts), k), cuts)
        before = 0.0
        for point, cut in zip(points, cuts, strict=True):
            bulge = math.tan(segments.sweep_rad[k] * (cut - before) / 4.0) if bulged else 0.0
            share = (ends[k] + cut * (ends[k + 1] - ends[k])) / total
            yield (float(point[0]), float(point[1])), bulge, float(share)
            before = cut


def _cuts(path: Path, k: int, grid: Grid, arcs: bool) -> tuple[np.ndarray, bool]:
    """Return the shares at which an arc is cut, and whether its pieces stay arcs."""
    radius, sweep = float(path.segments.radius_mm[k]), float(path.segments.sweep_rad[k])
    large = radius > grid.nc.largest_radius_mm
    if arcs and not large and radius >= LEAST_RADIUS_STEPS * grid.step_mm:
        # a radius alone says little about the centre of half a turn
        quarters = grid.nc.longest_arc is LongestArc.QUARTER or grid.nc.arc_style is ArcStyle.RADIUS
        return (_quadrants(path, k) if quarters else np.array([1.0])), True
    height = min(grid.nc.chord_error_mm / radius, 1.0)
    count = max(math.ceil(abs(sweep) / (2.0 * math.acos(1.0 - height))), 1)
    return np.arange(1, count + 1) / count, False


def _quadrants(path: Path, k: int) -> np.ndarray:
    """Return the shares of an arc at which it crosses from one quadrant into the next, and 1."""
    segments, quarter = path.segments, math.pi / 2.0
    dx, dy = segments.start[k] - segments.centre_mm[k]
    begin, sweep = math.atan2(dy, dx), float(segments.sweep_rad[k])
    low, high = sorted((begin, begin + sweep))
    angles = np.arange(math.ceil(low / quarter), math.floor(high / quarter) + 1) * quarter
    shares = np.sort((angles - begin) / sweep)
    return np.append(shares[(shares > 1e-6) & (shares < 1.0 - 1e-6)], 1.0)


def _block(here: Steps, end: Steps, bulge: float, share: float) -> Block:
    dx, dy = end[0] - here[0], end[1] - here[1]
    if abs(bulge) * math.hypot(dx, dy) / 2.0 < LEAST_HEIGHT_STEPS:
        return Block(end, None, 0.0, share)
    aside = (1.0 - bulge**2) / (4.0 * bulge)
    centre = (
        round((here[0] + end[0]) / 2.0 - dy * aside),
        round((here[1] + end[1]) / 2.0 + dx * aside),
    )
    return Block(end, centre, 4.0 * math.atan(bulge), share)


def _whole(pieces: list[Block]) -> list[Block]:
    """Return blocks with arcs about one centre drawn together, up to a whole turn."""
    out: list[Block] = []
    for block in pieces:
        last = out[-1] if out else None
        if last is not None and _one_arc(last, block):
            whole = last.sweep_rad + block.sweep_rad
            out[-1] = replace(last, end=block.end, sweep_rad=whole, share=block.share)
        else:
            out.append(block)
    return out


def _one_arc(one: Block, other: Block) -> bool:
    if one.centre is None or other.centre is None:
        return False
    near = max(abs(one.centre[i] - other.centre[i]) for i in (0, 1)) <= 1
    same_way = (one.sweep_rad > 0.0) == (other.sweep_rad > 0.0)
    return near and same_way and abs(one.sweep_rad + other.sweep_rad) < 2.0 * math.pi + 1e-6
