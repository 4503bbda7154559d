"""The button above the reasons: the drawing's size and what it asks; it opens the drawing page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QPushButton, QWidget

from app.drawing_commands import drawing_findings
from app.numbers import amount, quantity
from app.theme import NOTE_PT, font
from app.views.drawing_words import grade_of

if TYPE_CHECKING:
    from app.desk import Desk


class DrawingLink(QPushButton):
    """Leads to the drawing page, and back to the question."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._is_there = False
        self.setProperty("role", "plain")
        self.setFont(font(NOTE_PT))
        self.setToolTip("Unit, layers, and what was repaired or is asked (Ctrl+D)")
        desk.document.changed.connect(self.refresh)
        desk.units_changed.connect(self.refresh)
        self.refresh()

    def set_there(self, is_there: bool) -> None:
        """Take over whether the drawing page is shown."""
        self._is_there = is_there
        self.refresh()

    def refresh(self) -> None:
        """Say where the button leads."""
        report = self._desk.report
        self.setVisible(report is not None and bool(report.drawings))
        if report is None or not report.drawings:
            return
        self.setText(
            "\u2039  Back to the reasons" if self._is_there else self._words() + "  \u203a"
        )
        self.setAccessibleName(self.text().strip("\u2039\u203a "))

    def _words(self) -> str:
        report, system = self._desk.report, self._desk.units
        assert report is not None
        width, height = report.drawings[0].size_mm
        many = f"{len(report.drawings)} drawings" if len(report.drawings) > 1 else "Drawing"
        words = [f"{many} {amount(width, 'mm', system)} \u00d7 {quantity(height, 'mm', system)}"]
        grades = [
            grade_of(finding)
            for index in range(len(report.drawings))
            for finding in drawing_findings(report, index)
        ]
        asked = grades.count("asked") + grades.count("outside")
        if asked:
            words.append(f"{asked} asked")
        if "repaired" in grades:
            words.append(f"{grades.count('repaired')} repaired")
        return " \u00b7 ".join(words)
