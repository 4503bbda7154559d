"""A field for a quantity, typed as people write it; bad input is marked where it stands."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.numbers import quantity, shown_unit
from core.errors import UnitError
from core.units import UnitSystem, convert, parse


class QuantityField(QLineEdit):
    """Holds a value in `unit`; the text is in the user's units.

    A text that cannot be read, or a value out of bounds, is marked and said; the last good value
    stays until a good one follows, and Escape brings its text back.
    """

    committed = Signal(float)
    faulted = Signal(str)

    def __init__(
        self,
        unit: str,
        value: float,
        *,
        low: float = 0.0,
        high: float = 1e6,
        step: float = 0.1,
        system: UnitSystem = UnitSystem.METRIC,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.unit = unit
        self.value = value
        self.fault = ""
        self._low, self._high, self._step = low, high, step
        self._system = system
        self.textEdited.connect(self._live)
        self.editingFinished.connect(self.commit)
        self._show()

    def set_value(self, value: float) -> None:
        """Show another value; a text that is being typed is kept."""
        self.value = value
        if not self.isModified():
            self._show()

    def set_system(self, system: UnitSystem) -> None:
        """Show the value in other units; a text that is being typed is kept."""
        self._system = system
        if not self.isModified():
            self._show()

    def read(self) -> float:
        """Return what the text means, in `unit`.

        Raises
        ------
        UnitError
            If it cannot be read or is out of bounds.
        """
        here = shown_unit(self.unit, self._system)
        value = convert(parse(self.text(), here), here, self.unit)
        if not self._low <= value <= self._high:
            low = quantity(self._low, self.unit, self._system)
            high = quantity(self._high, self.unit, self._system)
            raise UnitError(f"{self.text().strip()} is not between {low} and {high}")
        return value

    def commit(self) -> None:
        """Take the text over if it can be read; else mark it and keep the last good value."""
        if not self.isModified():
            return
        try:
            value = self.read()
        except UnitError as error:
            self._mark(str(error))
            return
        changed = value != self.value
        self.value = value
        self._show()
        if changed:
            self.committed.emit(value)

    def restore(self) -> None:
        """Bring back the text of the last good value."""
        self._show()

    def step_by(self, steps: int) -> None:
        """Go some steps up or down from the last good value."""
        value = min(max(self.value + steps * self._step, self._low), self._high)
        if value != self.value:
            self.value = value
            self._show()
            self.committed.emit(value)

    def _show(self) -> None:
        self.setText(quantity(self.value, self.unit, self._system))
        self.setModified(False)
        self._mark("")

    def _live(self, _text: str) -> None:
        try:
            self.read()
        except UnitError as error:
            self._mark(str(error))
        else:
            self._mark("")

    def _mark(self, fault: str) -> None:
        if fault == self.fault:
            return
        self.fault = fault
        self.setProperty("bad", bool(fault))
        self.setToolTip(fault)
        self.setAccessibleDescription(fault)
        self.style().unpolish(self)
        self.style().polish(self)
        self.faulted.emit(fault)

    def event(self, event: QEvent) -> bool:
        """Keep Escape for this field while there is something to bring back."""
        if (
            event.type() is QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
            and self.isModified()
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Escape restores; up and down step, with Shift by ten."""
        ten = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self.restore()
        elif event.key() == Qt.Key.Key_Up:
            self.step_by(ten)
        elif event.key() == Qt.Key.Key_Down:
            self.step_by(-ten)
        else:
            super().keyPressEvent(event)
