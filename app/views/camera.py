"""Where the sheet is looked at from: a scale and a centre, the same along both axes."""

from __future__ import annotations

from dataclasses import dataclass, field

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

_MARGIN_SHARE = 0.04
_LEAST_SCALE, _MOST_SCALE = 1e-3, 2e3


@dataclass
class Camera:
    """Looks at the sheet.

    Parameters
    ----------
    area : QRectF
        The part of the widget that shows the sheet. [px]
    scale : float
        Pixels a millimetre.
    centre : QPointF
        The place on the sheet in the middle of the area. [mm]
    """

    area: QRectF = field(default_factory=lambda: QRectF(0, 0, 100, 100))
    scale: float = 1.0
    centre: QPointF = field(default_factory=QPointF)

    def transform(self) -> QTransform:
        """Return the transform from the sheet in mm to pixels; y points up on the sheet."""
        out = QTransform.fromTranslate(self.area.center().x(), self.area.center().y())
        out.scale(self.scale, -self.scale)
        out.translate(-self.centre.x(), -self.centre.y())
        return out

    def to_sheet(self, at: QPointF) -> QPointF:
        """Return the place on the sheet under a pixel. [mm]."""
        offset = at - self.area.center()
        return self.centre + QPointF(offset.x() / self.scale, -offset.y() / self.scale)

    def show(self, rect: QRectF) -> None:
        """Show all of a rectangle of the sheet, with a margin round it."""
        if rect.isEmpty():
            rect = rect.adjusted(-1.0, -1.0, 1.0, 1.0)
        share = 1.0 - 2.0 * _MARGIN_SHARE
        across = max(self.area.width() * share, 50.0) / rect.width()
        up = max(self.area.height() * share, 50.0) / rect.height()
        self.scale = _bounded(min(across, up))
        self.centre = rect.center()

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom so that the place under a pixel stays there."""
        about = about or self.area.center()
        before = self.to_sheet(about)
        self.scale = _bounded(self.scale * factor)
        self.centre = self.centre + before - self.to_sheet(about)

    def pan(self, dx_px: float, dy_px: float) -> None:
        """Move the sheet by pixels."""
        self.centre = self.centre + QPointF(-dx_px / self.scale, dy_px / self.scale)


def _bounded(scale: float) -> float:
    return min(max(scale, _LEAST_SCALE), _MOST_SCALE)
