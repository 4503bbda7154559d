"""Changes worth trying for a limit: which they are, never whether they help; that is computed."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from core.advice import edits
from core.advice.on_the_shelf import (
    end_mills,
    makes_the_wall_with,
    other_cutters,
    other_recipes,
    usable,
)
from core.cutting.skin import needed_skin_mm
from core.job import Air
from core.plan.feeds import chip_load_range
from core.report.columns import TIGHT_BELOW

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from core.advice.records import Edit
    from core.advice.target import Target

    Candidates = Callable[[Target], Iterator[Edit]]

SPEED_SHARES = (0.85, 0.7, 0.55, 0.4, 0.3)
"""Slower spindle speeds tried, as shares of the speed now."""

SPEED_STEP_RPM = 100.0
"""Spindle speeds are rounded to this; the machine's lowest speed and the house's limits are not."""

DEPTH_SHARES = (0.75, 0.5, 0.34)
"""Depths of a roughing pass tried, as shares of the depth now."""

STOCK_FACTORS = (1.5, 2.0)
"""Stocks on the wall tried, as multiples of the stock now."""


def candidates(target: Target) -> Iterator[Edit]:
    """Yield the changes that are worth trying for a limit, likely ones first."""
    for change in BY_LIMIT.get(target.limit.name, ()):
        yield from change(target)


def slower_spindle(target: Target) -> Iterator[Edit]:
    """Yield slower spindle speeds here: the one that the feed reached asks for among them."""
    for rpm in speeds_to_try_rpm(target):
        yield edits.spindle_here(target.alike, rpm)


def speeds_to_try_rpm(target: Target) -> tuple[float, ...]:
    """Return the slower spindle speeds that are tried, the fastest first. [rpm]."""
    one, machine = target.one, target.results.chosen.machine
    now, low = one.spindle_speed_rpm, machine.lowest_spindle_speed_rpm
    follows = (
        target.reached_mm_s * 60.0 / (target.mounted.cutter.tooth_count * one.feed_per_tooth_mm)
    )
    wanted = [follows, *(share * now for share in SPEED_SHARES)]
    rounded = {max(SPEED_STEP_RPM * round(rpm / SPEED_STEP_RPM), low) for rpm in wanted} | {low}
    return tuple(sorted((rpm for rpm in rounded if low <= rpm < now), reverse=True))


def _allowed_speed(target: Target) -> Iterator[Edit]:
    """Yield the speed at the limit itself, and one clear of it where it is a lowest speed."""
    for rpm in (target.limit.limit, _clear_of(target.limit.limit)):
        yield edits.spindle_here(target.alike, rpm)
        yield edits.spindle_everywhere(rpm)


def _clear_of(lowest_rpm: float) -> float:
    """Return the speed from which a lowest speed is no longer near."""
    return math.ceil(lowest_rpm / (1.0 - TIGHT_BELOW) / SPEED_STEP_RPM) * SPEED_STEP_RPM


def _base_speed(target: Target) -> Iterator[Edit]:
    """Yield the speed from which the spindle has its whole power."""
    machine = target.results.chosen.machine
    if target.one.spindle_speed_rpm < machine.spindle_base_speed_rpm:
        yield edits.spindle_here(target.alike, machine.spindle_base_speed_rpm)


def _fresh_edge(target: Target) -> Iterator[Edit]:
    if target.mounted.metres_cut > 0.0:
        yield edits.fresh_edge(target.mounted)


def _air(target: Target) -> Iterator[Edit]:
    if target.results.job.air is Air.NONE:
        yield edits.air(Air.SUCTION)
    if target.results.job.air is not Air.BLAST:
        yield edits.air(Air.BLAST)


def _corners(target: Target) -> Iterator[Edit]:
    if not target.results.job.mitred_corners:
        yield edits.mitred_corners()


def _cutters(target: Target) -> Iterator[Edit]:
    # a drill follows from its hole, and there is one V cutter
    for mounted in other_cutters(target) if target.one.toolpath.is_milled else ():
        yield edits.cutter(target.role, mounted)


def _longer_cutters(target: Target) -> Iterator[Edit]:
    for mounted in end_mills(target.shelf) if target.one.toolpath.is_milled else ():
        if mounted.cutter.flute_length_mm >= target.limit.actual:
            yield edits.cutter(target.role, mounted)


def _depths(target: Target) -> Iterator[Edit]:
    """Yield shallower passes, where the pass is one of several depths or could be."""
    path = target.one.toolpath
    if path.step.depth_times_diameter > 0.0:
        now = path.axial_depth_mm / target.mounted.diameter_mm
        for share in DEPTH_SHARES:
            yield edits.depth(round(share * now, 2))


def _higher_chip_load(target: Target) -> Iterator[Edit]:
    """Yield chip loads above the present one, up to the maker's top."""
    loads, _ = chip_load_range(target.mounted, target.results.chosen.material.key)
    now = target.one.feed_per_tooth_mm
    for load in (loads.middle_mm, loads.high_mm):
        if load > now * 1.001:
            yield edits.chip_load(round(load, 4))


def _lower_chip_load(target: Target) -> Iterator[Edit]:
    """Yield chip loads below the present one, down to the maker's bottom."""
    loads, _ = chip_load_range(target.mounted, target.results.chosen.material.key)
    now = target.one.feed_per_tooth_mm
    for load in (loads.high_mm, loads.middle_mm, loads.low_mm):
        if load < now * 0.999:
            yield edits.chip_load(round(load, 4))


def _recipes_here(target: Target) -> Iterator[Edit]:
    """Yield other recipes; none that gives up the finishing cutter for the wall."""
    now = target.results.chosen.cutting.recipe
    for recipe in other_recipes(target.shelf, now):
        if makes_the_wall_with(recipe) == makes_the_wall_with(now):
            yield edits.recipe_here(target.alike, recipe)


def _each_recipe_here(target: Target) -> Iterator[Edit]:
    """Yield the same as ways of their own: a shop prefers tabs or a skin for its own reasons."""
    for edit in _recipes_here(target):
        yield replace(edit, kind=edit.name)


def _more_wall_stock(target: Target) -> Iterator[Edit]:
    stocks = [s.wall_stock_mm for s in target.results.chosen.cutting.recipe.steps]
    most = max(stocks)
    for factor in STOCK_FACTORS if most > 0.0 else ():
        yield edits.wall_stock(round(factor * most, 2))


def _needed_floor(target: Target) -> Iterator[Edit]:
    machine = target.results.chosen.machine
    yield edits.floor_stock(needed_skin_mm(machine.bed_flatness_mm, machine.depth_error_mm))


def _thinner_floor(target: Target) -> Iterator[Edit]:
    """Yield the thinnest skin that bed and depth errors allow: less to shear when it parts."""
    machine = target.results.chosen.machine
    needed = needed_skin_mm(machine.bed_flatness_mm, machine.depth_error_mm)
    floors = [s.floor_stock_mm for s in target.results.chosen.cutting.recipe.steps]
    if max(floors) > needed:
        yield edits.floor_stock(needed)


def _holders(target: Target) -> Iterator[Edit]:
    now = target.mounted.holder
    for holder in usable(target.shelf, "holder"):
        if holder.balanced_speed_rpm > now.balanced_speed_rpm:
            yield edits.holder(holder)


def _machines(target: Target) -> Iterator[Edit]:
    for machine in usable(target.shelf, "machine"):
        if machine.key != target.results.chosen.machine.key:
            yield edits.machine(machine)


BY_LIMIT: dict[str, tuple[Candidates, ...]] = {
    "heat": (
        *(slower_spindle, _fresh_edge, _air, _corners, _cutters, _depths),
        *(_higher_chip_load, _recipes_here, _machines),
    ),
    "rubbing": (slower_spindle, _cutters, _higher_chip_load, _more_wall_stock, _machines),
    "chip_load_low": (slower_spindle, _cutters, _higher_chip_load, _machines),
    "chip_load_high": (_lower_chip_load, _cutters),
    "spindle_power": (
        *(_base_speed, _depths, slower_spindle, _lower_chip_load, _cutters, _machines),
    ),
    "cutting_length": (_longer_cutters,),
    "chip_packing": (_lower_chip_load, _cutters),
    "floor_skin": (_needed_floor, _machines),
    "bending": (_depths, _cutters, _more_wall_stock, _lower_chip_load, _machines),
    "hold_down": (_each_recipe_here, _thinner_floor, _lower_chip_load, _cutters, _machines),
    "balance": (_allowed_speed, _holders),
    "maker_speed": (_allowed_speed, _cutters),
    "spindle_high": (_allowed_speed, _machines),
    "spindle_low": (_allowed_speed, _machines),
}
"""What is tried for each limit; `chip_load_high` is met by a lower load, and so on."""
