"""The verb `log`: the shop's test cuts written down, shown, and made into a material card."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from app.log_options import QUANTITIES
from app.options import CommandLineError, said
from core.heat.pass_table import edge_radius_um
from core.job import Air, Job
from core.job.file import write_whole
from core.library.shelf import Shelf
from core.shop.calibration import calibrate
from core.shop.card import fitted_card
from core.shop.cut_log import CutLog
from core.shop.guide import guide_lines
from core.shop.records import Edge, LoggedCut
from core.shop.refusals import refusals
from core.shop.words import calibration_lines, log_lines
from core.units import parse

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable

    from core.library.records import Machine, Material, MountedCutter
    from core.shop.calibration import Calibration

LOG_NAME = "cut_log.sqlite"
CUT_S, AFTER_S = 30.0, 2.0
"""Time of a slot for the temperatures, and until the cutter is measured, if not said. [s]"""


@dataclass(frozen=True, slots=True)
class Told:
    """What the verb has to say, and what stood in its way."""

    text: str
    problem: str = ""


def run_log(options: argparse.Namespace, data: Path) -> Told:
    """Do what the verb asks and return what it has to say.

    Parameters
    ----------
    options : argparse.Namespace
        As `log_options` reads them.
    data : Path
        Folder of the user's own data: the log and the library lie in it.

    Raises
    ------
    CommandLineError
        If an option cannot be meant, or a cut cannot be.
    WorkbenchError
        If a name is not on the shelf, or the log cannot be used.
    """
    does: dict[str, Callable[[argparse.Namespace, Path], Told]] = {
        "sheet": _sheet,
        "add": _add,
        "list": _list,
        "remove": _remove,
        "fit": _fit,
    }
    return does[options.does](options, data)


def _log(options: argparse.Namespace, data: Path) -> CutLog:
    return CutLog(Path(options.log) if options.log else data / LOG_NAME)


def _shelf(data: Path) -> Shelf:
    folder = data / "library"
    return Shelf(folder=folder if folder.is_dir() else None)


def _sheet(options: argparse.Namespace, data: Path) -> Told:
    shelf = _shelf(data)
    share = shelf.rates(Job().rates).headroom_share
    mounted, machine = shelf.mounted(options.cutter), shelf.machine(options.machine)
    lines = guide_lines(_unfitted(shelf, options.material)[1], mounted, machine, share)
    return Told("\n".join(lines) + "\n")


def _add(options: argparse.Namespace, data: Path) -> Told:
    shelf = _shelf(data)
    cut = _cut(options, shelf)
    reasons = refusals(cut)
    if reasons:
        raise CommandLineError(f"the cut is not taken: {'; '.join(reasons)}")
    log = _log(options, data)
    written = log.add(cut)
    return Told("\n".join(log_lines([written])) + f"\nwritten as cut {written.number}\n")


def _cut(options: argparse.Namespace, shelf: Shelf) -> LoggedCut:
    mounted, machine = shelf.mounted(options.cutter), shelf.machine(options.machine)
    read = {name: _quantity(options, name, unit) for name, unit, _ in QUANTITIES}
    if options.fresh:
        mounted = replace(mounted, metres_cut=0.0)
    warm = read["cutter_temperature"] is not None
    chip_load, depth = read["chip_load"], read["depth"]
    assert chip_load is not None, "a needed option"
    assert depth is not None, "a needed option"
    return LoggedCut(
        made_on=_day(options.on),
        material=shelf.key("material", options.material),
        cutter=mounted.key,
        diameter_mm=mounted.diameter_mm,
        tooth_count=mounted.cutter.tooth_count,
        stick_out_mm=mounted.stick_out_mm,
        helix=mounted.cutter.helix,
        edge_radius_um=edge_radius_um(mounted),
        spindle_speed_rpm=read["spindle_speed"] or _house_speed(shelf, mounted, machine),
        feed_per_tooth_mm=chip_load,
        radial_width_mm=read["width"] or mounted.diameter_mm,
        axial_depth_mm=depth,
        air=Air(options.air),
        room_c=machine.room_temperature_c if read["room"] is None else read["room"],
        power_w=read["power"],
        idle_power_w=read["idle"],
        cutter_c=read["cutter_temperature"],
        cut_s=CUT_S if warm and read["cut_time"] is None else read["cut_time"],
        after_s=AFTER_S if warm and read["after"] is None else read["after"],
        chip_c=read["chip_temperature"],
        edge_climb=Edge(options.climb) if options.climb else None,
        edge_conventional=Edge(options.conventional) if options.conventional else None,
        note=options.note,
    )


def _quantity(options: argparse.Namespace, name: str, unit: str) -> float | None:
    text = getattr(options, name)
    return None if text is None else said(f"--{name.replace('_', '-')}", partial(parse, text, unit))


def _day(text: str | None) -> str:
    if text is None:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise CommandLineError(f"--on: {text!r} is no day; write 2026-03-05") from error


def _house_speed(shelf: Shelf, mounted: MountedCutter, machine: Machine) -> float:
    share = shelf.rates(Job().rates).headroom_share
    return min(
        share * mounted.holder.balanced_speed_rpm,
        mounted.cutter.highest_spindle_speed_rpm,
        machine.highest_spindle_speed_rpm,
    )


def _list(options: argparse.Namespace, data: Path) -> Told:
    material = _shelf(data).key("material", options.material) if options.material else None
    return Told("\n".join(log_lines(_log(options, data).cuts(material))) + "\n")


def _remove(options: argparse.Namespace, data: Path) -> Told:
    _log(options, data).remove(options.number)
    return Told(f"cut {options.number} is removed\n")


def _fit(options: argparse.Namespace, data: Path) -> Told:
    shelf, material = _unfitted(_shelf(data), options.material)
    found = calibrate(material, _log(options, data).cuts(material.key))
    told = "\n".join(calibration_lines(found)) + "\n"
    if not options.out and not options.keep:
        return Told(told)
    if found.is_worse_than_none:
        return Told(told, "no card is written: it would explain the cuts worse than the one before")
    return Told(told + _written(options, data, shelf, found))


def _unfitted(shelf: Shelf, name: str) -> tuple[Shelf, Material]:
    """Return the shelf and the card that are the prior: never one that was fitted already."""
    material = shelf.material(name)
    if material.heat is not None and material.heat.shop is not None:
        shelf = Shelf()
        material = shelf.material(material.key)
    return shelf, material


def _written(options: argparse.Namespace, data: Path, shelf: Shelf, found: Calibration) -> str:
    card = fitted_card(shelf.files("material")[found.material.key], found)
    places = [Path(options.out)] if options.out else []
    if options.keep:
        folder = data / "library" / "materials"
        folder.mkdir(parents=True, exist_ok=True)
        places.append(folder / f"{card.key}.toml")
    for place in places:
        write_whole(place, card.text.encode())
    return f"written: {', '.join(map(str, places))}\n"
