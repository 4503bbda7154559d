"""The fields of the panel page: quantities and counts that are read while they are typed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.theme import NOTE_PT, font
from app.widgets.quantity_field import QuantityField
from core.drawing.panel_text import read_count
from core.errors import UnitError

if TYPE_CHECKING:
    from core.units import UnitSystem

LARGEST_MM = 20_000.0
"""No sheet is longer."""


class LiveField(QuantityField):
    """A quantity whose value is asked for while it is typed."""

    edited = Signal()

    def __init__(
        self, unit: str, value: float, *, low: float, high: float, step: float, system: UnitSystem
    ) -> None:
        super().__init__(unit, value, low=low, high=high, step=step, system=system)
        self.textEdited.connect(self.edited)
        self.committed.connect(self.edited)

    def now(self) -> float:
        """Return what is typed if it can be meant, else the last good value."""
        if self.isModified():
            try:
                return self.read()
            except UnitError:
                return self.value
        return self.value


class CountField(LiveField):
    """A whole number, 1 or more."""

    def __init__(self, value: int, system: UnitSystem) -> None:
        super().__init__("", value, low=1, high=100_000, step=1, system=system)

    def read(self) -> float:
        """Return the count.

        Raises
        ------
        UnitError
            If it is no whole number, or less than 1.
        """
        return float(read_count(self.text()))


def length_field(value_mm: float, system: UnitSystem, *, low_mm: float = 0.0) -> LiveField:
    """Return a field for a length on a panel."""
    return LiveField("mm", value_mm, low=low_mm, high=LARGEST_MM, step=1.0, system=system)


def angle_field(value_deg: float, system: UnitSystem) -> LiveField:
    """Return a field for a turn."""
    return LiveField("deg", value_deg, low=-360.0, high=360.0, step=5.0, system=system)


class Labelled(QWidget):
    """A field with its words above it."""

    def __init__(self, words: str, field: QWidget) -> None:
        super().__init__()
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(1)
        label = QLabel(words)
        label.setFont(font(NOTE_PT))
        label.setProperty("role", "muted")
        label.setBuddy(field)
        box.addWidget(label)
        box.addWidget(field)


class FaultLine(QLabel):
    """What is wrong with the fields above; hidden while nothing is."""

    def __init__(self) -> None:
        super().__init__()
        self.setFont(font(NOTE_PT))
        self.setProperty("role", "fault")
        self.setWordWrap(True)
        self.setAccessibleName("Fault")
        self.said = ""
        self.hide()

    def tell(self, text: str) -> None:
        """Show a fault, or nothing."""
        self.said = text
        self.setText(f"\u25a0 {text}" if text else "")
        self.setAccessibleDescription(text)
        self.setVisible(bool(text))
