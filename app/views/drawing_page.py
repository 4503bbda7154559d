"""The column about the drawing: size and unit, layers, what was repaired or is asked."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QVBoxLayout, QWidget

from app.drawing_commands import (
    REPAIRS,
    drawing_findings,
    with_layer,
    with_repair,
    with_unit,
)
from app.views.drawing_head import DrawingHead, unit_name
from app.views.drawing_noticed import NoticedCard
from app.views.layers_card import LayersCard
from core.errors import LibraryError
from core.library.layer_rules import NO_RULES

if TYPE_CHECKING:
    from app.desk import Desk
    from core.errors import Finding
    from core.library.layer_rules import LayerRules
    from core.report.records import Report


class DrawingPage(QWidget):
    """How the drawing was read, and what can be changed about it."""

    finding_asked = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.index = 0
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 6, 6)
        box.setSpacing(8)
        self.which = QComboBox()
        self.which.setAccessibleName("Drawing of the job")
        self.which.activated.connect(self._on_which)
        self.head = DrawingHead(desk, self)
        self.layers = LayersCard(desk, self)
        self.noticed = NoticedCard(desk, self)
        for widget in (self.which, self.head, self.layers, self.noticed):
            box.addWidget(widget)
        box.addStretch(1)
        self.head.unit_asked.connect(self._on_unit)
        self.layers.switched.connect(self._on_layer)
        self.noticed.repair_asked.connect(self._on_repair)
        self.noticed.place_asked.connect(self.finding_asked)
        desk.document.changed.connect(self.refresh)
        desk.units_changed.connect(self.refresh)
        desk.theme.changed.connect(self.refresh)

    def refresh(self) -> None:
        """Show the drawing that is looked at."""
        report, job = self._desk.report, self._desk.document.job
        count = 0 if report is None else min(len(report.drawings), len(job.drawings))
        self.setVisible(count > 0)
        if report is None or not count:
            return
        self.index = min(self.index, count - 1)
        self._list_drawings(report, count)
        drawing, file = report.drawings[self.index], job.drawings[self.index]
        self.head.show_drawing(drawing)
        self.layers.show_layers(drawing.layers, file, self._rules())
        self.noticed.show_findings(drawing_findings(report, self.index), file.refused_repairs)

    def _list_drawings(self, report: Report, count: int) -> None:
        self.which.setVisible(count > 1)
        names = [f"{n + 1}  {drawing.file}" for n, drawing in enumerate(report.drawings[:count])]
        if [self.which.itemText(n) for n in range(self.which.count())] != names:
            self.which.clear()
            self.which.addItems(names)
        self.which.setCurrentIndex(self.index)

    def _rules(self) -> LayerRules:
        """Return the layer rules of the job; none where they cannot be read."""
        try:
            return self._desk.shelf().layer_rules(self._desk.document.job.layer_rules)
        except LibraryError:
            return NO_RULES

    def _on_which(self, index: int) -> None:
        self.index = index
        self.refresh()

    def _on_unit(self, mm_per_unit: float | None) -> None:
        words = "as the drawing says" if mm_per_unit is None else unit_name(mm_per_unit)
        change = partial(
            with_unit, drawing=self.index, mm_per_unit=mm_per_unit, rules=self._rules()
        )
        self._desk.document.edit(f"unit of the drawing: {words}", change)

    def _on_layer(self, layer: str, is_read: bool) -> None:
        change = partial(
            with_layer, drawing=self.index, layer=layer, is_cut=is_read, rules=self._rules()
        )
        word = "read" if is_read else "left out"
        self._desk.document.edit(f"layer {layer}: {word}", change)

    def _on_repair(self, code: str, is_wanted: bool) -> None:
        change = partial(
            with_repair, drawing=self.index, code=code, is_wanted=is_wanted, rules=self._rules()
        )
        repair = REPAIRS[code]
        self._desk.document.edit(repair.title if is_wanted else repair.left, change)

    # walking

    def walk(self) -> tuple[Finding, ...]:
        """Return what F8 goes through while this page is shown."""
        return self.noticed.findings

    def show_finding(self, finding: Finding) -> bool:
        """Show a finding of a drawing in its list; return whether it is one."""
        report = self._desk.report
        if report is None or finding.drawing >= len(report.drawings):
            return False
        if finding not in report.drawings[finding.drawing].findings:
            return False
        self.index = finding.drawing
        self.refresh()
        self.noticed.show_current(finding)
        return True
