"""What leaves for the machine: the setup sheet, the NC program after its proof, the toolpaths.

A program is refused while a limit is outside and not accepted; it is written only when its text was
read back and proven, and its proof is shown.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.file_writing import FileWriter, Made
from app.overlays import program_version
from app.views.handover_page import proof_page, refusal_page

if TYPE_CHECKING:
    from pathlib import Path

    from app.desk import Desk
    from app.worker import Watch
    from core.pipeline import Results
    from core.units import UnitSystem

PDF, DXF, NC = "PDF (*.pdf)", "DXF (*.dxf)", "NC program (*.nc)"


class HandoverCommands(QObject):
    """Makes the files of the machine."""

    def __init__(self, desk: Desk, writer: FileWriter) -> None:
        super().__init__(writer)
        self._desk, self._writer = desk, writer

    def setup_sheet(self) -> None:
        """Print the setup sheet, with what was proven of the program."""
        results = self._writer.plan()
        path = self._writer.ask("Setup sheet", " setup.pdf", PDF) if results is not None else None
        if results is not None and path is not None:
            units = self._desk.units
            self._writer.make(lambda watch: setup_sheet_of(results, path, units, watch))

    def nc(self) -> None:
        """Write the NC program, if nothing stands against it and its text is proven."""
        from app.handing_over import outside_of

        results = self._writer.plan()
        if results is None:
            return
        reasons = tuple(outside_of(results.report))
        if reasons:
            self._writer.said.emit("No NC program: a limit is outside and not accepted.")
            self._writer.page_made.emit(*refusal_page(reasons, self._desk.units))
            return
        path = self._writer.ask("NC program", ".nc", NC)
        if path is not None:
            units = self._desk.units
            self._writer.make(lambda watch: programs_at(results, path, units, watch))

    def toolpaths(self) -> None:
        """Write the ways of the cutter's centre."""
        results = self._writer.plan()
        path = self._writer.ask("Toolpaths", " paths.dxf", DXF) if results is not None else None
        if results is not None and path is not None:
            self._writer.make(lambda _watch: toolpaths_at(results, path))


def setup_sheet_of(results: Results, path: Path, units: UnitSystem, watch: Watch) -> Made:
    """Return the setup sheet of a plan."""
    from app.handing_over import NC_SUFFIX, programs_of, proof_words
    from app.printing.setup_sheet import setup_sheet_pdf

    made = programs_of(results, path.with_suffix(NC_SUFFIX).name)
    watch.progress(0.6)
    content = setup_sheet_pdf(results, program_version(), units, proof_words(made))
    outside = results.report.answer.outside
    but = f"; {outside} outside, so it says that no program may be run" if outside else ""
    return Made(((path, content),), f"Written: {path.name}{but}")


def programs_at(results: Results, path: Path, units: UnitSystem, watch: Watch) -> Made:
    """Return the programs of a plan with their proof, or why they may not be written."""
    from app.handing_over import programs_of

    made = programs_of(results, path.name)
    watch.progress(0.9)
    if made.problems or made.told is None:
        page = refusal_page(made.problems, units)
        return Made((), f"{path.name} is not written: its proof does not hold.", page)
    pairs = zip(made.told.names, made.texts, strict=True)
    files = tuple((path.with_name(name), text.encode()) for name, text in pairs)
    names = ", ".join(made.told.names)
    return Made(files, f"Read back, proven and written: {names}", proof_page(made.told))


def toolpaths_at(results: Results, path: Path) -> Made:
    """Return the toolpaths of a plan as DXF."""
    from app.handing_over import work_of
    from core.handover.path_dxf import toolpaths_dxf

    return Made(((path, toolpaths_dxf(work_of(results))),))
