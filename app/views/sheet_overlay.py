"""What lies over the still picture of the sheet: rulers, selection, marks of findings, the tip."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.desk import step_name
from app.numbers import quantity, shown_unit
from app.theme import NOTE_PT, font
from app.views import drawing_marks
from app.views.sheet_scene import copy_transform, nice_step, outline_path, polyline
from app.views.strokes import cosmetic_pen
from app.widgets.mark import mark, mark_of
from core.units import in_system

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.views.sheet_view import SheetView
    from core.errors import Finding
    from core.layout.records import Copy
    from core.report.records import ContourReport

RULER_PX = 42
_EDGE_SHARE = 0.03
"""Share of a ruler at both ends where no mark stands, as its number would be cut."""


@dataclass(frozen=True, eq=False)
class Hovered:
    """A sample of a pass under the pointer, on one copy."""

    contour: ContourReport
    step: int
    sample: int
    copy: Copy
    at_mm: tuple[float, float]

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Hovered):
            return NotImplemented
        mine = (id(self.contour), self.step, self.sample, self.copy)
        return mine == (id(other.contour), other.step, other.sample, other.copy)

    def __hash__(self) -> int:
        return hash((id(self.contour), self.step, self.sample))


@dataclass(frozen=True, slots=True)
class CutterMark:
    """Where the cutter stands on a sheet, how wide it is, and whether it cuts."""

    sheet: int
    at_mm: tuple[float, float]
    diameter_mm: float
    is_cutting: bool


def paint(painter: QPainter, view: SheetView) -> None:
    """Paint everything that lies over the still picture."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(font(NOTE_PT))
    _selection(painter, view)
    for finding, where in finding_places(view):
        mark(painter, view.desk.theme.palette, mark_of(finding), where)
    drawing_marks.label(painter, view)
    _cutter(painter, view)
    _rulers(painter, view)
    if view.hovered is not None:
        _tip(painter, view, view.hovered)


def _selection(painter: QPainter, view: SheetView) -> None:
    contour, cut_pass = view.desk.contour(), view.desk.cut_pass()
    if contour is None:
        return
    colours = view.desk.theme.palette
    halo = QColor(colours.focus)
    halo.setAlpha(90)
    for copy in view.scene.copies():
        if copy.drawing != contour.drawing:
            continue
        painter.setTransform(copy_transform(copy) * view.transform())
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(cosmetic_pen(colours.focus, 2))
        painter.drawPath(outline_path([contour]))
        if cut_pass is not None and len(cut_pass.trace.xy_mm) > 1:
            pen = cosmetic_pen(colours.focus, 7)
            pen.setColor(halo)
            painter.setPen(pen)
            painter.drawPolyline(polyline(cut_pass.trace.xy_mm))
    painter.resetTransform()
    place = view.desk.selection.now.place_mm
    if place is not None:
        for copy in view.scene.copies():
            if copy.drawing == contour.drawing:
                at = view.transform().map(copy_transform(copy).map(QPointF(*place)))
                painter.setPen(QPen(QColor(colours.ink), 2))
                painter.setBrush(QColor(colours.paper))
                painter.drawEllipse(at, 4.5, 4.5)


def _cutter(painter: QPainter, view: SheetView) -> None:
    """Draw the cutter of the time slider at its true width, never too small to be seen."""
    cutter = view.cutter
    if cutter is None or cutter.sheet != view.scene.sheet_index:
        return
    colours, at = view.desk.theme.palette, view.transform().map(QPointF(*cutter.at_mm))
    radius = max(cutter.diameter_mm / 2.0 * view.camera.scale, 3.5)
    fill = QColor(colours.focus)
    fill.setAlpha(150 if cutter.is_cutting else 0)
    painter.setPen(QPen(QColor(colours.paper), 4))
    painter.drawEllipse(at, radius, radius)
    painter.setPen(QPen(QColor(colours.focus), 2))
    painter.setBrush(fill)
    painter.drawEllipse(at, radius, radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)


def finding_places(view: SheetView) -> Iterator[tuple[Finding, QPointF]]:
    """Yield every finding that has a place, with its pixel, on every copy."""
    transform = view.transform()
    for copy in view.scene.copies():
        to_sheet = copy_transform(copy)
        for finding in view.scene.findings:
            if finding.at_mm is not None and finding.drawing == copy.drawing:
                yield finding, transform.map(to_sheet.map(QPointF(*finding.at_mm)))


def _rulers(painter: QPainter, view: SheetView) -> None:
    colours = view.desk.theme.palette
    width, height = view.width(), view.height()
    painter.fillRect(QRectF(0, 0, RULER_PX, height), QColor(colours.panel))
    painter.fillRect(QRectF(0, height - RULER_PX, width, RULER_PX), QColor(colours.panel))
    painter.setPen(QColor(colours.hairline))
    painter.drawLine(QPointF(RULER_PX, 0), QPointF(RULER_PX, height - RULER_PX))
    bottom = height - RULER_PX
    painter.drawLine(QPointF(RULER_PX, bottom), QPointF(width, bottom))
    unit_mm = 1.0 / in_system(1.0, "mm", view.desk.units)[0]
    low, high = view.to_sheet(QPointF(RULER_PX, bottom)), view.to_sheet(QPointF(width, 0))
    for value, at in _ticks(low.x(), high.x(), unit_mm, max(int(width / 110), 2)):
        x = view.transform().map(QPointF(at, 0)).x()
        painter.setPen(QColor(colours.border))
        painter.drawLine(QPointF(x, bottom), QPointF(x, bottom + 5))
        painter.setPen(QColor(colours.muted))
        where = QRectF(x - 50, bottom + 6, 100, 16)
        painter.drawText(where, Qt.AlignmentFlag.AlignCenter, value)
    for value, at in _ticks(low.y(), high.y(), unit_mm, max(int(height / 70), 2)):
        y = view.transform().map(QPointF(0, at)).y()
        painter.setPen(QColor(colours.border))
        painter.drawLine(QPointF(RULER_PX - 5, y), QPointF(RULER_PX, y))
        painter.setPen(QColor(colours.muted))
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(0, y - 8, RULER_PX - 7, 16), right, value)
    painter.setPen(QColor(colours.muted))
    unit = shown_unit("mm", view.desk.units)
    corner = QRectF(0, bottom, RULER_PX - 7, RULER_PX)
    painter.drawText(corner, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, unit)


def _ticks(
    low_mm: float, high_mm: float, unit_mm: float, count: int
) -> Iterator[tuple[str, float]]:
    """Yield the text and the place of every mark that a ruler shows."""
    step = nice_step((high_mm - low_mm) / unit_mm, count)
    edge_mm = _EDGE_SHARE * (high_mm - low_mm)
    number = int(low_mm / unit_mm / step) - 1
    while (number := number + 1) * step * unit_mm <= high_mm - edge_mm:
        if number * step * unit_mm >= low_mm + edge_mm:
            yield f"{number * step:g}".replace("-", "\u2212"), number * step * unit_mm


def tip_lines(view: SheetView, hovered: Hovered) -> list[str]:
    """Return what the tip says about the place under the pointer."""
    cut_pass = hovered.contour.passes[hovered.step]
    trace, at, system = cut_pass.trace, hovered.sample, view.desk.units
    step = step_name(hovered.contour, hovered.step)
    lines = [
        f"{hovered.contour.id}  {hovered.contour.name} \u00b7 {step}",
        f"actual chip load {quantity(float(trace.feed_per_tooth_mm[at]), 'mm', system)}"
        f" of {quantity(cut_pass.feed_per_tooth_mm, 'mm', system)}",
        f"chip thickness {quantity(float(trace.chip_mm[at]), 'mm', system)}",
        f"speed {quantity(float(trace.speed_mm_min[at]), 'mm/min', system)}",
    ]
    if trace.wall_c is None:
        lines.append("wall temperature not modelled")
    else:
        lines.append(f"wall {quantity(float(trace.wall_c[at]), '°C', system)}, modelled")
    return lines


def _tip(painter: QPainter, view: SheetView, hovered: Hovered) -> None:
    colours = view.desk.theme.palette
    at = view.transform().map(copy_transform(hovered.copy).map(QPointF(*hovered.at_mm)))
    painter.setPen(QPen(QColor(colours.ink), 1.5))
    painter.setBrush(QColor(colours.paper))
    painter.drawEllipse(at, 4.0, 4.0)
    lines = tip_lines(view, hovered)
    metrics = QFontMetricsF(painter.font())
    height = metrics.height() * len(lines) + 12
    width = max(metrics.horizontalAdvance(line) for line in lines) + 18
    x = at.x() + 14 if at.x() + 14 + width < view.width() else at.x() - 14 - width
    y = min(max(at.y() - height - 10, 4.0), view.height() - height - 4)
    box = QRectF(x, y, width, height)
    painter.setPen(QPen(QColor(colours.border), 1))
    painter.drawRoundedRect(box, 4, 4)
    painter.setPen(QColor(colours.ink))
    painter.drawText(box.adjusted(9, 6, -9, -6), Qt.AlignmentFlag.AlignLeft, "\n".join(lines))
