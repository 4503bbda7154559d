"""Toolpaths of a ring: its depths, the way in and out, what the cutter engages.

Terms: the *levels* of a ring are the depths at which it is run, from the top. A *slot* is what an
earlier step cleared along the wall. A *piece* is a part of a ring between two tabs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from core.geometry.leads import longest_gentle_place
from core.geometry.path import Path, joined
from core.library.records import Direction
from core.plan.entries import lead_off, nowhere, opened, ramp_along
from core.plan.records import Engaged, Entry, Toolpath

if TYPE_CHECKING:
    from core.plan.rings import Ring


@dataclass(frozen=True, slots=True)
class Slot:
    """What an earlier step left standing, and how far its slot reaches from the wall. [mm]."""

    standing_mm: float
    floor_mm: float
    reach_mm: float


@dataclass(frozen=True, slots=True)
class Level:
    """One depth of a step: number from the top, and where it begins and ends to cut. [mm]."""

    number: int
    top_mm: float
    bottom_mm: float


def depth_levels(top_mm: float, bottom_mm: float, deepest_mm: float) -> tuple[Level, ...]:
    """Return equal depth steps, from the top down.

    Parameters
    ----------
    top_mm, bottom_mm : float
        Where the cut begins and ends. [mm]
    deepest_mm : float
        Deepest single step; 0 for all at once. [mm]

    Examples
    --------
    >>> [level.bottom_mm for level in depth_levels(10.0, 0.5, 6.0)]
    [5.25, 0.5]
    """
    count = math.ceil((top_mm - bottom_mm) / deepest_mm - 1e-9) if deepest_mm > 0.0 else 1
    count = max(count, 1)
    drop = (top_mm - bottom_mm) / count
    edges = (*(top_mm - drop * k for k in range(count)), bottom_mm)
    return tuple(Level(k, edges[k], edges[k + 1]) for k in range(count))


def started(ring: Ring) -> Path:
    """Return a ring run in its step's direction from the gentlest place."""
    counter_clockwise = ring.inside == (ring.step.direction is Direction.CLIMB)
    path = ring.path if (ring.path.area_mm2 > 0.0) == counter_clockwise else ring.path.reversed()
    return path.with_start(longest_gentle_place(path))


def ring_toolpaths(
    ring: Ring, run: Path, level: Level, before: Slot | None
) -> tuple[Toolpath, ...]:
    """Return the trips round a ring at one depth: one, or a piece between each two tabs.

    None where an earlier step left nothing to cut.

    Parameters
    ----------
    ring : Ring
        The ring.
    run : Path
        Its line, as `started` gives it.
    level : Level
        The depth.
    before : Slot or None
        What the step before left; None where this step cuts fresh sheet.
    """
    bands = _bands(ring, level, before)
    if not bands:
        return ()
    whole = _trip(ring, run, level, before, bands)
    if not ring.step.tab_count or ring.is_clearing or not ring.work.is_through:
        return (whole,)
    # the cutter's own width eats into a tab from both sides
    gap = ring.step.tab_length_mm + ring.mounted.diameter_mm
    length = run.length_mm / ring.step.tab_count
    if length < 2.0 * gap:
        return (whole,)
    pieces = (
        run.cut(k * length + gap / 2.0, (k + 1) * length - gap / 2.0)
        for k in range(ring.step.tab_count)
    )
    return tuple(
        replace(whole, entry=nowhere(piece.points[0]), cut=piece, exit=nowhere(piece.points[-1]))
        for piece in pieces
    )


def _trip(
    ring: Ring, run: Path, level: Level, before: Slot | None, bands: tuple[Engaged, ...]
) -> Toolpath:
    side = -1 if ring.step.direction is Direction.CLIMB else 1
    entry, kind, entry_from, leave = _ways(ring, run, level, before, side)
    return Toolpath(
        drawing=ring.work.drawing,
        contour_id=ring.work.contour.id,
        step=replace(ring.step, name="clear") if ring.is_clearing else ring.step,
        level=level.number,
        mounted=ring.mounted,
        entry=entry,
        cut=opened(run),
        exit=leave,
        entry_kind=kind,
        entry_from_mm=entry_from,
        wall_side=side,
        wall_inside=ring.inside,
        bands=bands,
        z_top_mm=bands[0].z_top_mm,
        z_bottom_mm=level.bottom_mm,
        wall_stock_mm=ring.standing_mm,
        floor_stock_mm=max(level.bottom_mm, 0.0),
        flagged=ring.flagged,
        clearing=ring.is_clearing,
    )


def _ways(
    ring: Ring, run: Path, level: Level, before: Slot | None, side: int
) -> tuple[Path, Entry, float, Path]:
    """Return the way in, how it goes down, from which height, and the way out."""
    step, diameter = ring.step, ring.mounted.diameter_mm
    seam = run.cut(0.0, min(step.seam_overlap_mm, run.length_mm / 2.0))
    stock = before.standing_mm - ring.standing_mm if before else 0.0
    if stock <= 0.0 and ring.beside_mm <= 0.0:
        if before is not None:
            return nowhere(run.points[0]), Entry.PLUNGE, before.floor_mm, seam
        drop = level.top_mm - level.bottom_mm
        entry, kind = ramp_along(run, drop, step.ramp_angle_deg, diameter)
        return entry, kind, level.top_mm, seam
    lead = partial(
        lead_off,
        off_mm=stock if stock > 0.0 else ring.beside_mm,
        side=side,
        radius_mm=step.lead_radius_mm,
        wall=ring.wall,
        keep_mm=diameter / 2.0 + ring.standing_mm,
    )
    # beside a neighbour of the same depth there is nothing left to go down through
    entry_from = before.floor_mm if before is not None and stock > 0.0 else level.bottom_mm
    way_out = joined([seam, lead(seam, leaving=True)])
    return lead(opened(run), leaving=False), Entry.PLUNGE, entry_from, way_out


def _bands(ring: Ring, level: Level, before: Slot | None) -> tuple[Engaged, ...]:
    """Return what the cutter engages, from the top; what lies below the sheet is not counted."""
    diameter, bottom = ring.mounted.diameter_mm, max(level.bottom_mm, 0.0)
    fresh_width = ring.beside_mm or diameter
    if before is None:
        return (Engaged(level.top_mm, bottom, fresh_width),)
    stock = max(before.standing_mm - ring.standing_mm, 0.0)
    beyond = max(ring.standing_mm + diameter - before.reach_mm, 0.0)
    floor = max(before.floor_mm, bottom)
    bands = []
    if stock + beyond > 1e-9 and level.top_mm > floor:
        bands.append(Engaged(level.top_mm, floor, min(stock + beyond, diameter)))
    if floor > bottom:
        bands.append(Engaged(floor, bottom, min(fresh_width + stock, diameter)))
    return tuple(bands)
