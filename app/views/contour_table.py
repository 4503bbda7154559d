"""The table of contours and passes: shows the selection and sets it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import (
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRectF,
    Qt,
)
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeView,
    QWidget,
)

from app.clipboard import Table
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.contour_model import (
    COLUMNS,
    CUTTER_COLUMN,
    MARGIN_COLUMN,
    MARGIN_ROLE,
    NOT_CUT,
    STATE_COLUMN,
    ContourModel,
)
from app.widgets.mark import mark

if TYPE_CHECKING:
    from app.desk import Desk

_MARKED = ("outside", "tight")
_LEAST_PX, _SHARES = (130, 70), (0.6, 0.4)
_FULL_BAR_K = 50.0
"""Heat margin at which the little bar is full; more is as good. [K]."""
_SAMPLES = (
    "12  Hole \u00f8 8 mm (1 of 8)",
    "\u25a0   outside",
    "T1 rougher 6 mm, up",
    "18 000",
    "12 000",
    "12.5",
    "0.1234",
    "0.1234",
    "0.1234",
    "120 120 ",
    "1 234.5",
)
"""A cell of each column as wide as most are; the columns begin as wide as these and their heads."""


class _Cell(QStyledItemDelegate):
    """Draws the mark of the state, and the heat margin as a signed bar beside its number."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one cell."""
        if index.column() not in (MARGIN_COLUMN, STATE_COLUMN):
            super().paint(painter, option, index)
            return
        painter.save()
        colours = self._desk.theme.palette
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        style = option.widget.style() if option.widget is not None else QApplication.style()
        self.initStyleOption(option, index)
        text, option.text = option.text, ""
        style.drawControl(QStyle.ControlElement.CE_ItemViewItem, option, painter, option.widget)
        painter.setPen(QColor(colours.on_focus if chosen else colours.ink))
        rect = QRectF(option.rect).adjusted(4, 0, -6, 0)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if index.column() == MARGIN_COLUMN:
            right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(rect, right, text)
            self._bar(painter, rect, index, chosen)
        else:
            at = QPointF(rect.left() + 8, rect.center().y())
            painter.drawText(rect.adjusted(20, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, text)
            state = "outside" if text == NOT_CUT else text
            if state in _MARKED:
                mark(painter, colours, state, at, 5.5)
        painter.restore()

    def _bar(
        self,
        painter: QPainter,
        rect: QRectF,
        index: QModelIndex | QPersistentModelIndex,
        chosen: bool,
    ) -> None:
        margin = index.data(MARGIN_ROLE)
        if margin is None:
            return
        colours = self._desk.theme.palette
        zero, full = rect.left() + 16, rect.width() - 50
        length = max(min(margin / _FULL_BAR_K, 1.0) * full, -14.0)
        colour = colours.line["good" if margin > 0 else "outside"]
        painter.fillRect(
            QRectF(zero, rect.center().y() - 4, length, 8).normalized(),
            QColor(colours.on_focus if chosen else colour),
        )
        painter.drawLine(QPointF(zero, rect.top() + 4), QPointF(zero, rect.bottom() - 4))


class ContourTable(QTreeView):
    """Contours with their passes below them."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._is_following = False
        self.contour_model = ContourModel(desk)
        self.setModel(self.contour_model)
        self.setItemDelegate(_Cell(desk, self))
        self.setUniformRowHeights(True)
        self.setAccessibleName("Contours and passes")
        self.setSelectionMode(QTreeView.SelectionMode.SingleSelection)
        self.setExpandsOnDoubleClick(True)
        self.setMinimumHeight(110)
        self.setHorizontalScrollMode(QTreeView.ScrollMode.ScrollPerPixel)
        header = self.header()
        header.setSectionsMovable(False)
        header.setStretchLastSection(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setFont(font(NOTE_PT))
        cells, heads = QFontMetrics(font(TEXT_PT)), QFontMetrics(font(NOTE_PT))
        for column, sample in enumerate(_SAMPLES):
            head = max(map(heads.horizontalAdvance, self.contour_model.head(column).split("\n")))
            header.resizeSection(column, max(cells.horizontalAdvance(sample), head) + 14)
        self.contour_model.modelReset.connect(self.expandAll)
        self.contour_model.modelReset.connect(self._follow)
        self.contour_model.renewed.connect(self.viewport().update)
        self.selectionModel().currentChanged.connect(self._on_current)
        desk.selection.changed.connect(self._follow)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the names of contours and cutters what the numbers leave."""
        super().resizeEvent(event)
        header = self.header()
        wide = (0, CUTTER_COLUMN)
        narrow = (column for column in range(len(COLUMNS)) if column not in wide)
        room = self.viewport().width() - sum(map(header.sectionSize, narrow))
        for column, share, least in zip(wide, _SHARES, _LEAST_PX, strict=True):
            header.resizeSection(column, max(int(room * share), least))

    def _on_current(self, index: QModelIndex, _before: QModelIndex) -> None:
        if index.isValid() and not self._is_following:
            self._desk.selection.set(self.contour_model.looked(index))

    def _follow(self) -> None:
        """Show the selection without setting it."""
        index = self.contour_model.index_of(self._desk.selection.now)
        self._is_following = True
        if index.isValid():
            select = (
                QItemSelectionModel.SelectionFlag.ClearAndSelect
                | QItemSelectionModel.SelectionFlag.Rows
            )
            self.selectionModel().setCurrentIndex(index, select)
            self.scrollTo(index)
        else:
            self.selectionModel().clear()
        self._is_following = False

    def table(self) -> Table:
        """Return the whole table for the clipboard."""
        model = self.contour_model
        heads = tuple(model.head(column).replace("\n", " ") for column in range(len(COLUMNS)))
        rows: list[tuple[str, ...]] = []
        for row in range(model.rowCount()):
            top = model.index(row, 0)
            rows.append(self._cells(top))
            rows += [self._cells(model.index(i, 0, top)) for i in range(model.rowCount(top))]
        return Table(heads, tuple(rows))

    def _cells(self, index: QModelIndex) -> tuple[str, ...]:
        model = self.contour_model
        return tuple(model.text(index.siblingAtColumn(column)) for column in range(len(COLUMNS)))

    def step(self, by: int) -> None:
        """Select the next or the previous contour."""
        contours = self.contour_model.contours
        if not contours:
            return
        keys = [(contour.drawing, contour.id) for contour in contours]
        now = self._desk.selection.now.contour
        at = keys.index(now) + by if now in keys else 0
        index = self.contour_model.index(at % len(keys), 0)
        self._desk.selection.set(self.contour_model.looked(index))
