"""Toolpaths and cleaned outlines as DXF, for any program that reads one."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.writing import Stroke, dxf_bytes
from core.geometry.path import Path, circle, joined

if TYPE_CHECKING:
    from core.handover.work import Work
    from core.layout.records import Copy
    from core.plan.records import Toolpath

BETWEEN_SHEETS_MM = 200.0
"""Sheets lie beside each other in the drawing, this far apart."""


def toolpaths_dxf(work: Work) -> bytes:
    """Return the ways of the cutter's centre on the sheets, a layer a pass.

    A pass of every copy lies on one layer: "contour 3 rough level 1 T1". On layer "sheets" are the
    edges of the sheets. A drill, which goes straight down, is drawn as a circle as wide as it is.
    """
    strokes = []
    for line in work.order.lines:
        path = work.cut_pass(line).toolpath
        copy = work.layout.sheets[line.sheet].copies[line.copy]
        way = _way(path)
        strokes.append(Stroke(_laid(way, copy, _aside_mm(work, line.sheet)), _layer(work, path)))
    return dxf_bytes([*_sheets(work), *strokes])


def outlines_dxf(work: Work) -> bytes:
    """Return the outlines of every drawing as they were cleaned, on their own layers.

    Drawings lie beside each other, each as it was drawn.
    """
    strokes, aside = [], 0.0
    for contours in work.contours:
        x0, _, x1, _ = contours.bounds_mm
        shift = (aside - x0 if aside else 0.0, 0.0)
        strokes += [Stroke(c.path.moved(shift), c.layer) for c in contours.contours]
        aside += x1 - x0 + BETWEEN_SHEETS_MM
    return dxf_bytes(strokes)


def _way(path: Toolpath) -> Path:
    if path.pecks:
        x, y = path.entry.points[0].tolist()
        return circle((x, y), path.cutting_diameter_mm / 2.0)
    return joined([p for p in (path.entry, path.cut, path.exit) if len(p.bulges)])


def _layer(work: Work, path: Toolpath) -> str:
    drawing = f"drawing {path.drawing + 1} " if len(work.contours) > 1 else ""
    tool, level = path.mounted.tool_number, path.level + 1
    return f"{drawing}contour {path.contour_id} {path.step.name} level {level} T{tool}"


def _aside_mm(work: Work, sheet: int) -> float:
    return sum(s.size_mm[0] + BETWEEN_SHEETS_MM for s in work.layout.sheets[:sheet])


def _sheets(work: Work) -> list[Stroke]:
    found = []
    for number, sheet in enumerate(work.layout.sheets):
        wide, high = sheet.size_mm
        corners = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
        edge = Path(corners + np.array([_aside_mm(work, number), 0.0]), np.zeros(4))
        found.append(Stroke(edge, "sheets"))
    return found


def _laid(path: Path, copy: Copy, aside_mm: float) -> Path:
    if copy.mirrored:
        path = Path(path.points * np.array([-1.0, 1.0]), -path.bulges, path.closed)
    x, y = copy.at_mm
    return path.moved((x + aside_mm, y), math.radians(copy.turn_deg))
