"""Speed, actual chip load and wall temperature over the time of one pass, under one cursor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.numbers import quantity
from app.theme import NOTE_PT, font

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from app.desk import Desk
    from app.views.along_timeline import PassOverTime

HEIGHT_PX = 92
_GAP_PX, _TOP_PX, _FOOT_PX = 12, 18, 4


@dataclass(frozen=True, eq=False, slots=True)
class Curve:
    """One number over the time of a pass, with the line that it is held against."""

    name: str
    unit: str
    values: NDArray[np.float64]
    line: float | None
    line_is: str


class PassChart(QWidget):
    """Three small charts side by side; a click or a drag puts the cursor."""

    picked = Signal(float)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self._pass: PassOverTime | None = None
        self.curves: tuple[Curve, ...] = ()
        self.cursor_s = 0.0
        self.setFixedHeight(HEIGHT_PX)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Speed, chip load and wall temperature along the pass")
        self.setCursor(Qt.CursorShape.CrossCursor)

    def show_pass(self, one: PassOverTime | None, softening_c: float | None) -> None:
        """Show the numbers of a pass."""
        if one is self._pass:
            return
        self._pass = one
        self.curves = () if one is None else tuple(_curves(one, softening_c))
        self.update()

    def set_cursor_s(self, cut_s: float) -> None:
        """Put the cursor to a time since the main cut began. [s]."""
        self.cursor_s = cut_s
        self.setAccessibleDescription("; ".join(self.words(curve) for curve in self.curves))
        self.update()

    def words(self, curve: Curve) -> str:
        """Return what a curve says at the cursor."""
        value, units = self.value(curve), self._desk.units
        shown = quantity(value, curve.unit, units)
        held = f", {curve.line_is} {quantity(curve.line, curve.unit, units)}" if curve.line else ""
        return f"{curve.name} {shown}{held}"

    def value(self, curve: Curve) -> float | None:
        """Return the value at the cursor; None while nothing is cut."""
        one = self._pass
        if one is None or not 0.0 <= self.cursor_s <= one.whole_s:
            return None
        return float(np.interp(self.cursor_s, one.time_s, curve.values))

    def _boxes(self) -> list[QRectF]:
        count = max(len(self.curves), 1)
        width = (self.width() - (count - 1) * _GAP_PX) / count
        height = self.height() - _TOP_PX - _FOOT_PX
        return [QRectF(k * (width + _GAP_PX), _TOP_PX, width, height) for k in range(count)]

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the charts."""
        painter = QPainter(self)
        painter.setFont(font(NOTE_PT))
        for curve, box in zip(self.curves, self._boxes(), strict=False):
            self._paint(painter, curve, box)
        painter.end()

    def _paint(self, painter: QPainter, curve: Curve, box: QRectF) -> None:
        colours, metrics = self._desk.theme.palette, QFontMetricsF(painter.font())
        painter.setPen(QPen(QColor(colours.hairline), 1))
        painter.setBrush(QColor(colours.paper))
        painter.drawRect(box)
        painter.setPen(QColor(colours.ink))
        words = metrics.elidedText(self.words(curve), Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(QPointF(box.left(), metrics.ascent() + 1), words)
        assert self._pass is not None, "curves are those of a pass"
        whole_s = max(self._pass.whole_s, 1e-9)
        top = 1.08 * max(float(np.nanmax(curve.values, initial=0.0)), curve.line or 0.0, 1e-9)

        def to_pixel(time_s: float, value: float) -> QPointF:
            x = box.left() + time_s / whole_s * box.width()
            return QPointF(x, box.bottom() - value / top * box.height())

        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if curve.line is not None:
            painter.setPen(QPen(QColor(colours.line["tight"]), 1, Qt.PenStyle.DashLine))
            painter.drawLine(to_pixel(0.0, curve.line), to_pixel(whole_s, curve.line))
        painter.setPen(QPen(QColor(colours.line["good"]), 1.5))
        pairs = zip(self._pass.time_s.tolist(), curve.values.tolist(), strict=True)
        painter.drawPolyline(QPolygonF([to_pixel(*pair) for pair in pairs]))
        if 0.0 <= self.cursor_s <= whole_s:
            painter.setPen(QPen(QColor(colours.focus), 1.5))
            painter.drawLine(to_pixel(self.cursor_s, 0.0), to_pixel(self.cursor_s, top))

    def _pick(self, at: QPointF) -> None:
        if self._pass is None:
            return
        for box in self._boxes():
            if box.left() - _GAP_PX / 2 <= at.x() <= box.right() + _GAP_PX / 2:
                share = min(max((at.x() - box.left()) / box.width(), 0.0), 1.0)
                self.picked.emit(share * self._pass.whole_s)
                return

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Put the cursor."""
        self._pick(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Drag the cursor."""
        self._pick(event.position())


def _curves(one: PassOverTime, softening_c: float | None) -> list[Curve]:
    speed = one.planned_speed_mm_min
    curves = [
        Curve("speed", "mm/min", one.speed_mm_min, speed, "planned"),
        Curve("actual chip load", "mm", one.feed_per_tooth_mm, one.thin_below_mm, "thin below"),
    ]
    if one.wall_c is not None:
        curves.append(Curve("wall, modelled", "°C", one.wall_c, softening_c, "softens at"))
    return curves
