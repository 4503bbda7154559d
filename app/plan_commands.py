"""Walking through the plan: warnings, contours, the worst limit; copying numbers and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.clipboard import copy_table, copy_text
from app.desk import all_findings, worst_place
from app.selection import Looked

if TYPE_CHECKING:
    from app.desk import Desk
    from app.workbench import Workbench
    from core.errors import Finding
    from core.report.records import Report


class PlanCommands(QObject):
    """What the plan menu does, on the views of the workbench."""

    said = Signal(str)

    def __init__(self, desk: Desk, bench: Workbench) -> None:
        super().__init__(bench)
        self._desk, self._bench = desk, bench
        self._at = -1
        bench.cleanly.finding_asked.connect(self.show_finding)
        bench.sheet.view.finding_clicked.connect(self.show_finding)
        bench.drawing.finding_asked.connect(self.show_finding)

    def next_finding(self) -> None:
        """Go to the next warning."""
        self._walk(1)

    def previous_finding(self) -> None:
        """Go to the previous warning."""
        self._walk(-1)

    def _walk(self, by: int) -> None:
        report = self._desk.report
        findings = self._walked(report) if report is not None else ()
        if not findings:
            self.said.emit("No warnings.")
            return
        first = 0 if by > 0 else len(findings) - 1
        self._at = (self._at + by) % len(findings) if self._at >= 0 else first
        self.show_finding(findings[self._at])
        word = "Noticed" if self._bench.is_on_drawing else "Warning"
        self.said.emit(f"{word} {self._at + 1} of {len(findings)}")

    def _walked(self, report: Report) -> tuple[Finding, ...]:
        """Return what F8 goes through: what the drawing page lists while it is shown, else all."""
        return self._bench.drawing.walk() if self._bench.is_on_drawing else all_findings(report)

    def show_finding(self, finding: Finding) -> None:
        """Show a warning, its contour and its place."""
        report = self._desk.report
        if report is None:
            return
        if not self._bench.show_noticed(finding):
            self._bench.show_question(1)
        findings = self._walked(report)
        if finding in findings:
            self._at = findings.index(finding)
        now = self._desk.selection.now
        contour = now.contour
        step, limit = now.step, now.limit
        if finding.contour_id is not None:
            contour = (finding.drawing, finding.contour_id)
            step, limit = (step, limit) if contour == now.contour else (None, "")
        self._desk.selection.set(Looked(contour, step, limit, finding.at_mm))
        self._bench.show_card(finding)

    def drawing(self) -> None:
        """Show how the drawing was read."""
        self._bench.show_drawing()

    def task(self) -> None:
        """Open the tasks of the selected contour."""
        self._bench.tasks.open("task")

    def next_contour(self) -> None:
        """Select the next contour."""
        self._bench.table.step(1)

    def previous_contour(self) -> None:
        """Select the previous contour."""
        self._bench.table.step(-1)

    def worst(self) -> None:
        """Go to the worst limit of the job."""
        if self._desk.report is not None:
            self._bench.show_question(1)
            self._desk.selection.set(worst_place(self._desk.report))

    def explain(self) -> None:
        """Bring the formula of the chosen number into view and focus it."""
        self._bench.show_question(1)
        if self._desk.limit() is None:
            self.worst()
        self._bench.show_reason()

    def apply_remedy(self) -> None:
        """Apply the first remedy of the chosen limit."""
        self._bench.show_question(1)
        self.said.emit(self._bench.cleanly.remedies.apply_first())

    def play(self) -> None:
        """Run the cutter along the plan, or stop it."""
        self._bench.sheet.along.toggle()

    def copy(self) -> None:
        """Copy the chosen number."""
        text = self._bench.cleanly.value_text()
        if text:
            copy_text(text)
            self.said.emit(f"Copied: {text}")

    def copy_reason(self) -> None:
        """Copy the chosen number with its reasoning."""
        text = self._bench.cleanly.reason.reasoning()
        if text:
            copy_text(text)
            self.said.emit("Copied with its reasoning")

    def copy_table(self) -> None:
        """Copy the table in view: the ledger while the second question is shown, else contours."""
        table = self._bench.price if self._bench.question == 2 else self._bench.table
        copy_table(table.table())
        self.said.emit("Table copied")
