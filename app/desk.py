"""What all views share: the document, the selection, the theme, the units, the settings.

One of these is made for each window and handed to every view. The functions find in a report what
is selected.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.document import Document
from app.selection import Looked, Selection
from core.units import UnitSystem

if TYPE_CHECKING:
    from pathlib import Path

    from app.document import Planner
    from app.settings import Settings
    from app.theme import Theme
    from core.errors import Finding
    from core.explained import Explained
    from core.library.shelf import Shelf
    from core.pipeline import Results
    from core.report.records import ContourReport, Limit, PassReport, Report


class Desk(QObject):
    """The things on the desk."""

    units_changed = Signal()

    def __init__(
        self,
        planner: Planner,
        theme: Theme,
        settings: Settings,
        library_folder: Path | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._library_folder = library_folder
        self.theme = theme
        self.settings = settings
        self.document = Document(planner, parent=self)
        self.selection = Selection(self)
        self.units = UnitSystem(settings["units"])

    def set_units(self, units: UnitSystem) -> None:
        """Show lengths in these units from now on."""
        if units is not self.units:
            self.units = units
            self.settings["units"] = units.value
            self.units_changed.emit()

    def switch_units(self) -> None:
        """Switch between metric and inch."""
        is_metric = self.units is UnitSystem.METRIC
        self.set_units(UnitSystem.INCH if is_metric else UnitSystem.METRIC)

    @property
    def library_folder(self) -> Path | None:
        """Where the user's own library files are."""
        return self._library_folder

    @property
    def results(self) -> Results | None:
        """The latest plan with all its stages, as the pipeline makes them."""
        from core.pipeline import Results

        results = self.document.results
        return results if isinstance(results, Results) else None

    def shelf(self) -> Shelf:
        """Return everything that can be chosen: shipped, the user's own, carried by the job."""
        from core.library.shelf import Shelf

        return Shelf(self.document.job.library, self._library_folder)

    @property
    def report(self) -> Report | None:
        """The latest report."""
        return self.document.report

    def contour(self) -> ContourReport | None:
        """Return the selected contour, if it is still there."""
        return find_contour(self.report, self.selection.now)

    def cut_pass(self) -> PassReport | None:
        """Return the selected pass; the worst one of the selected contour if none is selected."""
        contour = self.contour()
        return None if contour is None else pass_of(contour, self.selection.now)

    def limit(self) -> Limit | None:
        """Return the selected limit; the worst one of the pass if none is selected."""
        cut_pass = self.cut_pass()
        return None if cut_pass is None else limit_of(cut_pass, self.selection.now)


def find_contour(report: Report | None, looked: Looked) -> ContourReport | None:
    """Return the contour that is looked at."""
    if report is None or looked.contour is None:
        return None
    for contour in report.contours:
        if (contour.drawing, contour.id) == looked.contour:
            return contour
    return None


def pass_of(contour: ContourReport, looked: Looked) -> PassReport | None:
    """Return the pass that is looked at, or the contour's worst."""
    if not contour.passes:
        return None
    if looked.step is not None and looked.step < len(contour.passes):
        return contour.passes[looked.step]
    return min(contour.passes, key=worst_margin)


def step_name(contour: ContourReport, index: int) -> str:
    """Return what a pass is called: its step, numbered where a step goes down in several."""
    step = contour.passes[index].step
    same = [i for i, one in enumerate(contour.passes) if one.step == step]
    return step if len(same) == 1 else f"{step} {same.index(index) + 1}"


def limit_of(cut_pass: PassReport, looked: Looked) -> Limit | None:
    """Return the limit that is looked at, or the worst of the pass."""
    limits = worst_first(cut_pass)
    for limit in limits:
        if limit.name == looked.limit:
            return limit
    return limits[0] if limits else None


_RANK = {"outside": 0, "tight": 1, "good": 2}


def worst_first(cut_pass: PassReport) -> tuple[Limit, ...]:
    """Return the limits of a pass, the worst one first."""
    return tuple(sorted(cut_pass.limits, key=_badness))


def _badness(limit: Limit) -> tuple[int, float]:
    return _RANK[limit.state.value], limit.margin_ratio


def worst_margin(cut_pass: PassReport) -> tuple[int, float]:
    """Return a key by which passes are ordered, the worst one first."""
    return min((_badness(limit) for limit in cut_pass.limits), default=(2, 1.0))


def worst_place(report: Report) -> Looked:
    """Return the worst limit of the whole job; the first contour where all are good."""
    if report.answer.worst is not None:
        row, index = report.answer.worst
        contour = report.contours[row]
        limits = worst_first(contour.passes[index])
        name = limits[0].name if limits else ""
        return Looked((contour.drawing, contour.id), index, name)
    first = report.contours[0] if report.contours else None
    return Looked() if first is None else Looked((first.drawing, first.id))


def all_findings(report: Report) -> tuple[Finding, ...]:
    """Return every finding once, the gravest first."""
    found = [*report.findings]
    for drawing in report.drawings:
        found += drawing.findings
    for contour in report.contours:
        found += contour.findings
    return tuple(sorted(dict.fromkeys(found), key=lambda one: _FINDING_RANK[one.severity.value]))


_FINDING_RANK = {"outside": 0, "tight": 1, "note": 2}


def number_named(cut_pass: PassReport, name: str) -> Explained | None:
    """Return the explained number that carries a name or a key, if the pass has one."""
    wanted = name.casefold()
    numbers = (*cut_pass.numbers, *(limit.explained for limit in cut_pass.limits))
    for one in numbers:
        if wanted in (one.key.casefold(), one.name.casefold()):
            return one
    return None
