"""The picture of a map of settings: colours, the zero line, hatching, and where words may stand.

Everything is made at the size in pixels at which it is shown. Spindle speed runs to the right, chip
load upwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import contourpy
import numpy as np
from PySide6.QtCore import QPointF, QSize
from PySide6.QtGui import QColor, QImage, QPolygonF

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from app.theme import Palette
    from core.advice.map import SettingsMap

STEPS = (-0.5, -0.25, -0.1, -0.02, 0.02, 0.1, 0.25, 0.5)
"""Margins at which the colour changes: the middle one is a margin of nothing, 0.1 ends "tight"."""

HATCH_PX = 7
_COARSE = 32
"""Cells a side of the grid on which room for words is looked for."""
_LEAST_POINTS = 12
"""A limit that makes less than this many points of the zero line gets no words."""
_LEAST_SIDE = 3
"""A region that holds no square of this many coarse cells gets no words."""


@dataclass(frozen=True, slots=True)
class Label:
    """Words for a region of the map, at the middle of the greatest square in it."""

    words: str
    at: QPointF
    is_outside: bool


class MapScene:
    """A map made ready to be painted.

    Parameters
    ----------
    settings : SettingsMap
        The map.
    size : QSize
        Pixels that it covers.
    colours : Palette
        The theme.
    """

    def __init__(self, settings: SettingsMap, size: QSize, colours: Palette) -> None:
        self.settings, self.size = settings, size
        self.image = _image(settings, size, colours)
        self.zero_lines = tuple(self._zero_lines())
        self.labels = tuple(self._labels())

    # between settings and pixels

    def to_pixel(self, rpm: float, load_mm: float) -> QPointF:
        """Return where a setting stands, in pixels of the picture."""
        speeds, loads = self.settings.spindle_speed_rpm, self.settings.feed_per_tooth_mm
        x = (rpm - speeds[0]) / (speeds[-1] - speeds[0]) * self.size.width()
        y = (1.0 - (load_mm - loads[0]) / (loads[-1] - loads[0])) * self.size.height()
        return QPointF(float(x), float(y))

    def to_setting(self, at: QPointF) -> tuple[float, float]:
        """Return spindle speed and chip load under a pixel. [rpm], [mm]."""
        speeds, loads = self.settings.spindle_speed_rpm, self.settings.feed_per_tooth_mm
        x = min(max(at.x() / self.size.width(), 0.0), 1.0)
        y = min(max(1.0 - at.y() / self.size.height(), 0.0), 1.0)
        rpm = speeds[0] + x * (speeds[-1] - speeds[0])
        return float(rpm), float(loads[0] + y * (loads[-1] - loads[0]))

    def _zero_lines(self) -> Iterator[QPolygonF]:
        settings = self.settings
        lines = contourpy.contour_generator(
            settings.spindle_speed_rpm, settings.feed_per_tooth_mm, settings.worst_ratio.T
        ).lines(0.0)
        for line in lines:
            points = np.asarray(line)
            yield QPolygonF([self.to_pixel(float(x), float(y)) for x, y in points])

    def _labels(self) -> Iterator[Label]:
        """Yield what binds in every region outside; what has no room there, on the zero line."""
        settings = self.settings
        rows = np.linspace(0, len(settings.spindle_speed_rpm) - 1, _COARSE).round().astype(int)
        columns = np.linspace(0, len(settings.feed_per_tooth_mm) - 1, _COARSE).round().astype(int)
        outside = settings.worst_ratio[np.ix_(rows, columns)] < 0.0
        binding = settings.binding[np.ix_(rows, columns)]
        said = set()
        for number, margin in enumerate(settings.margins):
            for label in self._label((binding == number) & outside, margin.label, is_outside=True):
                said.add(margin.label)
                yield label
        yield from self._label(~outside, "inside every limit", is_outside=False)
        yield from (label for label in self._on_the_line() if label.words not in said)

    def _on_the_line(self) -> Iterator[Label]:
        """Yield the limits that make the zero line, each at the middle of its points on it."""
        places: dict[str, list[QPointF]] = {}
        for line in self.zero_lines:
            for at in line.toList():
                cell = self.settings.cell(*self.to_setting(at))
                places.setdefault(self.settings.binding_label(*cell), []).append(at)
        for words, points in places.items():
            if len(points) >= _LEAST_POINTS:
                yield Label(words, points[len(points) // 2], is_outside=True)

    def _label(self, mask: NDArray[np.bool_], words: str, *, is_outside: bool) -> Iterator[Label]:
        side, row, column = greatest_square(mask)
        if side >= _LEAST_SIDE:
            x = (row + side / 2.0) / _COARSE * self.size.width()
            y = (1.0 - (column + side / 2.0) / _COARSE) * self.size.height()
            yield Label(words, QPointF(x, y), is_outside)


def greatest_square(mask: NDArray[np.bool_]) -> tuple[int, int, int]:
    """Return side, first row and first column of the greatest square of true cells; 0 if none.

    Examples
    --------
    >>> greatest_square(np.array([[1, 1, 0], [1, 1, 1], [0, 1, 1]], bool))
    (2, 0, 0)
    """
    sides = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), int)
    for row, cells in enumerate(mask.tolist()):
        for column, is_true in enumerate(cells):
            if is_true:
                before = sides[row, column], sides[row, column + 1], sides[row + 1, column]
                sides[row + 1, column + 1] = 1 + min(before)
    row, column = divmod(int(sides.argmax()), sides.shape[1])
    side = int(sides[row, column])
    return side, row - side, column - side


def _image(settings: SettingsMap, size: QSize, colours: Palette) -> QImage:
    """Return the colours of the margins, hatched outside the maker's range."""
    width, height = max(size.width(), 1), max(size.height(), 1)
    ramp = np.array([QColor(colour).rgb() for colour in colours.map], np.uint32)
    rows = _nearest(len(settings.spindle_speed_rpm), width)
    columns = _nearest(len(settings.feed_per_tooth_mm), height)[::-1]
    cells = np.digitize(settings.worst_ratio, STEPS)[np.ix_(rows, columns)].T
    pixels = ramp[cells]
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    hatched = settings.hatched[np.ix_(rows, columns)].T & ((x + y) % HATCH_PX == 0)
    pixels[hatched] = QColor(colours.border).rgb()
    pixels = np.ascontiguousarray(pixels)
    image = QImage(pixels.tobytes(), width, height, 4 * width, QImage.Format.Format_RGB32)
    return image.copy()  # the bytes above do not outlive this function


def _nearest(cells: int, pixels: int) -> NDArray[np.intp]:
    """Return the cell that each pixel shows."""
    return np.minimum(((np.arange(pixels) + 0.5) * cells / pixels).astype(np.intp), cells - 1)
