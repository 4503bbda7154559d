"""The box before a name in a list, drawn so that it is seen in light and in dark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import (
    QApplication,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

if TYPE_CHECKING:
    from app.theme import Theme

_TICK = ((0.22, 0.52), (0.43, 0.72), (0.80, 0.28))


class TickBoxes(QStyledItemDelegate):
    """Paints over the style's own box; where an item cannot be switched the box is pale."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one cell."""
        super().paint(painter, option, index)
        state = index.data(Qt.ItemDataRole.CheckStateRole)
        if state is None:
            return
        self.initStyleOption(option, index)
        style = option.widget.style() if option.widget is not None else QApplication.style()
        part = QStyle.SubElement.SE_ItemViewItemCheckIndicator
        box = QRectF(style.subElementRect(part, option, option.widget)).adjusted(0.5, 0.5, -0.5, -1)
        colours = self._theme.palette
        can_switch = bool(index.flags() & Qt.ItemFlag.ItemIsUserCheckable)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.ink if can_switch else colours.hairline), 1.2))
        painter.setBrush(QColor(colours.paper))
        painter.drawRoundedRect(box, 2.5, 2.5)
        if Qt.CheckState(state) is Qt.CheckState.Checked:
            corners = [
                QPointF(box.x() + x * box.width(), box.y() + y * box.height()) for x, y in _TICK
            ]
            painter.setPen(QPen(QColor(colours.ink), 1.8))
            painter.drawPolyline(QPolygonF(corners))
        painter.restore()
