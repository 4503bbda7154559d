"""The outline of a panel by numbers, its slots and its cut-outs, as exact lines and arcs.

An edge is laid out in its own frame: `along` it from the corner where it begins, `inward` from it.
Each vertex carries the bulge of the segment that leaves it; what has no length drops out.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.panel import Edge
from core.geometry.path import SAME_POINT_MM, Path

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.drawing.panel import CornerCut, CutOut, Notch, Panel, Slot

    Vertex = tuple[float, float, float]

QUARTER = math.tan(math.pi / 8.0)
"""Bulge of a quarter turn to the left."""

FRAMES = {
    Edge.BOTTOM: ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)),
    Edge.RIGHT: ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)),
    Edge.TOP: ((1.0, 1.0), (-1.0, 0.0), (0.0, -1.0)),
    Edge.LEFT: ((0.0, 1.0), (0.0, -1.0), (1.0, 0.0)),
}
"""Where each edge begins as a share of the size, its direction, and the way into the panel."""


def outline(panel: Panel) -> Path:
    """Return the outline, counter-clockwise."""
    rows: list[NDArray[np.float64]] = []
    for k, edge in enumerate(Edge):
        begin, end = panel.corners[k], panel.corners[(k + 1) % 4]
        local = np.array(list(_along(panel, edge, begin, end)))
        share, along, inward = (np.array(part) for part in FRAMES[edge])
        places = share * panel.size_mm + local[:, :1] * along + local[:, 1:2] * inward
        rows.append(np.column_stack([places, local[:, 2]]))
    return _closed(np.concatenate(rows))


def edge_length_mm(panel: Panel, edge: Edge) -> float:
    """Return the length of an edge from corner to corner. [mm]."""
    return panel.size_mm[0] if edge in (Edge.BOTTOM, Edge.TOP) else panel.size_mm[1]


def notch_span_mm(panel: Panel, notch: Notch) -> tuple[float, float]:
    """Return where a notch begins and ends along its edge, counted counter-clockwise. [mm]."""
    length = edge_length_mm(panel, notch.edge)
    middle = notch.at_mm if notch.edge in (Edge.BOTTOM, Edge.RIGHT) else length - notch.at_mm
    return middle - notch.width_mm / 2.0, middle + notch.width_mm / 2.0


def _along(panel: Panel, edge: Edge, begin: CornerCut, end: CornerCut) -> Iterator[Vertex]:
    """Yield the vertices of an edge in its own frame, the corner at its end included."""
    yield begin.size_mm, 0.0, 0.0
    notches = [notch for notch in panel.notches if notch.edge is edge]
    for notch in sorted(notches, key=lambda n: notch_span_mm(panel, n)[0]):
        yield from _notched(notch, *notch_span_mm(panel, notch))
    yield edge_length_mm(panel, edge) - end.size_mm, 0.0, QUARTER if end.is_round else 0.0


def _notched(notch: Notch, start: float, stop: float) -> Iterator[Vertex]:
    depth, radius = notch.depth_mm, notch.radius_mm
    yield start, 0.0, 0.0
    yield start, depth - radius, -QUARTER
    yield start + radius, depth, 0.0
    yield stop - radius, depth, -QUARTER
    yield stop, depth - radius, 0.0
    yield stop, 0.0, 0.0


def slot_path(slot: Slot) -> Path:
    """Return a slot, counter-clockwise."""
    half, radius = (slot.length_mm - slot.width_mm) / 2.0, slot.width_mm / 2.0
    rows = [(-half, -radius, 0.0), (half, -radius, 1.0), (half, radius, 0.0), (-half, radius, 1.0)]
    return _closed(rows).moved(slot.at_mm, math.radians(slot.angle_deg))


def cut_out_path(cut: CutOut) -> Path:
    """Return a cut-out, counter-clockwise."""
    x, y = cut.size_mm[0] / 2.0, cut.size_mm[1] / 2.0
    r = cut.radius_mm
    rows = [
        *[(-x + r, -y, 0.0), (x - r, -y, QUARTER), (x, -y + r, 0.0), (x, y - r, QUARTER)],
        *[(x - r, y, 0.0), (-x + r, y, QUARTER), (-x, y - r, 0.0), (-x, -y + r, QUARTER)],
    ]
    return _closed(rows).moved(cut.at_mm, math.radians(cut.angle_deg))


def _closed(rows: Sequence[Vertex] | NDArray[np.float64]) -> Path:
    """Return vertices (x, y, bulge) as a closed path without segments of no length."""
    vertices = np.array(rows)
    step = np.roll(vertices, -1, axis=0)[:, :2] - vertices[:, :2]
    kept = vertices[np.hypot(step[:, 0], step[:, 1]) > SAME_POINT_MM]
    return Path(kept[:, :2], kept[:, 2])
