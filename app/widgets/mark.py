"""The mark of a severity: a square is outside, a triangle tight, a dot a note, a tick repaired."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

if TYPE_CHECKING:
    from app.theme import Palette
    from core.errors import Finding

_MARK_PX = 7.0
REPAIRED = "repaired"


def mark_of(finding: Finding) -> str:
    """Return which mark a finding has: what was mended has its own, whatever it weighs."""
    return REPAIRED if finding.repaired else finding.severity.value


def mark(
    painter: QPainter,
    colours: Palette,
    severity: str,
    at: QPointF,
    size: float = _MARK_PX,
    fill: str = "",
) -> None:
    """Draw a mark; filled as its chip is, or with `fill` where it stands on the chip."""
    own = colours.chip[severity][0] if severity in colours.chip else colours.paper
    painter.setPen(QPen(QColor(fill or colours.ink), 1.2))
    painter.setBrush(QColor(fill or own))
    x, y = at.x(), at.y()
    if severity == "outside":
        painter.drawRect(QRectF(x - size * 0.8, y - size * 0.8, size * 1.6, size * 1.6))
    elif severity == "tight":
        corners = [(0.0, -size), (size, size * 0.8), (-size, size * 0.8)]
        painter.drawPolygon(QPolygonF([QPointF(x + dx, y + dy) for dx, dy in corners]))
    elif severity == REPAIRED:
        painter.setBrush(QColor(colours.paper))
        painter.drawRoundedRect(QRectF(x - size, y - size, size * 2, size * 2), 3, 3)
        painter.setPen(QPen(QColor(fill or colours.ink), 1.6))
        tick = [(-0.5, 0.05), (-0.12, 0.45), (0.55, -0.45)]
        painter.drawPolyline(QPolygonF([QPointF(x + size * a, y + size * b) for a, b in tick]))
    else:
        painter.drawEllipse(at, size * 0.75, size * 0.75)
