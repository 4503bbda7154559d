"""A list of choices from the shelf: each with its name and, below it, values and their sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from app.numbers import tidy
from app.theme import NOTE_PT, TEXT_PT, font

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.fields import Option
    from app.theme import Theme

_NOTE = Qt.ItemDataRole.UserRole + 1
_PAD = 6
_ROWS_SHOWN = 6


class _TwoLines(QStyledItemDelegate):
    """Draws the name and, below it, the note."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one choice."""
        colours = self._theme.palette
        selected = bool(option.state & QStyle.StateFlag.State_Selected)
        rect: QRect = option.rect
        if selected:
            painter.fillRect(rect, QColor(colours.focus))
        inner = rect.adjusted(_PAD, _PAD // 2, -_PAD, -_PAD // 2)
        painter.setFont(font(TEXT_PT, bold=True))
        painter.setPen(QColor(colours.on_focus if selected else colours.ink))
        top = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
        painter.drawText(inner, top, index.data())
        note = index.data(_NOTE)
        if note:
            below = inner.adjusted(0, QFontMetrics(painter.font()).height() + 1, 0, 0)
            painter.setFont(font(NOTE_PT))
            painter.setPen(QColor(colours.on_focus if selected else colours.muted))
            painter.drawText(below, top | Qt.TextFlag.TextWordWrap, note)

    def sizeHint(  # noqa: N802 - Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Return the height that the wrapped note needs."""
        width = self._width()
        height = QFontMetrics(font(TEXT_PT, bold=True)).height() + _PAD
        if index.data(_NOTE):
            wrap = QRect(0, 0, width - 2 * _PAD, 1000)
            metrics = QFontMetrics(font(NOTE_PT))
            height += metrics.boundingRect(
                wrap, Qt.TextFlag.TextWordWrap, index.data(_NOTE)
            ).height()
            height += 3
        return QSize(width, height)

    def _width(self) -> int:
        parent = self.parent()
        assert isinstance(parent, ChoiceList)
        return parent.viewport().width()


class ChoiceList(QListWidget):
    """Arrows and typing find a choice, Enter or a click takes it."""

    chosen = Signal(str)

    def __init__(
        self, options: Sequence[Option], now: str, theme: Theme, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setItemDelegate(_TwoLines(theme, self))
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QListWidget.Shape.NoFrame)
        for option in options:
            item = QListWidgetItem(option.name)
            item.setData(Qt.ItemDataRole.UserRole, option.key)
            item.setData(_NOTE, tidy(option.note))
            item.setData(Qt.ItemDataRole.AccessibleDescriptionRole, option.note)
            self.addItem(item)
            if option.key == now:
                self.setCurrentItem(item)
        self.itemClicked.connect(self._take)

    def wanted_height(self) -> int:
        """Return the height that shows the first choices whole. [px]."""
        rows = min(self.count(), _ROWS_SHOWN)
        return sum(self.sizeHintForRow(row) for row in range(rows)) + 2 * self.frameWidth() + 2

    def _take(self, item: QListWidgetItem) -> None:
        self.chosen.emit(item.data(Qt.ItemDataRole.UserRole))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Take the current choice with Enter."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            item = self.currentItem()
            if item is not None:
                self._take(item)
        else:
            super().keyPressEvent(event)
