"""The sheet with what belongs to it: how it is painted, the legend, which sheet, zoom."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.numbers import quantity
from app.theme import NOTE_PT, font
from app.views.along import AlongPanel
from app.views.scales import Paint, ramp
from app.views.sheet_overlay import CutterMark
from app.views.sheet_view import SheetView
from app.views.strokes import BINS

if TYPE_CHECKING:
    from app.actions import Actions
    from app.desk import Desk

_BAR_PX = 150
ZOOM_ACTIONS = ("zoom_out", "zoom_in", "fit", "fit_selected")


class Legend(QWidget):
    """The colours of the path with the numbers at both ends and at the limit."""

    def __init__(self, desk: Desk, view: SheetView, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._view = desk, view
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Legend")
        self.refresh()

    def refresh(self) -> None:
        """Say what the colours mean now."""
        worst, middle, best = self.words()
        said = ", ".join(filter(None, (f"{worst} to {best}", middle)))
        self.setAccessibleDescription(said)
        self.setToolTip(said)
        self.updateGeometry()
        self.update()

    def words(self) -> tuple[str, str, str]:
        """Return what stands at the worst end, at the limit (or nothing), at the best end."""
        scale = self._view.scene.scale(self._view.paint_by)
        if scale.paint is Paint.STATE:
            return "outside", "tight", "good"
        units = self._desk.units
        middle = ""
        if scale.limit is not None:
            word = "thin below" if scale.paint is Paint.CHIP else "tight above"
            middle = f"{word} {quantity(scale.limit, scale.unit, units)}"
        worst, best = (quantity(v, scale.unit, units) for v in (scale.worst, scale.best))
        return worst, middle, best

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for bar and words."""
        metrics = QFontMetricsF(font(NOTE_PT))
        worst, middle, best = self.words()
        words = sum(metrics.horizontalAdvance(word) for word in (worst, best))
        middle_width = metrics.horizontalAdvance(middle) + 16 if middle else 0
        return QSize(round(words + middle_width) + _BAR_PX + 24, round(metrics.height()) + 8)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint words, bar, words."""
        colours = self._desk.theme.palette
        painter = QPainter(self)
        painter.setFont(font(NOTE_PT))
        metrics = QFontMetricsF(painter.font())
        worst, middle, best = self.words()
        baseline = self.height() / 2 + metrics.ascent() / 2 - 1
        x = 4.0
        painter.setPen(QColor(colours.muted))
        if self._view.paint_by is Paint.STATE:
            for word in (worst, middle, best):
                swatch = QRectF(x, self.height() / 2 - 4, 24, 8)
                painter.fillRect(swatch, QColor(colours.line[word]))
                painter.drawText(round(x + 30), round(baseline), word)
                x += metrics.horizontalAdvance(word) + 44
            painter.end()
            return
        painter.drawText(round(x), round(baseline), worst)
        x += metrics.horizontalAdvance(worst) + 8
        steps = ramp(colours, is_state=False)
        width = _BAR_PX / BINS
        for index, colour in enumerate(steps[:BINS]):
            cell = QRectF(x + index * width, self.height() / 2 - 4, width + 0.5, 8)
            painter.fillRect(cell, QColor(colour))
        x += _BAR_PX + 8
        painter.drawText(round(x), round(baseline), best)
        x += metrics.horizontalAdvance(best) + 16
        if x + metrics.horizontalAdvance(middle) <= self.width():
            painter.drawText(round(x), round(baseline), middle)
        painter.end()


class SheetPanel(QWidget):
    """The sheet view with its head."""

    def __init__(self, desk: Desk, actions: Actions, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.view = SheetView(desk, self)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(4)
        head = QHBoxLayout()
        head.setSpacing(4)
        self._group = QButtonGroup(self)
        for number, paint in enumerate(Paint):
            button = QPushButton(paint.value)
            button.setCheckable(True)
            button.setProperty("role", "choice")
            button.setFont(font(NOTE_PT))
            button.setAccessibleName(f"paint by {paint.value}")
            self._group.addButton(button, number)
            head.addWidget(button)
        self._group.idClicked.connect(self._on_paint)
        self.legend = Legend(desk, self.view, self)
        head.addWidget(self.legend)
        head.addStretch(1)
        self._add_sheets(head)
        for name in ZOOM_ACTIONS:
            tool = QToolButton()
            tool.setDefaultAction(actions[name])
            tool.setAutoRaise(True)
            tool.setAccessibleName(actions[name].text())
            tool.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            head.addWidget(tool)
        box.addLayout(head)
        box.addWidget(self.view, 1)
        self.along = AlongPanel(desk, self)
        self.along.moved.connect(self._on_cutter)
        box.addWidget(self.along)
        desk.document.changed.connect(self.refresh)
        desk.units_changed.connect(self.legend.refresh)
        desk.theme.changed.connect(self.legend.update)
        self.set_paint(self.view.paint_by)

    def _add_sheets(self, head: QHBoxLayout) -> None:
        self.sheet_label = QLabel()
        self.sheet_label.setFont(font(NOTE_PT))
        self.previous = QToolButton()
        self.previous.setText("\u2039")
        self.previous.setAccessibleName("previous sheet")
        self.next = QToolButton()
        self.next.setText("\u203a")
        self.next.setAccessibleName("next sheet")
        self.previous.clicked.connect(self._previous_sheet)
        self.next.clicked.connect(self._next_sheet)
        for widget in (self.previous, self.sheet_label, self.next):
            head.addWidget(widget)

    def refresh(self) -> None:
        """Show the legend and the sheets of the report."""
        self.legend.refresh()
        report = self._desk.report
        count = len(report.sheets) if report is not None else 0
        index = self.view.scene.sheet_index
        for widget in (self.previous, self.sheet_label, self.next):
            widget.setVisible(count > 1)
        self.sheet_label.setText(f"sheet {index + 1} of {count}")
        self.previous.setEnabled(index > 0)
        self.next.setEnabled(index + 1 < count)

    def set_paint(self, paint: Paint) -> None:
        """Paint the paths by a number."""
        self._group.button(list(Paint).index(paint)).setChecked(True)
        self.view.set_paint(paint)
        self.legend.refresh()

    def _on_paint(self, number: int) -> None:
        self.set_paint(list(Paint)[number])

    def _previous_sheet(self) -> None:
        self._show_sheet(self.view.scene.sheet_index - 1)

    def _next_sheet(self) -> None:
        self._show_sheet(self.view.scene.sheet_index + 1)

    def _on_cutter(self, mark: CutterMark | None) -> None:
        """Show the cutter where the time slider has it, on its sheet."""
        if mark is not None and mark.sheet != self.view.scene.sheet_index:
            self._show_sheet(mark.sheet)
        self.view.cutter = mark
        self.view.update()

    def _show_sheet(self, index: int) -> None:
        self.view.show_sheet(index)
        self.refresh()
