"""The job as one sentence; every bracket is a field that is edited where it stands."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from app.fields import BY_KEY, Field, Kind, with_value
from app.numbers import in_units, quantity
from app.theme import TEXT_PT, font
from app.views.field_editor import FieldEditor

if TYPE_CHECKING:
    from app.desk import Desk
    from core.report.records import SentencePart

_GAP = 4
_LINE_SPACING = 5
_PAD = 12
_LONGEST_BRACKET = 60


class Bracket(QPushButton):
    """A piece of the sentence that can be edited."""

    def __init__(self, field: Field, parent: QWidget) -> None:
        super().__init__(parent)
        self.field = field
        self.setProperty("role", "bracket")
        self.setFont(font(TEXT_PT))
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def set_words(self, text: str) -> None:
        """Show a value."""
        short = text if len(text) <= _LONGEST_BRACKET else f"{text[: _LONGEST_BRACKET - 1]}\u2026"
        self.setText(short.replace("&", "&&"))
        self.setToolTip(f"{self.field.label}: {text}")
        self.setAccessibleName(f"{self.field.label}: {text}")


class SentenceView(QWidget):
    """Lays the sentence out like text, with buttons for its brackets."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.desk = desk
        self.editor: FieldEditor | None = None
        self._brackets: dict[str, Bracket] = {}
        self._parts: tuple[SentencePart, ...] = ()
        self._words: list[tuple[QPoint, str]] = []
        self._height = 0
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFont(font(TEXT_PT))
        desk.document.changed.connect(self.load)
        desk.units_changed.connect(self._refresh)

    def bracket(self, key: str) -> Bracket | None:
        """Return the bracket of a field, if the sentence has it."""
        return self._brackets.get(key)

    def load(self) -> None:
        """Show the sentence of the latest report; the last one stays while there is none."""
        report = self.desk.report
        if report is not None:
            self._parts = report.sentence_parts
        self._refresh()

    def _refresh(self) -> None:
        wanted = [part for part in self._parts if part.field in BY_KEY]
        for key in set(self._brackets) - {part.field for part in wanted}:
            self._brackets.pop(key).deleteLater()
        before: QWidget | None = None
        for part in wanted:
            bracket = self._brackets.get(part.field)
            if bracket is None:
                bracket = Bracket(BY_KEY[part.field], self)
                bracket.clicked.connect(self._on_click)
                self._brackets[part.field] = bracket
                bracket.show()
            is_name = bracket.field.kind is Kind.TEXT
            bracket.set_words(part.text if is_name else in_units(part.text, self.desk.units))
            if before is not None:
                QWidget.setTabOrder(before, bracket)
            before = bracket
        self.setAccessibleName(in_units("".join(p.text for p in self._parts), self.desk.units))
        self._lay_out(self.width())
        self.updateGeometry()
        self.update()

    def _on_click(self) -> None:
        bracket = self.sender()
        assert isinstance(bracket, Bracket)
        self.open(bracket.field.key)

    def open(self, key: str) -> None:
        """Open the editor of a field under its bracket."""
        bracket = self._brackets.get(key)
        if bracket is None:
            return
        if self.editor is not None:
            self.editor.close_editor()
        window = self.window()
        editor = FieldEditor(BY_KEY[key], self.desk, bracket.text(), window)
        editor.chosen.connect(self._on_chosen)
        editor.closed.connect(self._on_closed)
        below = bracket.mapTo(window, QPoint(0, bracket.height() + 2))
        editor.fit_into(window.height() - below.y() - 10)
        x = min(below.x(), window.width() - editor.width() - 10)
        y = min(below.y(), window.height() - editor.height() - 10)
        editor.move(max(x, 10), max(y, 10))
        self.editor = editor
        editor.begin()

    def _on_chosen(self, key: str, value: object) -> None:
        field = BY_KEY[key]
        shown = f"left to the {field.left_to}" if value is None else str(value)
        if isinstance(value, float):
            shown = quantity(value, field.unit, self.desk.units)
        self.desk.document.edit(f"{field.label}: {shown}", lambda job: with_value(job, key, value))

    def _on_closed(self, key: str, had_focus: bool) -> None:
        self.editor = None
        bracket = self._brackets.get(key)
        if bracket is not None and had_focus:
            bracket.setFocus(Qt.FocusReason.PopupFocusReason)

    # layout

    def _lay_out(self, width: int) -> int:
        """Put words and brackets into lines; return the height they take."""
        metrics = QFontMetrics(self.font())
        line_height = metrics.height() + 8
        x, y = _PAD, 4
        words: list[tuple[QPoint, str]] = []
        for part in self._parts:
            bracket = self._brackets.get(part.field)
            if bracket is not None:
                size = bracket.sizeHint()
                if x > _PAD and x + size.width() > width - _PAD:
                    x, y = _PAD, y + line_height + _LINE_SPACING
                bracket.setGeometry(QRect(x, y, size.width(), line_height))
                x += size.width() + _GAP
                continue
            for word in re.findall(r"\S+", in_units(part.text, self.desk.units)):
                advance = metrics.horizontalAdvance(word)
                is_mark = word in (".", ",", ";") or word[0] in ".,;"
                if is_mark and x > _PAD:
                    x -= _GAP - 1
                elif x > _PAD and x + advance > width - _PAD:
                    x, y = _PAD, y + line_height + _LINE_SPACING
                words.append((QPoint(x, y + 4 + metrics.ascent()), word))
                x += advance + metrics.horizontalAdvance(" ")
        self._words = words
        self._height = y + line_height + 6 if self._parts else 0
        return self._height

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """Return True: the sentence wraps."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Return the height of the wrapped sentence."""
        height = self._lay_out(width)
        self._lay_out(self.width())
        return height

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that holds the sentence in a few lines."""
        return QSize(900, self._height or 60)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Wrap anew."""
        super().resizeEvent(event)
        self._lay_out(self.width())

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 - Qt's name
        """Wrap anew when the style changes, as brackets then have another size."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.StyleChange:
            self._lay_out(self.width())

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the words between the brackets."""
        painter = QPainter(self)
        painter.setPen(QColor(self.desk.theme.palette.ink))
        painter.setFont(self.font())
        for at, word in self._words:
            painter.drawText(at, word)
        painter.end()
