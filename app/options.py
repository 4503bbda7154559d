"""The command line's words: verbs, options, and how they become a job.

Quantities are typed as people write them; a choice from a library is a key on the shelf or a path
to a TOML file of the same form, which the job then carries.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

from app.log_options import log_options
from core.drawing import open_drawing_file
from core.errors import UnitError, WorkbenchError
from core.job import Acceptance, Air, Job
from core.job.file import read_job
from core.library.files import read_library_file
from core.library.shelf import Shelf
from core.units import parse, parse_list

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

T = TypeVar("T")

JOB_SUFFIX = ".pane"

UNIT_MM = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": 25.4,
    "inch": 25.4,
    "ft": 304.8,
}
"""Drawing units that can be named, and their length in mm."""

_LIBRARY_OPTIONS = (
    ("material", "material", "material"),
    ("rack_sheet", "sheet", "sheet"),
    ("rough_cutter", "mounted", "rough_cutter"),
    ("finish_cutter", "mounted", "finish_cutter"),
    ("hole_cutter", "mounted", "hole_cutter"),
    ("edge_cutter", "mounted", "edge_cutter"),
    ("holder", "holder", "holder"),
    ("machine", "machine", "machine"),
    ("recipe", "recipe", "recipe"),
    ("rates", "rates", "rates"),
    ("layer_rules", "layer_rules", "layer_rules"),
)
"""Option, kind on the shelf, field of the job."""

_QUANTITY_OPTIONS = (
    ("thickness", "mm", "thickness_mm"),
    ("wall_stock", "mm", "wall_stock_mm"),
    ("floor_stock", "mm", "floor_stock_mm"),
    ("edge_break", "mm", "edge_break_mm"),
    ("spindle_speed", "rpm", "spindle_speed_rpm"),
    ("chip_load", "mm", "feed_per_tooth_mm"),
)
"""Option, unit of a bare number, field of the job."""


_PANEL_OPTIONS = (
    ("radius", "R[@CORNER]", "round corners: all, an edge's two, or one (10, 25@top-left)"),
    ("chamfer", "C[@CORNER]", "chamfered corners, likewise"),
    ("hole", "D@X,Y", "a hole: 8@20,20"),
    ("holes", "PATTERN", "corners:8@20, row:6@X,Y:X,Y:N, grid:6@X,Y:X,Y:4x3, circle:6@X,Y:200:8"),
    ("slot", "LxW@X,Y[:ANGLE]", "a slot about its middle: 100x30@450,570"),
    ("hand_hole", "[LxW@]X,Y[:ANGLE]", "a hole for a hand: 450,560"),
    ("cut_out", "WxH@X,Y[:R[:ANGLE]]", "a rectangle: 200x120@450,300:10"),
    ("notch", "WxD@EDGE:PLACE[:R]", "in an edge, from the left or from below: 60x20@bottom:300"),
)
"""Option, what is typed, what it means; each can be said many times."""

_QUOTE_LISTS = (
    ("rack", "KEY", "a sheet on the rack to cut from (default: the job's sheet)"),
    ("zone", "WxH@X,Y", "keep this part of every sheet free, for a clamp"),
    ("service", "NAME", "a service of the rates that is not always included"),
    ("without", "NAME", "leave a service out that is"),
    ("line", "NAME,PER,AMOUNT[,COUNT]", "a line of your own a piece, metre, hole, sheet or job"),
    ("change", "LINE=AMOUNT", "set a line by hand; each needs its own --why"),
    ("why", "TEXT", "why a line was set by hand"),
    ("instead", "FIELD=KEY", "quote the same job with another material, machine or recipe"),
)
_QUOTE_FILES = (
    ("pdf", "the customer's page"),
    ("cost_pdf", "the shop's cost sheet, with inner costs"),
    ("xlsx", "the ledger as a workbook with formulas"),
    ("csv", "ledger and breaks as CSV"),
    ("json", "plan and quote as JSON ('-' = stdout)"),
)
"""Option and what it means; the lists can be said many times, the files name a place."""


class CommandLineError(WorkbenchError):
    """The command line is wrong: exit code 2."""


class _Parser(argparse.ArgumentParser):
    """An argument parser that raises instead of printing usage and leaving."""

    def error(self, message: str) -> NoReturn:
        raise CommandLineError(f"{message}; '{self.prog} --help' shows what can be said")


def parser(version: str) -> argparse.ArgumentParser:
    """Return the parser of all verbs."""
    top = _Parser(
        prog="panewright",
        description="Plans how a CNC router cuts plastic sheet parts. Without a verb the window "
        "opens, with the file given.",
        epilog="A plan is an estimate. Cutter and machine makers, local rules and qualified "
        "people come first.",
    )
    top.add_argument("--version", action="version", version=f"panewright {version}")
    verbs = top.add_subparsers(dest="verb", metavar="VERB", parser_class=_Parser)
    plan = verbs.add_parser("plan", help="DXFs or a job to the report, contour by contour")
    plan.add_argument("files", nargs="+", metavar="FILE")
    _job_options(plan)
    plan.add_argument("--json", metavar="F", help="write the report as JSON ('-' = stdout)")
    explain = verbs.add_parser("explain", help="one number with formula, values and source")
    explain.add_argument("files", nargs=1, metavar="FILE")
    _job_options(explain)
    explain.add_argument("--contour", type=int, default=1, metavar="N")
    explain.add_argument("--step", default="", metavar="STEP")
    explain.add_argument("--number", default="", metavar="NAME")
    panel = verbs.add_parser("panel", help="a panel by numbers to a drawing or a job")
    _panel_options(panel)
    _job_options(panel)
    batch = verbs.add_parser("batch", help="a folder of drawings to reports and a price table")
    batch.add_argument("folder", metavar="FOLDER")
    batch.add_argument("--out", required=True, metavar="FOLDER", help="where reports and table go")
    batch.add_argument("--cores", type=int, metavar="N", help="processes at once (default: all)")
    _job_options(batch)
    batch.add_argument("--json", metavar="F", help="write the table as JSON ('-' = stdout)")
    quote = verbs.add_parser("quote", help="sheets, time and price, by quantity")
    quote.add_argument("files", nargs="+", metavar="FILE")
    _quote_options(quote)
    _job_options(quote)
    _hand_over_options(verbs)
    log_options(verbs.add_parser("log", help="the shop's test cuts: sheet, add, list, fit, remove"))
    libraries = verbs.add_parser("libraries", help="what is on the shelf, with sources")
    libraries.add_argument("what", nargs="?", choices=["check"], default=None)
    return top


def _hand_over_options(verbs: argparse._SubParsersAction[_Parser]) -> None:
    sheet = verbs.add_parser("setup-sheet", help="the page for the machine")
    sheet.add_argument("files", nargs=1, metavar="FILE")
    sheet.add_argument("--pdf", required=True, metavar="F")
    sheet.add_argument("--html", metavar="F", help="the same for a screen reader")
    nc = verbs.add_parser("nc", help="the NC program, proven before it is written")
    nc.add_argument("files", nargs=1, metavar="FILE")
    nc.add_argument("--out", required=True, metavar="F", help="several programs are numbered")
    prove = verbs.add_parser("prove", help="read an NC program back and prove it against a job")
    prove.add_argument("program", metavar="NC_FILE")
    prove.add_argument("--job", required=True, metavar="FILE", help="a job, or a drawing")
    prove.add_argument("--number", type=int, metavar="N", help="which of the job's programs it is")
    paths = verbs.add_parser("toolpaths", help="cutter-centre paths as DXF, a layer a pass")
    paths.add_argument("files", nargs=1, metavar="FILE")
    paths.add_argument("--dxf", required=True, metavar="F")
    paths.add_argument("--outlines", metavar="F", help="the cleaned outlines as DXF")
    for verb in (sheet, nc, prove, paths):
        _job_options(verb)
    for verb in (nc, prove):
        verb.add_argument("--json", metavar="F", help="write the proof as JSON ('-' = stdout)")


def _job_options(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--units", choices=sorted(UNIT_MM), help="what one drawing unit is")
    verb.add_argument(
        "--sheet", metavar="TEXT", help='material and thickness: "polycarbonate 6 mm"'
    )
    verb.add_argument("--thickness", metavar="QUANTITY")
    verb.add_argument("--measured-thickness", metavar="LIST", help='"5.9, 6.0, 5.8 mm"')
    verb.add_argument("--quantity", type=int, metavar="N")
    verb.add_argument("--name", metavar="TEXT", help="what the job is called")
    for option, kind, _ in _LIBRARY_OPTIONS:
        verb.add_argument(
            flag(option),
            metavar="KEY",
            help=f"{kind.replace('_', ' ')} on the shelf, or a TOML file",
        )
    for option, _, _ in _QUANTITY_OPTIONS[1:]:
        verb.add_argument(flag(option), metavar="QUANTITY")
    verb.add_argument(
        "--drill-holes", action="store_true", help="drill the holes that a drill fits"
    )
    verb.add_argument("--air", choices=[air.value for air in Air])
    verb.add_argument("--accept", action="append", default=[], metavar="LIMIT")
    verb.add_argument("--reason", action="append", default=[], metavar="TEXT")
    output = verb.add_mutually_exclusive_group()
    output.add_argument("--inch", action="store_true", help="print inches")
    output.add_argument("--metric", action="store_true", help="print millimetres (default)")


def _panel_options(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--size", required=True, metavar="WxH", help="900x600")
    for option, form, meaning in _PANEL_OPTIONS:
        verb.add_argument(flag(option), action="append", default=[], metavar=form, help=meaning)
    verb.add_argument("--dxf", metavar="F", help="save the panel as a drawing")
    verb.add_argument("--job", metavar="F", help="save it as a job, with the choices made here")


def _quote_options(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--breaks", metavar="LIST", default="", help="other quantities: 1,10,50")
    verb.add_argument("--customer", metavar="TEXT", help="whom it is for")
    verb.add_argument("--turns", choices=["none", "half", "quarter", "free"], help="of the parts")
    verb.add_argument("--mirror", action="store_true", help="parts may be turned over")
    verb.add_argument("--in-holes", action="store_true", help="parts may lie inside others")
    verb.add_argument("--markup", metavar="SHARE", help="in place of the shop's: 25%%")
    for option, form, meaning in _QUOTE_LISTS:
        verb.add_argument(flag(option), action="append", default=[], metavar=form, help=meaning)
    for option, meaning in _QUOTE_FILES:
        verb.add_argument(flag(option), metavar="F", help=meaning)


def flag(option: str) -> str:
    """Return an option as it is typed."""
    return "--" + option.replace("_", "-")


def job_of(options: argparse.Namespace, folder: Path | None) -> Job:
    """Return the job that files and options describe.

    Raises
    ------
    CommandLineError
        If an option cannot be meant.
    WorkbenchError
        If a file cannot be read or a name is not on the shelf.
    """
    return with_options(job_of_files([Path(name) for name in options.files]), options, folder)


def with_options(job: Job, options: argparse.Namespace, folder: Path | None) -> Job:
    """Return a job changed as the options say.

    Raises
    ------
    CommandLineError
        If an option cannot be meant.
    WorkbenchError
        If a name is not on the shelf or its file cannot be read.
    """
    if options.units:
        unit = UNIT_MM[options.units]
        job = replace(job, drawings=tuple(replace(d, mm_per_unit=unit) for d in job.drawings))
    job = _with_choices(job, options, folder)
    job = _with_quantities(job, options)
    if options.drill_holes:
        job = replace(job, drill_holes=True)
    if options.air:
        job = replace(job, air=Air(options.air))
    if options.quantity is not None:
        job = replace(job, quantity=options.quantity)
    if options.name:
        job = replace(job, name=options.name)
    return replace(job, accepted=job.accepted + _accepted(options))


def job_of_files(paths: Sequence[Path]) -> Job:
    """Return a job file as it is, or a new job of some drawings.

    Raises
    ------
    WorkbenchError
        If a file cannot be read.
    """
    if len(paths) == 1 and paths[0].suffix.lower() == JOB_SUFFIX:
        return read_job(paths[0])
    drawings = tuple(open_drawing_file(path) for path in paths)
    return Job(name=paths[0].stem.replace("_", " "), drawings=drawings)


def _with_choices(job: Job, options: argparse.Namespace, folder: Path | None) -> Job:
    for option, kind, field in _LIBRARY_OPTIONS:
        value = getattr(options, option)
        if value is None:
            continue
        if value.lower().endswith(".toml"):
            entry = read_library_file(kind, Path(value))
            job = replace(job, library=(*job.library, entry))
            value = entry.key
        chosen: dict[str, Any] = {field: value}
        job = replace(job, **chosen)
    if options.sheet:
        material, thickness = Shelf(job.library, folder).parse_sheet(options.sheet)
        job = replace(job, material=material, thickness_mm=thickness)
    return job


def _with_quantities(job: Job, options: argparse.Namespace) -> Job:
    changes: dict[str, Any] = {}
    for option, unit, field in _QUANTITY_OPTIONS:
        text = getattr(options, option)
        if text is not None:
            changes[field] = said(flag(option), partial(parse, text, unit))
    text = options.measured_thickness
    if text is not None:
        changes["measured_thickness_mm"] = said(
            "--measured-thickness", partial(parse_list, text, "mm")
        )
    return replace(job, **changes)


def said(option: str, read: Callable[[], T]) -> T:
    """Return what an option says; a text that cannot be read names the option."""
    try:
        return read()
    except UnitError as error:
        raise CommandLineError(f"{option}: {error}") from error


def _accepted(options: argparse.Namespace) -> tuple[Acceptance, ...]:
    if len(options.accept) != len(options.reason):
        raise CommandLineError("each --accept LIMIT needs its own --reason TEXT")
    return tuple(
        Acceptance(limit, reason)
        for limit, reason in zip(options.accept, options.reason, strict=True)
    )
