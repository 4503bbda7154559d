"""The small editor that opens under a bracket of the sentence; no dialog.

Enter or a choice takes the value over, Escape or a click elsewhere closes it. What cannot be read
is marked in the field and said below it; the job keeps its last good value.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QFrame, QLabel, QLineEdit, QPushButton, QVBoxLayout

from app.fields import Field, Kind, Option, options, value_of
from app.theme import NOTE_PT, font
from app.widgets.choice_list import ChoiceList
from app.widgets.quantity_field import QuantityField

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from app.desk import Desk

_WIDTH = 420
_NARROW = 280
_HEAD_PX, _LEAST_LIST_PX = 56, 120
_LEFT = "\u2026left"


class FieldEditor(QFrame):
    """Edits one field of the job."""

    chosen = Signal(str, object)
    closed = Signal(str, bool)

    def __init__(self, field: Field, desk: Desk, effective: str, parent: QWidget):
        super().__init__(parent)
        self.setObjectName("editor")
        self.setAutoFillBackground(True)
        self.field = field
        self._desk = desk
        self._is_closing = False
        box = QVBoxLayout(self)
        box.setContentsMargins(10, 8, 10, 10)
        box.setSpacing(6)
        title = QLabel(field.label[:1].upper() + field.label[1:])
        title.setProperty("role", "muted")
        title.setFont(font(NOTE_PT))
        box.addWidget(title)
        self.input = self._make_input(effective)
        self.input.setAccessibleName(field.label)
        box.addWidget(self.input)
        self.hint = QLabel(self._hint())
        self.hint.setWordWrap(True)
        self.hint.setFont(font(NOTE_PT))
        self.hint.setProperty("role", "muted")
        box.addWidget(self.hint)
        self.hint.setVisible(bool(self.hint.text()))
        self.setFixedWidth(_WIDTH if field.kind is Kind.CHOICE else _NARROW)
        self._add_left_to(box)
        self.fit_into(parent.height())
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._on_focus)

    def fit_into(self, height_px: int) -> None:
        """Take the size that is wanted, as far as there is room; the list then scrolls."""
        if isinstance(self.input, ChoiceList):
            self.ensurePolished()
            self.input.resize(_WIDTH - 22, 100)
            room = max(height_px - _HEAD_PX, _LEAST_LIST_PX)
            self.input.setFixedHeight(min(self.input.wanted_height(), room))
        self.adjustSize()

    def begin(self) -> None:
        """Show the editor and give it the focus."""
        self.show()
        self.raise_()
        self.input.setFocus(Qt.FocusReason.PopupFocusReason)
        if isinstance(self.input, QLineEdit):
            self.input.selectAll()

    def _value(self) -> Any:
        """Return what is decided now, None where it is left to something else."""
        return value_of(self._desk.document.job, self.field.key)

    def _options(self) -> list[Option]:
        """Return what can be chosen."""
        return options(self._desk.shelf(), self.field, self._desk.document.job)

    def _make_input(self, effective: str) -> QWidget:
        field, value = self.field, self._value()
        if field.kind is Kind.CHOICE:
            choices = self._options()
            if field.left_to:
                choices = [Option(_LEFT, field.left_to), *choices]
            now = value if value is not None else _LEFT
            out = ChoiceList(choices, now, self._desk.theme)
            out.chosen.connect(self._take_choice)
            return out
        if field.kind is Kind.TEXT:
            text = QLineEdit(str(value))
            text.returnPressed.connect(self._take_text)
            return text
        shown = value if value is not None else _number_in(effective, field.low)
        quantity = QuantityField(
            field.unit,
            float(shown),
            low=field.low,
            high=field.high,
            step=field.step,
            system=self._desk.units,
        )
        quantity.committed.connect(self._take_number)
        quantity.faulted.connect(self._tell_fault)
        return quantity

    def _add_left_to(self, box: QVBoxLayout) -> None:
        """Offer to leave a quantity to the house rule or the recipe again."""
        field = self.field
        if not field.left_to or field.kind is Kind.CHOICE:
            return
        button = QPushButton(f"Leave it to the {field.left_to}")
        button.setProperty("role", "plain")
        button.setEnabled(self._value() is not None)
        button.clicked.connect(self._leave)
        box.addWidget(button)

    def _hint(self) -> str:
        """Return where the value comes from."""
        if self.field.kind is not Kind.QUANTITY:
            return ""
        if self._value() is not None:
            return "typed"
        return f"not typed; the {self.field.left_to} decides"

    def _tell_fault(self, fault: str) -> None:
        self.hint.setText(fault or self._hint())
        self.hint.setProperty("role", "fault" if fault else "muted")
        self.hint.style().unpolish(self.hint)
        self.hint.style().polish(self.hint)
        self.hint.setVisible(bool(self.hint.text()))
        self.adjustSize()

    def _take_choice(self, key: str) -> None:
        self._finish(None if key == _LEFT else key)

    def _take_text(self) -> None:
        assert isinstance(self.input, QLineEdit)
        self._finish(self.input.text().strip())

    def _take_number(self, value: float) -> None:
        if self.field.kind is Kind.COUNT:
            self.chosen.emit(self.field.key, round(value))
        else:
            self.chosen.emit(self.field.key, value)

    def _leave(self) -> None:
        self._finish(None)

    def _finish(self, value: Any) -> None:
        self.chosen.emit(self.field.key, value)
        self.close_editor()

    def _on_focus(self, _old: QWidget | None, new: QWidget | None) -> None:
        if new is not None and not self.isAncestorOf(new) and new is not self:
            self.close_editor()

    def close_editor(self) -> None:
        """Close, once; say whether the focus was here and wants to go back to the bracket."""
        if not self._is_closing:
            self._is_closing = True
            focus = QApplication.focusWidget()
            had_focus = focus is not None and self.isAncestorOf(focus)
            self.hide()
            self.closed.emit(self.field.key, had_focus)
            self.deleteLater()

    def event(self, event: QEvent) -> bool:
        """Keep Escape for the editor while it is open."""
        if (
            event.type() is QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Close with Escape, and with Enter once the value was taken over."""
        if event.key() == Qt.Key.Key_Escape:
            self.close_editor()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if not (isinstance(self.input, QuantityField) and self.input.fault):
                self.close_editor()
        else:
            super().keyPressEvent(event)


def _number_in(text: str, default: float) -> float:
    """Return the number that a bracket shows, where the job leaves it to the recipe."""
    digits = "".join(c for c in text.split("mm")[0].split("rpm")[0] if c.isdigit() or c == ".")
    try:
        return float(digits)
    except ValueError:
        return default
