"""The limits of a pass as signed bars from one zero line, the worst one first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import (
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import (
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from app.numbers import amount, quantity
from app.theme import NOTE_PT, TEXT_PT, font
from app.widgets.mark import mark

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.theme import Theme
    from core.report.records import Limit
    from core.units import UnitSystem

_LIMIT = Qt.ItemDataRole.UserRole
_ROW_PX = 32
_FIRST_ROWS = 6
_NEGATIVE_SHARE = 0.3
"""Share of the bar's room left of the zero line."""


def limit_words(limit: Limit, system: UnitSystem) -> str:
    """Return "actual of limit" in the limit's own unit."""
    actual = amount(limit.actual, limit.unit, system)
    bound = quantity(limit.limit, limit.unit, system)
    return f"{actual}, at least {bound}" if is_lower(limit) else f"{actual} of {bound}"


def is_lower(limit: Limit) -> bool:
    """Return whether the actual value must be above the limit."""
    return limit.actual != limit.limit and (limit.actual > limit.limit) == (
        limit.margin_ratio >= 0.0
    )


class _Bar(QStyledItemDelegate):
    """Draws one limit: mark, label, bar, numbers."""

    def __init__(self, theme: Theme, parent: LimitList) -> None:
        super().__init__(parent)
        self._theme = theme
        self._list = parent

    def sizeHint(  # noqa: N802 - Qt's name
        self, _option: QStyleOptionViewItem, _index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Return the height of a row."""
        return QSize(200, _ROW_PX)

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one row."""
        limit: Limit = index.data(_LIMIT)
        colours = self._theme.palette
        rect = QRectF(option.rect)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if chosen:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colours.wash))
            painter.drawRoundedRect(rect.adjusted(1, 1, -1, -1), 4, 4)
        line = rect.adjusted(26, 1, -8, -11)
        middle = Qt.AlignmentFlag.AlignVCenter
        if limit.state.value != "good":
            at = QPointF(rect.left() + 13, line.center().y())
            mark(painter, colours, limit.state.value, at, 5)
        painter.setPen(QColor(colours.ink))
        painter.setFont(font(NOTE_PT))
        words = limit_words(limit, self._list.system)
        painter.drawText(line, Qt.AlignmentFlag.AlignRight | middle, words)
        room = line.width() - QFontMetricsF(painter.font()).horizontalAdvance(words) - 10
        painter.setFont(font(TEXT_PT, bold=limit.state.value != "good"))
        metrics = QFontMetricsF(painter.font())
        label = metrics.elidedText(_capital(limit.label), Qt.TextElideMode.ElideRight, room)
        painter.drawText(line, middle, label)
        self._bar(painter, limit, QRectF(line.left(), rect.bottom() - 12, line.width(), 9))
        painter.restore()

    def _bar(self, painter: QPainter, limit: Limit, room: QRectF) -> None:
        colours = self._theme.palette
        zero = room.left() + room.width() * _NEGATIVE_SHARE
        right = room.width() * (1.0 - _NEGATIVE_SHARE)
        left = room.width() * _NEGATIVE_SHARE
        margin = min(max(limit.margin_ratio, -1.0), 1.0)
        length = margin * right if margin > 0 else max(margin * left, -left)
        bar = QRectF(zero, room.center().y() - 3, length, 6).normalized()
        fill = colours.line[limit.state.value]
        if limit.accepted:
            painter.fillRect(bar, Qt.BrushStyle.BDiagPattern)
        else:
            painter.fillRect(bar, QColor(fill))
        painter.setPen(QPen(QColor(colours.ink), 1))
        painter.drawLine(QPointF(zero, room.top()), QPointF(zero, room.bottom()))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


class LimitList(QListWidget):
    """Shows limits; the current one is the one explained."""

    picked = Signal(str)
    fitted = Signal(int)

    def __init__(self, theme: Theme, system: UnitSystem, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.system = system
        self.shows_all = False
        self.setItemDelegate(_Bar(theme, self))
        self.setFrameShape(QListWidget.Shape.NoFrame)
        self.setAccessibleName("Limits of the selected pass, the worst first")
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.currentItemChanged.connect(self._on_current)
        theme.changed.connect(self.viewport().update)

    def show_limits(self, limits: Sequence[Limit], chosen: str) -> None:
        """Show limits in this order and mark the chosen one."""
        self.blockSignals(True)
        while self.count() > len(limits):
            self.takeItem(self.count() - 1)
        while self.count() < len(limits):
            self.addItem(QListWidgetItem())
        for row, limit in enumerate(limits):
            item = self.item(row)
            words = limit_words(limit, self.system)
            item.setData(_LIMIT, limit)
            item.setToolTip(limit.label)
            item.setData(
                Qt.ItemDataRole.AccessibleTextRole, f"{limit.label}: {words}, {limit.state.value}"
            )
            if limit.name == chosen:
                self.setCurrentRow(row, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        self.blockSignals(False)
        self.verticalScrollBar().setValue(0)
        self._fit()
        self.viewport().update()

    def shown_rows(self) -> int:
        """Return how many rows are shown: the first, all that are not good, and the chosen one."""
        if self.shows_all:
            return self.count()
        limits: list[Limit] = [self.item(row).data(_LIMIT) for row in range(self.count())]
        bad = sum(limit.state.value != "good" for limit in limits)
        return min(max(_FIRST_ROWS, bad, self.currentRow() + 1), self.count())

    def set_shows_all(self, shows_all: bool) -> None:
        """Show every limit, or only the first ones."""
        self.shows_all = shows_all
        self._fit()

    def _fit(self) -> None:
        self.setFixedHeight(max(self.shown_rows(), 1) * _ROW_PX + 4)
        self.fitted.emit(self.count() - self.shown_rows())

    def _on_current(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.picked.emit(item.data(_LIMIT).name)
