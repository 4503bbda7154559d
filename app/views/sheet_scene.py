"""What lies on a sheet, ready to be painted: outlines, strokes, copies, marks.

Coordinates: a drawing keeps its own; a *copy* turns it about its origin and then moves it on the
sheet. All in mm, y upwards.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainterPath, QPolygonF, QTransform

from app.desk import all_findings
from app.views.scales import Paint, Scale, scale_for, values_of
from app.views.strokes import Strokes
from core.layout.records import Copy
from core.report.traces import traces_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.errors import Finding
    from core.report.records import ContourReport, Report


_REVISIONS = itertools.count(1)


class DrawingScene:
    """One drawing: its contours' outlines and all its passes."""

    def __init__(self, contours: Sequence[ContourReport], before: DrawingScene | None) -> None:
        self.contours = tuple(contours)
        self.outline: QPainterPath
        self.revision: int
        self.strokes = Strokes(traces_of(contours))
        outlines = [contour.outline_mm for contour in contours]
        self._outlines = outlines
        if before is not None and before.has_outlines(outlines):
            self.outline, self.revision = before.outline, before.revision
        else:
            self.outline = outline_path(contours)
            self.revision = next(_REVISIONS)
        self.bounds = self.outline.boundingRect()

    def has_outlines(self, outlines: Sequence[NDArray[np.float64]]) -> bool:
        """Return whether these are the outlines shown: a lever leaves them alone."""
        return len(outlines) == len(self._outlines) and all(
            one is other or np.array_equal(one, other)
            for one, other in zip(outlines, self._outlines, strict=True)
        )

    def place(self, index: int) -> tuple[ContourReport, int]:
        """Return the contour of a pass, and its place among the contour's passes."""
        row, step = self.strokes.traces.places[index]
        return self.contours[row], step


def outline_path(contours: Sequence[ContourReport]) -> QPainterPath:
    """Return the closed outlines as one path, filled between outlines and holes."""
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.OddEvenFill)
    for contour in contours:
        points = QPolygonF([QPointF(float(x), float(y)) for x, y in contour.outline_mm])
        path.addPolygon(points)
        if contour.kind != "open":
            path.closeSubpath()
    return path


def copy_transform(copy: Copy) -> QTransform:
    """Return the transform that lays a drawing where its copy lies."""
    transform = QTransform.fromTranslate(*copy.at_mm)
    transform.rotate(copy.turn_deg)
    return transform


class SheetScene:
    """Everything of a report that a sheet shows."""

    def __init__(self) -> None:
        self.report: Report | None = None
        self.drawings: list[DrawingScene] = []
        self.sheet_index = 0
        self.findings: tuple[Finding, ...] = ()
        self.ground_revision = 0
        self._layout: object = None

    def load(self, report: Report | None) -> bool:
        """Take over a report; return whether outlines or layout are others than before."""
        self.report = report
        if report is None:
            self.drawings, self.findings = [], ()
            self.ground_revision += 1
            self._layout = None
            return True
        before = [drawing.revision for drawing in self.drawings]
        old = dict(enumerate(self.drawings))
        self.drawings = [
            DrawingScene([c for c in report.contours if c.drawing == index], old.get(index))
            for index in range(len(report.drawings))
        ]
        self.findings = tuple(f for f in all_findings(report) if f.at_mm is not None)
        self.sheet_index = min(self.sheet_index, max(len(report.sheets) - 1, 0))
        layout = self.sheet_rect(), self.copies()
        is_new = before != [drawing.revision for drawing in self.drawings] or layout != self._layout
        self._layout = layout
        self.ground_revision += is_new
        return is_new

    def colour(self, paint: Paint) -> None:
        """Colour all strokes by the numbers of one way of painting."""
        scale = self.scale(paint)
        for drawing in self.drawings:
            strokes = drawing.strokes
            strokes.set_goodness(scale.goodness(values_of(paint, strokes.traces)))

    def scale(self, paint: Paint) -> Scale:
        """Return the scale of one way of painting."""
        traces = [drawing.strokes.traces for drawing in self.drawings]
        return scale_for(paint, traces, self._softening_c())

    def _softening_c(self) -> float | None:
        """Return where the wall softens, as the heat limit of the first pass says."""
        for contour in self.report.contours if self.report is not None else ():
            for limit in contour.passes[0].limits if contour.passes else ():
                if limit.name == "heat" and limit.unit == "°C":
                    return limit.limit
        return None

    def copies(self) -> tuple[Copy, ...]:
        """Return what lies on the sheet shown; without sheets each drawing lies as drawn."""
        if self.report is None:
            return ()
        if self.report.sheets:
            return self.report.sheets[self.sheet_index].copies
        return tuple(Copy(index, (0.0, 0.0), 0.0) for index in range(len(self.drawings)))

    def sheet_rect(self) -> QRectF | None:
        """Return the sheet shown, its lower left corner at the origin."""
        if self.report is None or not self.report.sheets:
            return None
        width, height = self.report.sheets[self.sheet_index].size_mm
        return QRectF(0.0, 0.0, width, height)

    def bounds(self) -> QRectF:
        """Return what "show everything" shows: the sheet and all that lies on it."""
        return (self.sheet_rect() or QRectF()).united(self.parts_bounds())

    def parts_bounds(self) -> QRectF:
        """Return the rectangle round all copies on the sheet shown."""
        rect = QRectF()
        for copy in self.copies():
            if copy.drawing < len(self.drawings):
                bounds = self.drawings[copy.drawing].bounds
                rect = rect.united(copy_transform(copy).mapRect(bounds))
        return rect

    def nearest(
        self, x_mm: float, y_mm: float, within_mm: float
    ) -> tuple[int, int, int, Copy] | None:
        """Return drawing, pass, sample and copy of what is painted near a place on the sheet."""
        for copy in self.copies():
            if copy.drawing >= len(self.drawings):
                continue
            inverse, _ = copy_transform(copy).inverted()
            at = inverse.map(QPointF(x_mm, y_mm))
            found = self.drawings[copy.drawing].strokes.nearest(at.x(), at.y(), within_mm)
            if found is not None:
                return copy.drawing, found[0], found[1], copy
        return None


def nice_step(span: float, count: int) -> float:
    """Return a round distance of marks on a ruler so that about `count` fit into `span`.

    Examples
    --------
    >>> nice_step(900.0, 8), nice_step(33.0, 7)
    (100.0, 5.0)
    """
    rough = max(span / max(count, 1), 1e-9)
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 5.0):
        if rough <= factor * power * 1.25:
            return factor * power
    return 10.0 * power


def polyline(points: NDArray[np.float64]) -> QPolygonF:
    """Return points as Qt's polygon."""
    return QPolygonF([QPointF(float(x), float(y)) for x, y in points])
