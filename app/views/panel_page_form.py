"""The form of the panel page: size, corners, and a card for each feature."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.theme import NOTE_PT, font
from app.views.panel_page_features import KINDS, FeatureKind
from app.views.panel_page_fields import CountField, FaultLine, Labelled, length_field
from app.views.panel_page_rows import CornersCard, FeatureRow, card
from core.drawing.panel import CutOut, Holes, Notch, Panel, Slot

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.units import UnitSystem

_FIRST_SIZE_MM = (600.0, 400.0)
_LEAST_SIDE_MM = 0.1
_MOST_LETTERS = 60


class PanelForm(QWidget):
    """Everything that is typed about a panel."""

    edited = Signal()

    def __init__(self, system: UnitSystem, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._system = system
        self._next_number = 1
        self._told = ""
        self.rows: list[FeatureRow] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 6, 6)
        self._box.setSpacing(8)
        self._box.addWidget(self._size_card())
        self.corners = CornersCard(system)
        self.corners.edited.connect(self.edited)
        self._box.addWidget(self.corners)
        self._box.addWidget(self._add_card())
        self._box.addStretch(1)

    def _size_card(self) -> QFrame:
        frame = QFrame()
        box, _ = card("Panel", frame)
        self.name = QLineEdit("panel")
        self.name.setMaxLength(_MOST_LETTERS)
        self.name.setAccessibleName("name of the panel")
        self.name.textEdited.connect(self.edited)
        width, height = _FIRST_SIZE_MM
        self.width_mm = length_field(width, self._system, low_mm=_LEAST_SIDE_MM)
        self.height_mm = length_field(height, self._system, low_mm=_LEAST_SIDE_MM)
        self.quantity = CountField(1, self._system)
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.addWidget(Labelled("name, also of the file", self.name), 0, 0, 1, 3)
        named = (("width", self.width_mm), ("height", self.height_mm), ("quantity", self.quantity))
        for column, (words, field) in enumerate(named):
            field.setAlignment(Qt.AlignmentFlag.AlignRight)
            field.setAccessibleName(f"{words} of the panel")
            field.edited.connect(self.edited)
            field.faulted.connect(self._on_typed)
            grid.addWidget(Labelled(words, field), 1, column)
        box.addLayout(grid)
        self.fault = FaultLine()
        box.addWidget(self.fault)
        return frame

    def _add_card(self) -> QFrame:
        frame = QFrame()
        box, _ = card("Add", frame)
        grid = QGridLayout()
        grid.setSpacing(6)
        self.add_buttons: dict[str, QPushButton] = {}
        for place, kind in enumerate(KINDS):
            button = QPushButton(kind.title)
            button.setProperty("role", "plain")
            button.setFont(font(NOTE_PT))
            button.setObjectName(kind.key)
            button.setAccessibleName(f"add: {kind.title}")
            button.clicked.connect(self._on_add)
            self.add_buttons[kind.key] = button
            grid.addWidget(button, place // 3, place % 3)
        box.addLayout(grid)
        return frame

    def _on_add(self) -> None:
        key = self.sender().objectName()
        row = self.add(next(kind for kind in KINDS if kind.key == key))
        first = next(iter(row.fields.values()))
        first.setFocus(Qt.FocusReason.OtherFocusReason)
        first.selectAll()

    def add(self, kind: FeatureKind) -> FeatureRow:
        """Add a feature; its card stands below those that are there."""
        row = FeatureRow(kind, self._next_number, self._system)
        self._next_number += 1
        row.edited.connect(self.edited)
        row.removed.connect(self.remove)
        self._box.insertWidget(self._box.count() - 1, row)
        self.rows.append(row)
        self.edited.emit()
        return row

    def remove(self, row: FeatureRow) -> None:
        """Take a feature out again; the focus goes to the buttons that add."""
        self.rows.remove(row)
        self._box.removeWidget(row)
        self.add_buttons[row.kind.key].setFocus(Qt.FocusReason.OtherFocusReason)
        row.hide()
        row.deleteLater()
        self.edited.emit()

    def panel(self) -> Panel:
        """Return the panel as it is typed; a field that cannot be read keeps its last value."""
        features = [row.feature() for row in self.rows]
        return Panel(
            (self.width_mm.now(), self.height_mm.now()),
            self.corners.cuts(),
            tuple(f for f in features if isinstance(f, Holes)),
            tuple(f for f in features if isinstance(f, Slot)),
            tuple(f for f in features if isinstance(f, CutOut)),
            tuple(f for f in features if isinstance(f, Notch)),
            int(self.quantity.now()),
        )

    @property
    def is_read(self) -> bool:
        """Whether every field can be read."""
        own = (self.width_mm, self.height_mm, self.quantity)
        is_own = not any(field.fault for field in own)
        return is_own and self.corners.is_read and all(row.is_read for row in self.rows)

    def set_system(self, system: UnitSystem) -> None:
        """Show the fields in other units; what is being typed stays."""
        self._system = system
        for field in (self.width_mm, self.height_mm, self.quantity):
            field.set_system(system)
        self.corners.set_system(system)
        for row in self.rows:
            row.set_system(system)

    def tell(self, faults: Sequence[str]) -> tuple[str, ...]:
        """Show each fault at the feature it names; return those that name none."""
        left = list(faults)
        for row in self.rows:
            row.tell(_taken(left, row.name))
        self.corners.tell(_taken(left, "Corner"))
        self._told = _taken(left, "a panel of")
        self._on_typed("")
        return tuple(left)

    def first_fault(self) -> str:
        """Return the first fault that stands at a field, with the card it stands in."""
        cards = (("Panel", self.fault), ("Corners", self.corners.fault))
        told = (*cards, *((row.name, row.fault) for row in self.rows))
        return next((f"{name}: {line.said}" for name, line in told if line.said), "")

    def _on_typed(self, _fault: str) -> None:
        own = (self.width_mm, self.height_mm, self.quantity)
        typed = next((field.fault for field in own if field.fault), "")
        self.fault.tell(typed or self._told)


def _taken(faults: list[str], name: str) -> str:
    """Take the faults that begin with a name out of a list; return the first, without it."""
    mine = [fault for fault in faults if _is_of(fault, name)]
    for fault in mine:
        faults.remove(fault)
    if not mine:
        return ""
    more = f" (and {len(mine) - 1} more)" if len(mine) > 1 else ""
    is_feature = mine[0][len(name) :][:1] in (":", ",")
    text = mine[0][len(name) + 1 :].strip() if is_feature else mine[0]
    return text[:1].upper() + text[1:] + more


def _is_of(fault: str, name: str) -> bool:
    """Return whether a fault is of a name: "Hole 1" is not of "Hole 12"."""
    return fault.startswith(name) and not fault[len(name) :][:1].isalnum()
