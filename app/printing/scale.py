"""From millimetres on the sheet to places on the paper, and paths as Qt draws them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

if TYPE_CHECKING:
    from app.printing.paper import Paper
    from core.geometry.path import Path

ROUND_SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
"""A drawing stands at 1 : one of these, times a power of ten, so that a rule can be laid on it."""


def round_scale(least: float) -> float:
    """Return the first round scale that is not larger than 1 : `least`.

    Examples
    --------
    >>> round_scale(3.2), round_scale(0.21), round_scale(11.0)
    (4.0, 0.25, 15.0)
    """
    power = 10.0 ** math.floor(math.log10(least))
    for step in (*ROUND_SCALES, 10.0):
        if step * power >= least - 1e-9:
            return step * power
    raise AssertionError("ten times the power is above every number of that size")


@dataclass(frozen=True, slots=True)
class Scale:
    """Where a drawing lies on the paper.

    Parameters
    ----------
    paper : Paper
        To be drawn on.
    left_mm, bottom_mm : float
        Where the drawing's `origin_mm` lies on the paper, y downwards. [mm]
    origin_mm : (float, float)
        A place in the drawing. [mm]
    one_to : float
        The scale is 1 : this.
    """

    paper: Paper
    left_mm: float
    bottom_mm: float
    origin_mm: tuple[float, float]
    one_to: float

    def on_paper(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Return a place of the drawing on the paper. [mm]."""
        return (
            self.left_mm + (x_mm - self.origin_mm[0]) / self.one_to,
            self.bottom_mm - (y_mm - self.origin_mm[1]) / self.one_to,
        )

    def point(self, x_mm: float, y_mm: float) -> QPointF:
        """Return a place of the drawing in the device's units."""
        return self.paper.point(*self.on_paper(x_mm, y_mm))

    def path(self, *paths: Path) -> QPainterPath:
        """Return paths as Qt draws them; arcs stay arcs."""
        out = QPainterPath()
        for path in paths:
            self._add(out, path)
        return out

    def _add(self, out: QPainterPath, path: Path) -> None:
        if not len(path.bulges):
            return
        segments = path.segments
        out.moveTo(self.point(*segments.start[0]))
        arcs, radius, centre = segments.is_arc, segments.radius_mm, segments.centre_mm
        for k in range(len(segments)):
            if not arcs[k] or radius[k] > FLATTEST_MM:
                out.lineTo(self.point(*segments.end[k]))
                continue
            middle = self.point(*centre[k])
            reach = radius[k] / self.one_to * self.paper.mm
            box = QRectF(middle.x() - reach, middle.y() - reach, 2.0 * reach, 2.0 * reach)
            begin = np.arctan2(*(segments.start[k] - centre[k])[::-1])
            out.arcTo(box, math.degrees(begin), math.degrees(segments.sweep_rad[k]))
        if path.closed:
            out.closeSubpath()


FLATTEST_MM = 1e5
"""Arcs of a larger radius are drawn as lines: on paper they are."""
