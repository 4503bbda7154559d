"""What lies on a sheet, ready to be painted: outlines, strokes, copies, marks.

Coordinates: a drawing keeps its own; a *copy* turns it about its origin and then moves it on the
sheet. All in mm, y upwards.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainterPath, QPolygonF, QTransform

from app.desk import all_findings
from app.views.scales import Paint, scale_for, values_of
from app.views.strokes import Strokes
from core.layout.records import Copy

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.errors import Finding
    from core.report.records import ContourReport, PassReport, Report


class DrawingScene:
    """One drawing: its contours' outlines and all its passes."""

    def __init__(self, contours: Sequence[ContourReport]) -> None:
        self.contours = tuple(contours)
        self.passes: list[PassReport] = []
        self.places: list[tuple[ContourReport, int]] = []
        for contour in contours:
            for index, cut_pass in enumerate(contour.passes):
                self.passes.append(cut_pass)
                self.places.append((contour, index))
        self.strokes = Strokes([cut_pass.trace for cut_pass in self.passes])
        self.outline = outline_path(contours)
        self.bounds = self.outline.boundingRect()

    def recoloured(self, contours: Sequence[ContourReport]) -> DrawingScene | None:
        """Take over new numbers on the same paths; None if the paths are others."""
        passes = [cut_pass for contour in contours for cut_pass in contour.passes]
        same = self.strokes.shares_geometry([cut_pass.trace for cut_pass in passes])
        if not same or [c.id for c in contours] != [c.id for c in self.contours]:
            return None
        self.contours, self.passes = tuple(contours), passes
        self.places = [(c, i) for c in contours for i in range(len(c.passes))]
        return self


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
        self.geometry_revision = 0

    def load(self, report: Report | None) -> bool:
        """Take over a report; return whether the paths are others than before."""
        self.report = report
        if report is None:
            self.drawings, self.findings = [], ()
            self.geometry_revision += 1
            return True
        groups = [
            [c for c in report.contours if c.drawing == index]
            for index in range(len(report.drawings))
        ]
        old = self.drawings if len(self.drawings) == len(groups) else [None] * len(groups)
        kept = [
            scene.recoloured(group) if scene is not None else None
            for scene, group in zip(old, groups, strict=True)
        ]
        self.drawings = [
            scene or DrawingScene(group) for scene, group in zip(kept, groups, strict=True)
        ]
        self.findings = tuple(f for f in all_findings(report) if f.at_mm is not None)
        self.sheet_index = min(self.sheet_index, max(len(report.sheets) - 1, 0))
        is_new = not all(kept)
        self.geometry_revision += is_new
        return is_new

    def colour(self, paint: Paint) -> None:
        """Colour all strokes by the numbers of one way of painting."""
        scale = scale_for(paint, self.all_passes())
        for drawing in self.drawings:
            if drawing.passes:
                values = [values_of(paint, cut_pass) for cut_pass in drawing.passes]
                drawing.strokes.set_goodness(scale.goodness(np.concatenate(values)))

    def all_passes(self) -> list[PassReport]:
        """Return the passes of all drawings."""
        return [cut_pass for drawing in self.drawings for cut_pass in drawing.passes]

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
