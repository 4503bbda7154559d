"""The signs of the three states: a square, a triangle, a dot; shape goes with word and colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QPolygonF

if TYPE_CHECKING:
    from app.printing.paper import Paper

HALF_MM = 1.0


def draw_state(paper: Paper, x_mm: float, y_mm: float, state: str) -> None:
    """Draw the sign of a state, centred on a place; anything else is a small ring."""
    painter, half = paper.painter, HALF_MM
    known = state in {"outside", "tight", "good"}
    painter.setPen(paper.pen(0.2, "muted") if not known else Qt.PenStyle.NoPen)
    painter.setBrush(paper.colour(state) if known else Qt.BrushStyle.NoBrush)
    if state == "outside":
        painter.drawRect(paper.box(x_mm - half, y_mm - half, 2.0 * half, 2.0 * half))
    elif state == "tight":
        corners = [(0.0, -half), (half, 0.8 * half), (-half, 0.8 * half)]
        painter.drawPolygon(QPolygonF([paper.point(x_mm + dx, y_mm + dy) for dx, dy in corners]))
    else:
        radius = 0.7 * half * paper.mm
        painter.drawEllipse(paper.point(x_mm, y_mm), radius, radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)
