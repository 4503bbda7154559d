"""Drawings on the page: a part with its passes at true scale, and a sheet with its copies.

The width of a pass is drawn as wide as the cutter cuts, so that what stays between two slots is
seen. Finishing is a full line, roughing a dashed one; an arrow stands where the cutter goes down.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from app.printing.dimensions import across, tags, upright, zero_mark
from app.printing.scale import Scale, round_scale

if TYPE_CHECKING:
    from app.printing.content import PartPicture, SheetPicture, Trip
    from app.printing.paper import Paper
    from core.geometry.path import Path

MARGIN_MM = (14.0, 5.0, 5.0, 12.0)
"""Room left, above, right and below a drawing, for dimensions. [mm]"""

HIGHEST_PART_MM, HIGHEST_SHEET_MM = 122.0, 70.0


def _fit(
    size_mm: tuple[float, float], width_mm: float, height_mm: float, slack_mm: float
) -> tuple[float, float]:
    """Return the round scale that fits, and the height that the drawing then takes. [mm]."""
    left, above, right, below = MARGIN_MM
    wide, high = (side + 2.0 * slack_mm for side in size_mm)
    least = max(wide / (width_mm - left - right), high / (height_mm - above - below), 1e-3)
    one_to = round_scale(least)
    return one_to, high / one_to + above + below


def _slack(item: PartPicture) -> float:
    """Return how far the slots reach beyond the part. [mm]."""
    return max((trip.diameter_mm for trip in item.trips), default=0.0) * 1.1


def _size(bounds: tuple[float, float, float, float]) -> tuple[float, float]:
    return bounds[2] - bounds[0], bounds[3] - bounds[1]


def part_height_mm(item: PartPicture, width_mm: float) -> float:
    """Return the height of the drawing on the page. [mm]."""
    return _fit(_size(item.bounds_mm), width_mm, HIGHEST_PART_MM, _slack(item))[1]


def sheet_height_mm(item: SheetPicture, width_mm: float) -> float:
    """Return the height of the drawing on the page. [mm]."""
    return _fit(item.size_mm, width_mm, HIGHEST_SHEET_MM, 0.0)[1]


def _placed(
    paper: Paper,
    bounds: tuple[float, float, float, float],
    at_mm: tuple[float, float],
    width_mm: float,
    highest_mm: float,
    slack_mm: float,
) -> Scale:
    one_to, height = _fit(_size(bounds), width_mm, highest_mm, slack_mm)
    left = MARGIN_MM[0] + (width_mm - MARGIN_MM[0] - MARGIN_MM[2]) / 2.0
    left -= (_size(bounds)[0] / 2.0) / one_to
    bottom = at_mm[1] + height - MARGIN_MM[3] - slack_mm / one_to
    return Scale(paper, at_mm[0] + left, bottom, (bounds[0], bounds[1]), one_to)


def draw_part(paper: Paper, item: PartPicture, at_mm: tuple[float, float], width_mm: float) -> str:
    """Draw a part with its passes and dimensions; return its scale in words."""
    slack = _slack(item)
    scale = _placed(paper, item.bounds_mm, at_mm, width_mm, HIGHEST_PART_MM, slack)
    paper.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paths = [path for _, path in item.outlines]
    _fill(scale, paths)
    for trip in item.trips:
        _slot(scale, trip)
    for trip in sorted(item.trips, key=lambda t: t.finishing):
        _centre_line(scale, trip)
    _outlines(scale, paths)
    for trip in item.trips:
        _entry(scale, trip)
    x0, y0, x1, y1 = item.bounds_mm
    gap = slack / scale.one_to + 2.5
    across(scale, (x0, y0), (x1, y0), gap, item.unit)
    upright(scale, (x0, y0), (x0, y1), gap, item.unit)
    tags(scale, [(tag, path) for tag, path in item.outlines if tag])
    return f"Scale 1 : {scale.one_to:g}."


def draw_sheet(
    paper: Paper, item: SheetPicture, at_mm: tuple[float, float], width_mm: float
) -> str:
    """Draw a sheet with its copies and its zero; return its scale in words."""
    bounds = (0.0, 0.0, *item.size_mm)
    scale = _placed(paper, bounds, at_mm, width_mm, HIGHEST_SHEET_MM, 0.0)
    paper.painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    wide, high = (side / scale.one_to for side in item.size_mm)
    left, top = scale.on_paper(0.0, item.size_mm[1])
    paper.painter.setPen(paper.pen(0.3, "ink"))
    paper.painter.setBrush(Qt.BrushStyle.NoBrush)
    paper.painter.drawRect(paper.box(left, top, wide, high))
    _fill(scale, list(item.outlines))
    _outlines(scale, list(item.outlines), 0.15)
    for tag, place in item.tags:
        x, y = scale.on_paper(*place)
        paper.text(x - 6.0, y - 1.6, 12.0, tag, 7.0, bold=True, align=Qt.AlignmentFlag.AlignHCenter)
    across(scale, (0.0, 0.0), (item.size_mm[0], 0.0), 5.0, item.unit)
    upright(scale, (0.0, 0.0), (0.0, item.size_mm[1]), 5.0, item.unit)
    zero_mark(scale)
    return f"Scale 1 : {scale.one_to:g}."


def _fill(scale: Scale, paths: list[Path]) -> None:
    shape = scale.path(*(path for path in paths if path.closed))
    shape.setFillRule(Qt.FillRule.OddEvenFill)
    scale.paper.painter.fillPath(shape, scale.paper.colour("sheet"))


def _outlines(scale: Scale, paths: list[Path], width_mm: float = 0.3) -> None:
    pen = scale.paper.pen(width_mm, "ink")
    scale.paper.painter.strokePath(scale.path(*paths), pen)


def _slot(scale: Scale, trip: Trip) -> None:
    """Draw what the cutter takes away, as wide as it cuts."""
    pen = scale.paper.pen(trip.diameter_mm / scale.one_to, "focus")
    pen.setColor(QColor(11, 92, 173, 22))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    scale.paper.painter.strokePath(scale.path(trip.cut), pen)


def _centre_line(scale: Scale, trip: Trip) -> None:
    colour = trip.state if trip.state in {"outside", "tight"} else "good"
    pen = scale.paper.pen(0.22 if trip.finishing else 0.14, colour)
    if not trip.finishing:
        pen.setDashPattern([6.0, 5.0])
    for part in (trip.entry, trip.cut, trip.exit):
        scale.paper.painter.strokePath(scale.path(part), pen)


def _entry(scale: Scale, trip: Trip) -> None:
    """Draw an arrow where the cutter goes down, pointing the way that it travels."""
    way = trip.entry if trip.entry.length_mm > 0.0 else trip.cut
    if way.length_mm <= 0.0:
        return
    (x, y), heading = way.point_and_heading_at(0.0)
    ahead = np.array([np.cos(heading), -np.sin(heading)])
    aside = np.array([-ahead[1], ahead[0]])
    tip = np.array(scale.on_paper(x, y))
    x0, y0, x1, y1 = trip.cut.bounds_mm
    long = min(1.7 if trip.finishing else 1.3, max(x1 - x0, y1 - y0) / scale.one_to + 0.6)
    corners = [tip + ahead * long, tip + aside * long * 0.4, tip - aside * long * 0.4]
    painter = scale.paper.painter
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(scale.paper.colour("ink" if trip.finishing else "muted"))
    painter.drawPolygon(QPolygonF([scale.paper.point(*c) for c in corners]))
    painter.setBrush(Qt.BrushStyle.NoBrush)
