"""Finds the contour whose outline lies under the pointer: also one that nothing is cut along."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QPointF

from app.views.sheet_scene import copy_transform

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from app.views.sheet_scene import SheetScene
    from core.report.records import ContourReport


def contour_at(scene: SheetScene, at: QPointF, within_mm: float) -> ContourReport | None:
    """Return the contour whose outline comes nearest to a place on the sheet, if any is near."""
    best: ContourReport | None = None
    for copy in scene.copies():
        if copy.drawing >= len(scene.drawings):
            continue
        place = copy_transform(copy).inverted()[0].map(at)
        for contour in scene.drawings[copy.drawing].contours:
            distance = distance_mm(contour, place.x(), place.y())
            if distance <= within_mm:
                best, within_mm = contour, distance
    return best


def distance_mm(contour: ContourReport, x_mm: float, y_mm: float) -> float:
    """Return how far a place is from an outline. [mm]."""
    points = contour.outline_mm
    if contour.kind != "open":
        points = np.concatenate([points, points[:1]])
    return _to_polyline(points, np.array([x_mm, y_mm]))


def _to_polyline(points: NDArray[np.float64], place: NDArray[np.float64]) -> float:
    along = np.diff(points, axis=0)
    length2 = np.maximum((along**2).sum(axis=1), 1e-18)
    share = np.clip(((place - points[:-1]) * along).sum(axis=1) / length2, 0.0, 1.0)
    off = points[:-1] + share[:, None] * along - place
    return float(np.sqrt((off**2).sum(axis=1).min(initial=np.inf)))
