"""A sheet of A4 to draw on in millimetres: vector PDF with the bundled font.

Works without a screen: where no Qt application runs, one without a display is started.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QPageSize,
    QPainter,
    QPdfWriter,
    QPen,
)

from app.theme import load_print_font, palette

if TYPE_CHECKING:
    from types import TracebackType

RESOLUTION_DPI = 1200
MM_PER_INCH = 25.4

Align = Qt.AlignmentFlag


def printed(text: str) -> str:
    """Return a text in the letters that the bundled font has, so that it can be found and copied.

    Thin spaces become no-break spaces: the font has no thin one, and another font would be mixed
    in.
    """
    return text.replace("\u2009", "\u00a0").replace("\u2011", "-")


def application() -> QGuiApplication:
    """Return the running Qt application, or start one that needs no screen."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    return QGuiApplication([])


class Paper:
    """Pages of a PDF.

    Parameters
    ----------
    title, creator : str
        Written into the file.
    """

    def __init__(self, title: str, creator: str) -> None:
        self._application = application()
        self._family = load_print_font()
        self._buffer = QBuffer()
        self._buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        self._writer = QPdfWriter(self._buffer)
        self._writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
        self._writer.setResolution(RESOLUTION_DPI)
        self._writer.setPageMargins(QMarginsF(0.0, 0.0, 0.0, 0.0))
        self._writer.setTitle(title)
        self._writer.setCreator(creator)
        self.mm = RESOLUTION_DPI / MM_PER_INCH
        self.width_mm = self._writer.width() / self.mm
        self.height_mm = self._writer.height() / self.mm
        self.colours = palette("light")
        self.painter = QPainter(self._writer)

    def __enter__(self) -> Paper:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.painter.end()

    def content(self) -> bytes:
        """Return the file, once drawing has ended."""
        return bytes(self._buffer.data().data())

    def new_page(self) -> None:
        """Begin the next page."""
        self._writer.newPage()

    def colour(self, name: str) -> QColor:
        """Return a colour of the light theme: ink, muted, hairline, border, or a state's."""
        return QColor(self.colours.line.get(name) or getattr(self.colours, name))

    def font(self, points: float, bold: bool = False) -> QFont:
        """Return the bundled font."""
        font = QFont(self._family)
        font.setPointSizeF(points)
        font.setWeight(QFont.Weight.Bold if bold else QFont.Weight.Normal)
        # ligatures and other features make letters vanish from copy and search
        font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
        return font

    def text_height_mm(
        self, text: str, width_mm: float, points: float, bold: bool = False
    ) -> float:
        """Return how high a text stands when it is broken to a width. [mm]."""
        metrics = QFontMetricsF(self.font(points, bold), self._writer)
        room = QRectF(0.0, 0.0, width_mm * self.mm, 1e7)
        return metrics.boundingRect(room, _WRAP, printed(text)).height() / self.mm

    def text_width_mm(self, text: str, points: float, bold: bool = False) -> float:
        """Return how wide a text is on one line. [mm]."""
        metrics = QFontMetricsF(self.font(points, bold), self._writer)
        return metrics.horizontalAdvance(printed(text)) / self.mm

    def text(
        self,
        x_mm: float,
        y_mm: float,
        width_mm: float,
        text: str,
        points: float = 8.5,
        *,
        bold: bool = False,
        colour: str = "ink",
        align: Align = Align.AlignLeft,
    ) -> None:
        """Write a text, broken to a width, downwards from `y_mm`."""
        self.painter.setFont(self.font(points, bold))
        self.painter.setPen(self.colour(colour))
        room = QRectF(x_mm * self.mm, y_mm * self.mm, width_mm * self.mm, 1e6)
        self.painter.drawText(room, int(_WRAP | align), printed(text))

    def line(
        self,
        start_mm: tuple[float, float],
        end_mm: tuple[float, float],
        width_mm: float = 0.12,
        colour: str = "hairline",
    ) -> None:
        """Draw a straight line."""
        self.painter.setPen(QPen(self.colour(colour), width_mm * self.mm))
        self.painter.drawLine(self.point(*start_mm), self.point(*end_mm))

    def pen(self, width_mm: float, colour: str) -> QPen:
        """Return a pen with flat ends."""
        pen = QPen(self.colour(colour), width_mm * self.mm)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        return pen

    def frame(self, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> None:
        """Draw an empty rectangle."""
        self.painter.setPen(self.pen(0.2, "ink"))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(self.box(x_mm, y_mm, width_mm, height_mm))

    def point(self, x_mm: float, y_mm: float) -> QPointF:
        """Return a place on the page in the device's units."""
        return QPointF(x_mm * self.mm, y_mm * self.mm)

    def box(self, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> QRectF:
        """Return a rectangle on the page in the device's units."""
        return QRectF(x_mm * self.mm, y_mm * self.mm, width_mm * self.mm, height_mm * self.mm)


_WRAP = Qt.TextFlag.TextWordWrap | Align.AlignTop
