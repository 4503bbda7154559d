"""The head of the drawing page: overall size, large; the unit with its reason; what there is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.drawing_commands import UNITS
from app.numbers import amount, in_units, quantity
from app.theme import ANSWER_PT, NOTE_PT, TEXT_PT, font

if TYPE_CHECKING:
    from app.desk import Desk
    from core.report.records import DrawingReport

_NEARLY = 1e-9


def counted(count: int, one: str, many: str = "") -> str:
    """Return a number with its word.

    Examples
    --------
    >>> counted(1, "hole"), counted(8, "hole"), counted(2, "entity", "entities")
    ('1 hole', '8 holes', '2 entities')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def unit_name(mm_per_unit: float) -> str:
    """Return what a unit is called ("inch"), or its size in mm."""
    for name, size in UNITS:
        if abs(mm_per_unit - size) <= _NEARLY * size:
            return name
    return f"{mm_per_unit:g} mm"


def counts_words(drawing: DrawingReport) -> str:
    """Return what was found in a drawing, in a line."""
    words = [counted(drawing.outer_contours, "outline"), counted(drawing.holes, "hole")]
    if drawing.open_chains:
        words.append(counted(drawing.open_chains, "open line"))
    return ", ".join(words)


class DrawingHead(QFrame):
    """File, size, unit and counts of one drawing; a click gives it another unit."""

    unit_asked = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk = desk
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        self.file = self._label(NOTE_PT, "muted")
        self.overall = self._label(ANSWER_PT + 5)
        self.overall.setFont(font(ANSWER_PT + 5, bold=True))
        self.counts = self._label(TEXT_PT)
        self.left_out = self._label(NOTE_PT, "muted")
        self.unit = self._label(TEXT_PT)
        for widget in (self.file, self.overall, self.counts, self.left_out, self.unit):
            box.addWidget(widget)
        box.addLayout(self._unit_buttons())

    def _label(self, points: float, role: str = "") -> QLabel:
        out = QLabel()
        out.setFont(font(points))
        out.setWordWrap(True)
        out.setTextFormat(Qt.TextFormat.PlainText)
        out.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if role:
            out.setProperty("role", role)
        return out

    def _unit_buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(4)
        self._group = QButtonGroup(self)
        self._group.setExclusive(False)
        for number, (name, _) in enumerate(UNITS):
            button = QPushButton(name)
            button.setCheckable(True)
            button.setAccessibleName(f"one drawing unit is one {name}")
            self._group.addButton(button, number)
        self.as_drawn = QPushButton("As the drawing says")
        self.as_drawn.setAccessibleName("unit as the drawing says")
        for widget in (*self._group.buttons(), self.as_drawn):
            widget.setProperty("role", "choice")
            widget.setFont(font(NOTE_PT))
            row.addWidget(widget)
        row.addStretch(1)
        self._group.idClicked.connect(self._on_unit)
        self.as_drawn.clicked.connect(self._on_as_drawn)
        return row

    def button(self, name: str) -> QPushButton:
        """Return the button of a unit."""
        found = self._group.button([known for known, _ in UNITS].index(name))
        assert isinstance(found, QPushButton)
        return found

    def show_drawing(self, drawing: DrawingReport) -> None:
        """Show what was read."""
        system = self._desk.units
        width, height = drawing.size_mm
        self.file.setText(f"{drawing.file} \u00b7 {drawing.dxf_version}")
        self.overall.setText(
            f"{amount(width, 'mm', system)} \u00d7 {quantity(height, 'mm', system)}"
        )
        self.overall.setAccessibleName(f"Overall size {self.overall.text()}")
        area = quantity(drawing.area_mm2, "mm2", system)
        self.counts.setText(f"{counts_words(drawing)}, {area} of sheet")
        left = ", ".join(f"{count} {kind}" for kind, count in drawing.left_out)
        self.left_out.setText(f"never cut, counted only: {left}")
        self.left_out.setVisible(bool(left))
        name = unit_name(drawing.mm_per_unit)
        self.unit.setText(in_units(f"One unit is one {name}: {drawing.unit_reason}", system))
        for number, (_, size) in enumerate(UNITS):
            near = abs(drawing.mm_per_unit - size) <= _NEARLY * size
            self._group.button(number).setChecked(near)
        self.as_drawn.setVisible(drawing.unit_origin == "user")

    def _on_unit(self, number: int) -> None:
        self._group.button(number).setChecked(True)
        self.unit_asked.emit(UNITS[number][1])

    def _on_as_drawn(self) -> None:
        self.unit_asked.emit(None)
