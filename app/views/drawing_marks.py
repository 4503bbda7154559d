"""What a mark on the sheet says: a label at the one that is looked at, a tip at any other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QHelpEvent, QPainter, QPen
from PySide6.QtWidgets import QToolTip

from app.numbers import in_units
from app.views.drawing_words import grade_of, title_of
from app.views.sheet_scene import copy_transform

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.views.sheet_view import SheetView
    from core.errors import Finding

_PLACE_SHARE, _LEAST_PLACE_MM = 0.15, 20.0
"""What is shown around a place: a share of the parts' width, and at least so much. [mm]."""
_RING_PX, _GAP_PX, _PAD_PX = 12.0, 18.0, 6.0


def looked_at(view: SheetView) -> Finding | None:
    """Return the finding at the place that is selected, if there is one."""
    place = view.desk.selection.now.place_mm
    if place is None:
        return None
    return next((f for f in view.scene.findings if f.at_mm == place), None)


def _places(view: SheetView, finding: Finding) -> Iterator[QPointF]:
    """Yield where a finding is on the sheet shown, on every copy. [mm]."""
    for copy in view.scene.copies():
        if copy.drawing == finding.drawing and finding.at_mm is not None:
            yield copy_transform(copy).map(QPointF(*finding.at_mm))


def show_place(view: SheetView, finding: Finding) -> None:
    """Show the surroundings of a finding's place, on the first copy that has it."""
    place = next(_places(view, finding), None)
    if place is not None:
        side = max(_PLACE_SHARE * view.scene.parts_bounds().width(), _LEAST_PLACE_MM)
        square = QRectF(0.0, 0.0, side, side)
        square.moveCenter(place)
        view.show_rect(square)


def label(painter: QPainter, view: SheetView) -> None:
    """Ring the mark that is looked at on every copy, and say beside it what it is."""
    finding = looked_at(view)
    if finding is not None:
        words = f"{grade_of(finding)}: {title_of(finding.code)}"
        for place in _places(view, finding):
            _ring(painter, view, view.transform().map(place), words)


def _ring(painter: QPainter, view: SheetView, at: QPointF, words: str) -> None:
    colours = view.desk.theme.palette
    painter.setPen(QPen(QColor(colours.focus), 2.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawEllipse(at, _RING_PX, _RING_PX)
    metrics = QFontMetricsF(painter.font())
    width, height = metrics.horizontalAdvance(words) + 2 * _PAD_PX, metrics.height() + 6
    x = at.x() + _GAP_PX if at.x() + _GAP_PX + width < view.width() else at.x() - _GAP_PX - width
    box = QRectF(x, at.y() - height / 2, width, height)
    painter.setPen(QPen(QColor(colours.focus), 1.0))
    painter.setBrush(QColor(colours.paper))
    painter.drawRoundedRect(box, 4, 4)
    painter.setPen(QColor(colours.ink))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)


class MarkTips(QObject):
    """Says the whole sentence of a mark under a resting pointer."""

    def __init__(self, view: SheetView) -> None:
        super().__init__(view)
        self._view = view
        view.installEventFilter(self)

    def words_at(self, at: QPointF) -> str:
        """Return the sentence of the mark at a pixel, empty where there is none."""
        finding = self._view.finding_at(at)
        if finding is None:
            return ""
        message = in_units(finding.message, self._view.desk.units)
        return f"{grade_of(finding)}: {message}"

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Show the tip."""
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.words_at(QPointF(event.pos())), self._view)
            return True
        return False
