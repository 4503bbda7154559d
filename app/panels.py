"""The verb `panel`: a panel by numbers to a drawing, or to a job that carries it.

What is printed is read from the drawing that was made, not from the words that were typed.
"""

from __future__ import annotations

import textwrap
from collections import Counter
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from app.options import CommandLineError, flag, said, with_options
from core.contours import find_contours
from core.contours.records import Kind, Shape
from core.drawing import read_drawing
from core.drawing.panel import Panel
from core.drawing.panel_check import panel_faults
from core.drawing.panel_drawing import with_panel
from core.drawing.panel_text import (
    read_corners,
    read_cut_out,
    read_hand_hole,
    read_hole,
    read_holes,
    read_notch,
    read_slot,
)
from core.job import Job
from core.job.file import save_job, write_whole
from core.library.shelf import Shelf
from core.report.fitting import fitting_findings
from core.report.guard_openings import opening_findings, opening_of
from core.report.notices import is_guard
from core.units import UnitSystem, parse_size, show

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator

    from core.contours.records import Contour, Contours
    from core.errors import Finding
    from core.library.records import Material

F = TypeVar("F")


class Made(NamedTuple):
    """What came of the words: text to print, and one line a fault (then nothing was written)."""

    text: str
    faults: tuple[str, ...] = ()


def make_panel(options: argparse.Namespace, folder: Path | None) -> Made:
    """Make the panel, write the files that are asked for, and say what was made.

    Raises
    ------
    CommandLineError
        If an option cannot be meant.
    WorkbenchError
        If a choice is not on the shelf or a file cannot be written.
    """
    if options.units:
        raise CommandLineError(
            "--units is for drawings; type the unit of a panel beside its numbers (36x24 in)"
        )
    panel = panel_of(options)
    faults = panel_faults(panel)
    if faults:
        return Made("", faults)
    name = Path(options.dxf or options.job or "panel").stem
    job = with_options(Job(name=name.replace("_", " ")), options, folder)
    job = with_panel(job, panel, f"{name}.dxf")
    material = Shelf(job.library, folder).material(job.material)
    text = _text(job, material, UnitSystem.INCH if options.inch else UnitSystem.METRIC)
    if options.dxf:
        write_whole(Path(options.dxf), job.drawings[0].content)
    if options.job:
        save_job(Path(options.job), job)
    return Made(text)


def panel_of(options: argparse.Namespace) -> Panel:
    """Return the panel that the options describe; it may have faults.

    Raises
    ------
    CommandLineError
        If an option cannot be meant; the line names it.
    """
    radii, chamfers = (_labelled(options, option) for option in ("radius", "chamfer"))
    return Panel(
        size_mm=said("--size", partial(parse_size, options.size, "mm")),
        corners=said("--radius, --chamfer", partial(read_corners, radii, chamfers)),
        holes=(*_each(options, "hole", read_hole), *_each(options, "holes", read_holes)),
        slots=(*_each(options, "slot", read_slot), *_each(options, "hand_hole", read_hand_hole)),
        cut_outs=_each(options, "cut_out", read_cut_out),
        notches=_each(options, "notch", read_notch),
        quantity=1 if options.quantity is None else options.quantity,
    )


def _each(options: argparse.Namespace, option: str, read: Callable[[str, str], F]) -> tuple[F, ...]:
    return tuple(
        said(flag(option), partial(read, text, label)) for text, label in _labelled(options, option)
    )


def _labelled(options: argparse.Namespace, option: str) -> list[tuple[str, str]]:
    """Return what was typed for an option, each with what messages call it."""
    return [(text, " ".join([flag(option), *text.split()])) for text in getattr(options, option)]


def _text(job: Job, material: Material, system: UnitSystem) -> str:
    """Return what the drawing holds and what should be known about it."""
    file = job.drawings[0]
    contours = find_contours(read_drawing(file), file)
    notes = fitting_findings(contours, material)
    if is_guard(job):
        notes = (*notes, *opening_findings(contours))
    lines = [*_made(contours, job.quantity, system), *_noted((*contours.findings, *notes))]
    return "\n".join(lines) + "\n"


def _made(contours: Contours, quantity: int, system: UnitSystem) -> Iterator[str]:
    width, height = (show(side, "mm", system) for side in contours.size_mm)
    yield f"Panel {width} x {height}, {quantity} off, {show(contours.area_mm2, 'mm2', system)} each"
    openings = Counter(_opening(c, system) for c in contours.contours if c.kind is Kind.HOLE)
    for words, count in openings.items():
        yield f"  {count} x {words}"
    if not openings:
        yield "  no openings"


def _opening(contour: Contour, system: UnitSystem) -> str:
    if contour.circle_diameter_mm is not None:
        return f"hole ø {show(contour.circle_diameter_mm, 'mm', system)}"
    around = opening_of(contour)
    sides = " x ".join(show(s, "mm", system) for s in (around.length_mm, around.width_mm))
    return f"{'slot' if contour.shape is Shape.SLOT else 'cut-out'} {sides}"


def _noted(findings: tuple[Finding, ...]) -> Iterator[str]:
    for finding in findings:
        yield from textwrap.wrap(
            f"{finding.severity}: {finding.message}", 100, subsequent_indent="  "
        )
