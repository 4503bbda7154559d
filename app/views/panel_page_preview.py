"""The panel to scale, with its dimensions; what is being edited stands out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.numbers import quantity
from app.theme import TEXT_PT, font
from app.views.camera import Camera
from app.views.sheet_scene import polyline
from app.views.strokes import cosmetic_pen

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    from numpy.typing import NDArray

    from app.desk import Desk
    from app.views.panel_page_check import Looked

_MARGIN_PX, _ARROW_PX = 46, 7


class PanelPreview(QWidget):
    """Draws the panel that was looked at last."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._looked: Looked | None = None
        self._lit: QPainterPath | None = None
        self.setMinimumSize(220, 160)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The panel to scale")
        desk.theme.changed.connect(self.update)
        desk.units_changed.connect(self.update)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that shows something."""
        return QSize(620, 420)

    def show_panel(self, looked: Looked) -> None:
        """Show a panel."""
        self._looked = looked
        width, height = looked.panel.size_mm
        words = f"{quantity(width, 'mm', self._desk.units)} by "
        words += f"{quantity(height, 'mm', self._desk.units)}, {len(looked.openings_mm)} openings"
        self.setAccessibleDescription(words)
        self.update()

    def light(self, path: QPainterPath | None) -> None:
        """Make a feature stand out."""
        self._lit = path
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint panel and dimensions."""
        colours = self._desk.theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(colours.panel))
        if self._looked is None or self._looked.outline_mm is None:
            painter.setPen(QColor(colours.muted))
            words = "" if self._looked is None else "This cannot be drawn; see the fault beside it."
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, words)
            painter.end()
            return
        camera = self._camera(self._looked)
        painter.setTransform(camera.transform())
        painter.setPen(cosmetic_pen(colours.ink, 1.4))
        painter.setBrush(QColor(colours.paper))
        painter.drawPath(picture(self._looked))
        if self._lit is not None:
            painter.setPen(cosmetic_pen(colours.focus, 2.6))
            painter.setBrush(QColor(colours.wash))
            painter.drawPath(self._lit)
        painter.resetTransform()
        self._dimensions(painter, camera, self._looked)
        painter.end()

    def _camera(self, looked: Looked) -> Camera:
        margin = _MARGIN_PX
        camera = Camera(QRectF(self.rect()).adjusted(margin + 24, 8, -16, -margin))
        camera.show(QRectF(0.0, 0.0, *looked.panel.size_mm))
        return camera

    def _dimensions(self, painter: QPainter, camera: Camera, looked: Looked) -> None:
        colours, system = self._desk.theme.palette, self._desk.units
        width, height = looked.panel.size_mm
        low = camera.transform().map(QPointF(0.0, 0.0))
        high = camera.transform().map(QPointF(width, height))
        painter.setPen(QColor(colours.muted))
        painter.setFont(font(TEXT_PT))
        y, x = low.y() + 16, low.x() - 16
        _line(painter, QPointF(low.x(), y), QPointF(high.x(), y))
        _line(painter, QPointF(x, low.y()), QPointF(x, high.y()))
        painter.setPen(QColor(colours.ink))
        below = QRectF(low.x(), y + 3, high.x() - low.x(), 20)
        centre = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip
        painter.drawText(below, centre, quantity(width, "mm", system))
        painter.translate(x - 14, (low.y() + high.y()) / 2)
        painter.rotate(-90)
        words = quantity(height, "mm", system)
        across = QFontMetricsF(painter.font()).horizontalAdvance(words)
        painter.drawText(QPointF(-across / 2, 4), words)
        painter.resetTransform()


def _line(painter: QPainter, start: QPointF, end: QPointF) -> None:
    """Draw a dimension line with a stroke across each end."""
    painter.drawLine(start, end)
    across = _ARROW_PX * 0.7
    for at in (start, end):
        painter.drawLine(at + QPointF(-across, across), at + QPointF(across, -across))


def picture(looked: Looked) -> QPainterPath:
    """Return outline and openings as one path, filled between them."""
    outline = () if looked.outline_mm is None else (looked.outline_mm,)
    return rings_path((*outline, *looked.openings_mm))


def rings_path(rings: Iterable[NDArray[np.float64]]) -> QPainterPath:
    """Return closed rings as one path, filled by the even-odd rule."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for ring in rings:
        path.addPolygon(polyline(ring))
        path.closeSubpath()
    return path
