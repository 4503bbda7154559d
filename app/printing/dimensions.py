"""Dimensions, the mark of the zero, and the numbers that stand beside contours."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPolygonF

from app.printing.paper import printed
from core.units import UnitSystem, in_system, number

if TYPE_CHECKING:
    from app.printing.scale import Scale
    from core.geometry.path import Path

TAG_PT, TAG_HIGH_MM, TEXT_PT = 6.5, 3.6, 7.0
_WAYS = ((1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1))


def _printed_length(length_mm: float, unit: str) -> str:
    system = UnitSystem.INCH if unit == "in" else UnitSystem.METRIC
    return number(in_system(length_mm, "mm", system)[0], 4 if unit == "in" else 2)


def across(
    scale: Scale, start: tuple[float, float], end: tuple[float, float], gap_mm: float, unit: str
) -> None:
    """Draw the width between two places of the drawing, below them."""
    paper = scale.paper
    (x0, y), (x1, _) = scale.on_paper(*start), scale.on_paper(*end)
    text = _printed_length(end[0] - start[0], unit)
    for x in (x0, x1):
        paper.line((x, y + gap_mm - 1.5), (x, y + gap_mm + 1.0), 0.1, "border")
    paper.line((x0, y + gap_mm), (x1, y + gap_mm), 0.1, "border")
    _arrow(scale, (x0, y + gap_mm), (1.0, 0.0))
    _arrow(scale, (x1, y + gap_mm), (-1.0, 0.0))
    paper.text(
        (x0 + x1) / 2.0 - 20.0,
        y + gap_mm + 0.4,
        40.0,
        text,
        TEXT_PT,
        align=Qt.AlignmentFlag.AlignHCenter,
    )


def upright(
    scale: Scale, start: tuple[float, float], end: tuple[float, float], gap_mm: float, unit: str
) -> None:
    """Draw the height between two places of the drawing, left of them."""
    paper = scale.paper
    (x, y0), (_, y1) = scale.on_paper(*start), scale.on_paper(*end)
    left = x - gap_mm
    for y in (y0, y1):
        paper.line((left - 1.0, y), (left + 1.5, y), 0.1, "border")
    paper.line((left, y0), (left, y1), 0.1, "border")
    _arrow(scale, (left, y0), (0.0, -1.0))
    _arrow(scale, (left, y1), (0.0, 1.0))
    painter = paper.painter
    painter.save()
    painter.translate(paper.point(left - 3.6, (y0 + y1) / 2.0))
    painter.rotate(-90.0)
    painter.setFont(paper.font(TEXT_PT))
    painter.setPen(paper.colour("ink"))
    room = QRectF(-20.0 * paper.mm, 0.0, 40.0 * paper.mm, 4.0 * paper.mm)
    text = printed(_printed_length(end[1] - start[1], unit))
    painter.drawText(room, Qt.AlignmentFlag.AlignHCenter, text)
    painter.restore()


def _arrow(scale: Scale, tip: tuple[float, float], way: tuple[float, float]) -> None:
    paper, long, wide = scale.paper, 1.5, 0.3
    x, y = tip[0] + way[0] * long, tip[1] + way[1] * long
    corners = [tip, (x - way[1] * wide, y + way[0] * wide), (x + way[1] * wide, y - way[0] * wide)]
    paper.painter.setPen(Qt.PenStyle.NoPen)
    paper.painter.setBrush(paper.colour("border"))
    paper.painter.drawPolygon(QPolygonF([paper.point(*c) for c in corners]))
    paper.painter.setBrush(Qt.BrushStyle.NoBrush)


def zero_mark(scale: Scale) -> None:
    """Draw the zero of the sheet: a ring, half of it filled, and the two ways that count up."""
    paper = scale.paper
    x, y = scale.on_paper(0.0, 0.0)
    painter = paper.painter
    painter.setPen(paper.pen(0.25, "ink"))
    painter.setBrush(paper.colour("paper"))
    ring = paper.box(x - 1.6, y - 1.6, 3.2, 3.2)
    painter.drawEllipse(ring)
    painter.setBrush(paper.colour("ink"))
    painter.drawPie(ring, 0, 90 * 16)
    painter.drawPie(ring, 180 * 16, 90 * 16)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for way, name in (((1.0, 0.0), "X"), ((0.0, -1.0), "Y")):
        end = (x + way[0] * 9.0, y + way[1] * 9.0)
        paper.line((x + way[0] * 1.6, y + way[1] * 1.6), end, 0.25, "ink")
        _arrow(scale, (end[0] + way[0] * 1.5, end[1] + way[1] * 1.5), (-way[0], -way[1]))
        # outside of the sheet, where no copy lies
        paper.text(
            end[0] - (2.6 if name == "Y" else 0.0),
            end[1] + (0.6 if name == "X" else -1.0),
            6.0,
            name,
            6.5,
        )


def tags(scale: Scale, contours: list[tuple[str, Path]]) -> None:
    """Write each contour's number: on the line of a large one, beside a small one."""
    boxes = [_on_paper(scale, path) for _, path in contours]
    middle = _united(boxes).center()
    taken = [box for box in boxes if not _large(box)]
    for (tag, path), box in zip(contours, boxes, strict=True):
        wide = scale.paper.text_width_mm(tag, TAG_PT, bold=True) + 2.2
        places = _on_the_line(scale, path) if _large(box) else _around(box, wide, middle)
        place = _free_place(places, wide, taken)
        taken.append(place)
        _tag(scale, tag, place)


def _large(box: QRectF) -> bool:
    return box.width() > 20.0 and box.height() > 12.0


def _on_paper(scale: Scale, path: Path) -> QRectF:
    x0, y0, x1, y1 = path.bounds_mm
    left, top = scale.on_paper(x0, y1)
    return QRectF(left, top, (x1 - x0) / scale.one_to, (y1 - y0) / scale.one_to)


def _united(boxes: list[QRectF]) -> QRectF:
    out = QRectF()
    for box in boxes:
        out = out.united(box)
    return out


def _on_the_line(scale: Scale, path: Path) -> list[QPointF]:
    """Return places on a contour, away from its beginning, where the cutter often goes down."""
    shares = (0.06, 0.19, 0.31, 0.44, 0.56, 0.69, 0.81, 0.94)
    found = (path.point_and_heading_at(share * path.length_mm)[0] for share in shares)
    return [QPointF(*scale.on_paper(*place)) for place in found]


def _around(box: QRectF, wide_mm: float, towards: QPointF) -> list[QPointF]:
    """Return places beside a contour; those towards the middle of the drawing come first."""
    middle = box.center()
    inward = towards - middle
    ways = sorted(_WAYS, key=lambda way: way[1] * inward.y() - way[0] * inward.x())
    out = []
    for away in (0.8, 3.5, 7.0):
        reach = (box.width() + wide_mm) / 2.0 + away, (box.height() + TAG_HIGH_MM) / 2.0 + away
        out += [QPointF(middle.x() + dx * reach[0], middle.y() - dy * reach[1]) for dx, dy in ways]
    return out


def _free_place(places: list[QPointF], wide_mm: float, taken: list[QRectF]) -> QRectF:
    """Return the first place where a number covers nothing, or the first of all."""
    boxes = [
        QRectF(p.x() - wide_mm / 2.0, p.y() - TAG_HIGH_MM / 2.0, wide_mm, TAG_HIGH_MM)
        for p in places
    ]
    free = (box for box in boxes if not any(box.intersects(other) for other in taken))
    return next(free, boxes[0])


def _tag(scale: Scale, tag: str, place: QRectF) -> None:
    paper = scale.paper
    painter = paper.painter
    painter.setPen(paper.pen(0.18, "ink"))
    painter.setBrush(paper.colour("paper"))
    box = paper.box(place.x(), place.y(), place.width(), place.height())
    painter.drawRoundedRect(box, 1.8 * paper.mm, 1.8 * paper.mm)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setFont(paper.font(TAG_PT, bold=True))
    painter.setPen(paper.colour("ink"))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, tag)
