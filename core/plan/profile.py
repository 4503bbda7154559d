"""Toolpaths round a contour: the rings of each step, their depths, entries and exits.

Terms: a *ring* is the closed path of the cutter's centre; its *levels* are the depths at which it
is run, from the top. A *slot* is what an earlier step cleared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from core.geometry.leads import longest_gentle_place
from core.geometry.path import Path, joined
from core.library.records import Direction
from core.plan.entries import lead_off, opened, ramp_along
from core.plan.records import Engaged, Entry, Toolpath

if TYPE_CHECKING:
    from core.library.records import MountedCutter, RecipeStep


@dataclass(frozen=True, slots=True)
class Slot:
    """What an earlier step left standing: its stock, and how far its slot reaches from the wall."""

    wall_stock_mm: float
    floor_stock_mm: float
    reach_mm: float


@dataclass(frozen=True, eq=False, slots=True)
class Ring:
    """One ring of one step, with what it is for."""

    drawing: int
    contour_id: int
    path: Path
    contour: Path
    step: RecipeStep
    mounted: MountedCutter
    inside: bool
    flagged: bool


def depth_levels(top_mm: float, bottom_mm: float, deepest_mm: float) -> tuple[float, ...]:
    """Return the bottoms of equal depth steps, from the top down.

    Parameters
    ----------
    top_mm, bottom_mm : float
        Where the cut begins and ends. [mm]
    deepest_mm : float
        Deepest single step; 0 for all at once. [mm]

    Examples
    --------
    >>> depth_levels(10.0, 0.5, 6.0)
    (5.25, 0.5)
    """
    count = math.ceil((top_mm - bottom_mm) / deepest_mm - 1e-9) if deepest_mm > 0.0 else 1
    count = max(count, 1)
    drop = (top_mm - bottom_mm) / count
    return (*(top_mm - drop * k for k in range(1, count)), bottom_mm)


def ring_toolpaths(
    ring: Ring,
    thickness_mm: float,
    overcut_mm: float,
    before: Slot | None,
    depth_times_diameter: float,
) -> tuple[Toolpath, ...]:
    """Return the trips round one ring, from the top down.

    Parameters
    ----------
    ring : Ring
        The cutter's centre line and what it is for.
    thickness_mm, overcut_mm : float
        Sheet, and how far a through cut goes into the board. [mm]
    before : Slot or None
        What the step before left; None where this step cuts fresh sheet.
    depth_times_diameter : float
        Deepest single trip in fresh sheet, as a multiple of the diameter; 0 for all at once.
    """
    step = ring.step
    run = _started(ring)
    bottom = step.floor_stock_mm if step.floor_stock_mm > 0.0 else -overcut_mm
    deepest = depth_times_diameter * ring.mounted.diameter_mm
    levels = depth_levels(thickness_mm, bottom, 0.0 if before else deepest)
    tops = (thickness_mm, *levels[:-1])
    return tuple(
        _toolpath(ring, run, number, top, low, before)
        for number, (top, low) in enumerate(zip(tops, levels, strict=True))
    )


def _started(ring: Ring) -> Path:
    """Return the ring run in the step's direction from the gentlest place."""
    counter_clockwise = ring.inside == (ring.step.direction is Direction.CLIMB)
    path = ring.path if (ring.path.area_mm2 > 0.0) == counter_clockwise else ring.path.reversed()
    return path.with_start(longest_gentle_place(path))


def _toolpath(
    ring: Ring, run: Path, level: int, top_mm: float, bottom_mm: float, before: Slot | None
) -> Toolpath:
    step, cutter = ring.step, ring.mounted
    side = -1 if step.direction is Direction.CLIMB else 1
    cut, seam = opened(run), run.cut(0.0, min(step.seam_overlap_mm, run.length_mm / 2.0))
    if before is None:
        entry_from = top_mm
        entry, kind = ramp_along(run, top_mm - bottom_mm, step.ramp_angle_deg, cutter.diameter_mm)
        leave = seam
    else:
        entry_from = before.floor_stock_mm
        off = before.wall_stock_mm - step.wall_stock_mm
        keep = cutter.diameter_mm / 2.0 + step.wall_stock_mm
        lead = partial(
            lead_off,
            off_mm=off,
            side=side,
            radius_mm=step.lead_radius_mm,
            wall=ring.contour,
            keep_mm=keep,
        )
        entry, leave = lead(cut, leaving=False), joined([seam, lead(seam, leaving=True)])
        kind = Entry.PLUNGE
    return Toolpath(
        drawing=ring.drawing,
        contour_id=ring.contour_id,
        step=step,
        level=level,
        mounted=cutter,
        entry=entry,
        cut=cut,
        exit=leave,
        entry_kind=kind,
        entry_from_mm=entry_from,
        wall_side=side,
        wall_inside=ring.inside,
        bands=_bands(ring, top_mm, max(bottom_mm, 0.0), before),
        z_top_mm=top_mm,
        z_bottom_mm=bottom_mm,
        wall_stock_mm=step.wall_stock_mm,
        floor_stock_mm=max(bottom_mm, 0.0),
        flagged=ring.flagged,
    )


def _bands(ring: Ring, top_mm: float, bottom_mm: float, before: Slot | None) -> tuple[Engaged, ...]:
    diameter = ring.mounted.diameter_mm
    if before is None:
        return (Engaged(top_mm, bottom_mm, diameter),)
    stock = before.wall_stock_mm - ring.step.wall_stock_mm
    fresh = max(ring.step.wall_stock_mm + diameter - before.reach_mm, 0.0)
    bands = [Engaged(top_mm, max(before.floor_stock_mm, bottom_mm), stock + fresh)]
    if before.floor_stock_mm > bottom_mm:
        bands.append(Engaged(before.floor_stock_mm, bottom_mm, diameter))
    return tuple(bands)
