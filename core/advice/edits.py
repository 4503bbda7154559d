"""Edits of a job: each is one undo step, named by what it does and the value that it sets."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any

from core.advice.records import Edit
from core.job import Air, ContourChoice, Job
from core.units import number, show

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from core.library.records import (
        Holder,
        Machine,
        Material,
        MountedCutter,
        Recipe,
        SheetStock,
    )

ContourKey = tuple[int, int]
"""Index of the drawing, id of the contour."""


Alike = tuple[ContourKey, ...]
"""Contours that are cut the same and are changed together."""


def _set(job: Job, changes: Mapping[str, Any]) -> Job:
    return replace(job, **changes)


def _setting(**changes: object) -> Callable[[Job], Job]:
    return partial(_set, changes=changes)


def _set_contours(job: Job, changes: Mapping[ContourKey, Mapping[str, Any]]) -> Job:
    """Return the job with something decided for some contours by hand, and the rest kept."""
    drawings = list(job.drawings)
    for drawing, file in enumerate(drawings):
        mine = {contour: change for (index, contour), change in changes.items() if index == drawing}
        chosen = {choice.contour_id: choice for choice in file.contours}
        for contour, change in mine.items():
            before = chosen.get(contour, ContourChoice(contour))
            chosen[contour] = replace(before, **change)
        if mine:
            in_order = tuple(chosen[contour] for contour in sorted(chosen))
            drawings[drawing] = replace(file, contours=in_order)
    return replace(job, drawings=tuple(drawings))


def _here(alike: Alike) -> str:
    return "here" if len(alike) == 1 else f"on these {len(alike)}"


def spindle_here(alike: Alike, rpm: float) -> Edit:
    """Return a spindle speed for a contour and those that are cut the same."""
    changes = {where: {"spindle_speed_rpm": rpm} for where in alike}
    name = f"Run the spindle at {show(rpm, 'rpm')} {_here(alike)}"
    return Edit("spindle", name, partial(_set_contours, changes=changes))


def spindle_per_contour(speeds_rpm: Mapping[ContourKey, float]) -> Edit:
    """Return spindle speeds for many contours at once."""
    changes = {where: {"spindle_speed_rpm": rpm} for where, rpm in speeds_rpm.items()}
    words = " and ".join(number(rpm) for rpm in sorted(set(speeds_rpm.values()), reverse=True))
    many = f"{len(speeds_rpm)} contours" if len(speeds_rpm) > 1 else "one contour"
    name = f"Let the spindle follow: {words} rpm on {many}"
    return Edit("spindle follows", name, partial(_set_contours, changes=changes))


def spindle_everywhere(rpm: float) -> Edit:
    """Return one spindle speed for the whole job."""
    change = _setting(spindle_speed_rpm=rpm)
    return Edit("spindle everywhere", f"Run the spindle at {show(rpm, 'rpm')}", change)


def chip_load(feed_mm: float) -> Edit:
    """Return one chip load for the whole job."""
    change = _setting(feed_per_tooth_mm=feed_mm)
    return Edit("chip load", f"Set the chip load to {show(feed_mm, 'mm')} everywhere", change)


def cutter(role: str, mounted: MountedCutter) -> Edit:
    """Return another mounted cutter in a role: "rough", "finish" or "hole"."""
    names = {"rough": "Rough with", "finish": "Finish with", "hole": "Cut holes with"}
    change = _setting(**{f"{role}_cutter": mounted.key})
    needs = f"tool {mounted.tool_number} in the rack"
    return Edit(f"{role} cutter", f"{names[role]} {mounted.name}", change, needs)


def fresh_edge(mounted: MountedCutter) -> Edit:
    """Return a fresh edge on a mounted cutter."""
    needs = f"a new {mounted.cutter.name}"
    change = partial(_freshen, key=mounted.key)
    return Edit("fresh edge", f"Put a fresh edge on {mounted.name}", change, needs)


def _freshen(job: Job, key: str) -> Job:
    return replace(job, fresh_edges=tuple(sorted({*job.fresh_edges, key})))


def depth(times: float) -> Edit:
    """Return another depth of a roughing pass, in diameters."""
    change = _setting(depth_times_diameter=times)
    return Edit("depth", f"Go {number(times)} diameters deep at a time", change)


def air(kind: Air) -> Edit:
    """Return other means to clear the chip."""
    words = {
        Air.BLAST: "Blow air on the cutter and extract",
        Air.SUCTION: "Extract the chips",
        Air.NONE: "Leave the air off",
    }
    needs = {Air.BLAST: "an air blast", Air.SUCTION: "extraction", Air.NONE: ""}
    return Edit("air", words[kind], _setting(air=kind), needs[kind])


def mitred_corners() -> Edit:
    """Return mitred outside corners in every step."""
    return Edit("corners", "Mitre every outside corner", _setting(mitred_corners=True))


def recipe(chosen: Recipe) -> Edit:
    """Return another recipe for the job."""
    change = _setting(recipe=chosen.key)
    return Edit("recipe", f"Cut by the recipe “{chosen.name}”", change, chosen.warning)


def recipe_here(alike: Alike, chosen: Recipe) -> Edit:
    """Return another recipe for a contour and those that are cut the same."""
    change = partial(_set_contours, changes={where: {"recipe": chosen.key} for where in alike})
    name = f"Cut by the recipe “{chosen.name}” {_here(alike)}"
    return Edit("recipe", name, change, chosen.warning)


def holder(chosen: Holder) -> Edit:
    """Return another holder on every cutter."""
    change = _setting(holder=chosen.key)
    needs = f"a holder balanced to {show(chosen.balanced_speed_rpm, 'rpm')}"
    return Edit("holder", f"Put the cutters in the {_inline(chosen.name)}", change, needs)


def wall_stock(stock_mm: float) -> Edit:
    """Return another stock on the wall."""
    change = _setting(wall_stock_mm=stock_mm)
    return Edit("wall stock", f"Leave {show(stock_mm, 'mm')} on the wall", change)


def floor_stock(stock_mm: float) -> Edit:
    """Return another stock on the floor."""
    change = _setting(floor_stock_mm=stock_mm)
    return Edit("floor stock", f"Leave {show(stock_mm, 'mm')} on the floor", change)


def material(chosen: Material) -> Edit:
    """Return another sheet material."""
    return Edit("material", f"Cut it from {_inline(chosen.name)}", _setting(material=chosen.key))


def sheet(chosen: SheetStock) -> Edit:
    """Return another sheet on the rack."""
    return Edit("sheet", f"Cut it from the {_inline(chosen.name)}", _setting(sheet=chosen.key))


def machine(chosen: Machine) -> Edit:
    """Return another machine, as information."""
    change = _setting(machine=chosen.key)
    return Edit("machine", f"Cut it on the {_inline(chosen.name)}", change, chosen.name, True)


def together(kind: str, name: str, *edits: Edit) -> Edit:
    """Return several edits as one."""
    needs = "; ".join(dict.fromkeys(edit.needs for edit in edits if edit.needs))
    return Edit(kind, name, partial(_all_of, edits=edits), needs)


def _all_of(job: Job, edits: tuple[Edit, ...]) -> Job:
    for edit in edits:
        job = edit.change(job)
    return job


def _inline(name: str) -> str:
    return name[:1].lower() + name[1:] if name[1:2].islower() else name
