"""From an entry to the record that the program computes with, one function a kind."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

from core.library import entries, records
from core.library.files import cited
from core.library.fitted import shop_fit
from core.library.magnitudes import Magnitudes, sources_of
from core.library.nc_entries import nc_settings

if TYPE_CHECKING:
    from collections.abc import Callable

    from core.library.entries import CautionEntry, ChipLoadEntry, HeatEntry
    from core.library.files import EntryFile

ROLES = frozenset({"rough", "finish", "hole", "drill", "edge"})
"""What a step of a recipe may ask for as its cutter."""

_NINETY_PERCENT = 2.0 * 1.6449
"""Standard deviations of a normal distribution from its 5 % to its 95 % point."""


def log_sd(low: float, high: float) -> float:
    """Return the log-sd of a log-normal value from its 5 % and 95 % points.

    Examples
    --------
    >>> round(log_sd(65.0, 180.0), 2)
    0.31
    """
    return math.log(high / low) / _NINETY_PERCENT


def _heat(entry: HeatEntry, read: Magnitudes) -> records.HeatCoefficients:
    values = read.of(entry, records.HeatCoefficients, "$.heat")
    spread = {}
    for name, field in (
        ("specific_cutting_force", "specific_cutting_force_log_sd"),
        ("edge_force", "edge_force_log_sd"),
    ):
        sourced: records.Sourced = getattr(entry, name)
        if not sourced.low or not sourced.high or not 0.0 < sourced.low < sourced.high:
            read.problems.append(f"low and high (5 % and 95 %) are needed @ $.heat.{name}")
        else:
            spread[field] = log_sd(sourced.low, sourced.high)
    shop = None if entry.shop is None else shop_fit(entry.shop, read)
    read.done()
    return records.HeatCoefficients(**values, **spread, shop=shop)


def _caution(entry: CautionEntry) -> str:
    where = f"{entry.source}, {entry.place}" if entry.place else entry.source
    return f"{entry.text} ({where})"


def material(file: EntryFile) -> records.Material:
    """Return a sheet material."""
    entry = file.entry(entries.MaterialEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, records.Material)
    heat = None if entry.heat is None else _heat(entry.heat, read)
    read.done()
    sources = dict(sources_of(entry, records.Material))
    if entry.heat is not None:
        sources |= sources_of(entry.heat, records.HeatCoefficients)
    return records.Material(
        key=file.key,
        name=entry.name,
        aliases=entry.aliases,
        brittle=entry.brittle,
        softening_method=entry.softening_method,
        tolerance_source=entry.tolerance_share.source,
        heat=heat,
        cautions=tuple(map(_caution, entry.cautions)),
        sources=MappingProxyType(sources),
        **values,
    )


def _printed(entry: entries.ChipLoadEntry | entries.RangeEntry) -> str:
    where = f"{entry.source}, {entry.place}" if entry.place else entry.source
    return f"{entry.low:g} to {entry.high:g} {entry.unit}: {where}"


def _chip_loads(
    entry: ChipLoadEntry, read: Magnitudes, path: str
) -> tuple[records.ChipLoadRange, ...]:
    low, high = (
        read.one(
            records.Sourced(value, entry.unit, entry.source, entry.basis),
            "chip_load_mm",
            "mm",
            f"{path}.{name}",
        )
        for name, value in (("low", entry.low), ("high", entry.high))
    )
    if entry.low > entry.high:
        read.problems.append(f"low, high must rise @ {path}")
    return tuple(
        records.ChipLoadRange(name, low, high, _printed(entry), tuple(map(_printed, entry.others)))
        for name in entry.materials
    )


def cutter(file: EntryFile) -> records.Cutter:
    """Return a cutter."""
    entry = file.entry(entries.CutterEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, records.Cutter)
    loads = [
        load
        for index, row in enumerate(entry.chip_loads)
        for load in _chip_loads(row, read, f"$.chip_loads[{index}]")
    ]
    if not 1 <= entry.tooth_count <= 12:
        read.problems.append("1 to 12 cutting edges make sense @ $.tooth_count")
    if len({load.material for load in loads}) < len(loads):
        read.problems.append("a material has two chip-load ranges @ $.chip_loads")
    if (entry.form is not records.CutterForm.END_MILL) != (entry.tip_angle is not None):
        read.problems.append("drills and V cutters have a tip_angle, end mills none @ $.tip_angle")
    read.money(entry.price or "0", "$.price")
    read.done()
    return records.Cutter(
        key=file.key,
        name=entry.name,
        tooth_count=entry.tooth_count,
        helix=entry.helix,
        form=entry.form,
        chip_loads=tuple(loads),
        price=entry.price,
        sources=sources_of(entry, records.Cutter),
        **values,
    )


def holder(file: EntryFile) -> records.Holder:
    """Return a holder."""
    entry = file.entry(entries.HolderEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, records.Holder)
    read.done()
    return records.Holder(
        key=file.key, name=entry.name, sources=sources_of(entry, records.Holder), **values
    )


def mounted(
    file: EntryFile,
    cutter_of: Callable[[str], records.Cutter],
    holder_of: Callable[[str], records.Holder],
) -> records.MountedCutter:
    """Return a mounted cutter; `cutter_of` and `holder_of` look up what it names."""
    entry = file.entry(entries.MountedEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, records.MountedCutter)
    if entry.way_cut is not None:
        values["metres_cut"] = read.one(entry.way_cut, "metres_cut", "m", "$.way_cut")
    if not 1 <= entry.tool_number <= 999:
        read.problems.append("tool numbers are 1 to 999 @ $.tool_number")
    read.done()
    return records.MountedCutter(
        key=file.key,
        name=entry.name,
        cutter=cutter_of(entry.cutter),
        holder=holder_of(entry.holder),
        tool_number=entry.tool_number,
        finish_only=entry.finish_only,
        **values,
    )


def machine(file: EntryFile) -> records.Machine:
    """Return a router."""
    entry = file.entry(entries.MachineEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, records.Machine)
    deviation = values.pop("corner_deviation_mm", None)
    travel = (
        read.one(entry.travel_x, "travel_mm", "mm", "$.travel_x"),
        read.one(entry.travel_y, "travel_mm", "mm", "$.travel_y"),
    )
    nc = nc_settings(entry.nc, read)
    if values["lowest_spindle_speed_rpm"] >= values["highest_spindle_speed_rpm"]:
        read.problems.append("the lowest spindle speed is not below the highest @ $")
    read.done()
    return records.Machine(
        key=file.key,
        name=entry.name,
        travel_mm=travel,
        corner_deviation_mm=deviation,
        nc=nc,
        sources=sources_of(entry, records.Machine),
        **values,
    )


def sheet(file: EntryFile) -> records.SheetStock:
    """Return a sheet."""
    entry = file.entry(entries.SheetEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, records.SheetStock)
    size = (
        read.one(entry.size_x, "size_mm", "mm", "$.size_x"),
        read.one(entry.size_y, "size_mm", "mm", "$.size_y"),
    )
    if 2.0 * values["edge_margin_mm"] >= min(size):
        read.problems.append("the margins leave nothing of the sheet @ $.edge_margin")
    if entry.in_stock is not None and entry.in_stock < 0:
        read.problems.append("0 or more sheets can be in stock @ $.in_stock")
    read.done()
    return records.SheetStock(
        key=file.key,
        name=entry.name,
        size_mm=size,
        offcut=entry.offcut,
        in_stock=entry.in_stock,
        **values,
    )


def recipe(file: EntryFile) -> records.Recipe:
    """Return a recipe."""
    entry = file.entry(entries.RecipeEntry)
    read = Magnitudes(file.label)
    if not entry.steps:
        read.problems.append("a recipe needs a step @ $.steps")
    steps = []
    for index, row in enumerate(entry.steps):
        if row.cutter not in ROLES:
            read.problems.append(f"{row.cutter!r} is no cutter's role @ $.steps[{index}].cutter")
        steps.append(
            records.RecipeStep(
                name=row.name,
                cutter=row.cutter,
                direction=row.direction,
                corner=row.corner,
                tab_count=row.tab_count,
                **read.of(row, records.RecipeStep, f"$.steps[{index}]"),
            )
        )
    whole = read.of(entry, records.Recipe)
    read.done()
    return records.Recipe(
        key=file.key,
        name=entry.name,
        source=cited(entry.source),
        steps=tuple(steps),
        warning=entry.warning,
        **whole,
    )
