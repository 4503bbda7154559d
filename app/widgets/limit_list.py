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
_ROW_PX = 26
_NEGATIVE_SHARE = 0.3
"""Share of the bar's room left of the zero line."""


def limit_words(limit: Limit, system: UnitSystem) -> str:
    """Return "actual of limit" in the limit's own unit."""
    if limit.unit == "":
        return f"{amount(limit.actual, '', system)} of {amount(limit.limit, '', system)}"
    actual = amount(limit.actual, limit.unit, system)
    return f"{actual} of {quantity(limit.limit, limit.unit, system)}"


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
        if limit.state.value != "good":
            mark(
                painter, colours, limit.state.value, QPointF(rect.left() + 13, rect.center().y()), 5
            )
        painter.setPen(QColor(colours.ink))
        painter.setFont(font(TEXT_PT, bold=limit.state.value != "good"))
        middle = Qt.AlignmentFlag.AlignVCenter
        label_width = rect.width() * 0.40
        label = QFontMetricsF(painter.font()).elidedText(
            limit.label, Qt.TextElideMode.ElideRight, label_width - 26
        )
        painter.drawText(rect.adjusted(24, 0, 0, 0), middle, label)
        painter.setFont(font(NOTE_PT))
        painter.setPen(QColor(colours.ink))
        words = limit_words(limit, self._list.system)
        right = Qt.AlignmentFlag.AlignRight | middle
        painter.drawText(rect.adjusted(0, 0, -8, 0), right, words)
        room = QRectF(rect.left() + label_width, rect.top(), rect.width() * 0.25, rect.height())
        self._bar(painter, limit, room)
        painter.restore()

    def _bar(self, painter: QPainter, limit: Limit, room: QRectF) -> None:
        colours = self._theme.palette
        zero = room.left() + room.width() * _NEGATIVE_SHARE
        right = room.width() * (1.0 - _NEGATIVE_SHARE)
        left = room.width() * _NEGATIVE_SHARE
        margin = min(max(limit.margin_ratio, -1.0), 1.0)
        length = margin * right if margin > 0 else max(margin * left, -left)
        bar = QRectF(zero, room.center().y() - 5, length, 10).normalized()
        fill = colours.line[limit.state.value]
        if limit.accepted:
            painter.fillRect(bar, Qt.BrushStyle.BDiagPattern)
        else:
            painter.fillRect(bar, QColor(fill))
        painter.setPen(QPen(QColor(colours.ink), 1))
        painter.drawLine(QPointF(zero, room.top() + 4), QPointF(zero, room.bottom() - 4))


class LimitList(QListWidget):
    """Shows limits; the current one is the one explained."""

    picked = Signal(str)

    def __init__(self, theme: Theme, system: UnitSystem, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.system = system
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
            item.setData(
                Qt.ItemDataRole.AccessibleTextRole, f"{limit.label}: {words}, {limit.state.value}"
            )
            if limit.name == chosen:
                self.setCurrentRow(row, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        self.blockSignals(False)
        self.setFixedHeight(max(len(limits), 1) * _ROW_PX + 4)
        self.viewport().update()

    def _on_current(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.picked.emit(item.data(_LIMIT).name)
