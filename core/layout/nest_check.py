"""Whether parts lie where they may: apart, on the sheet, out of the zones.

Computed from the outlines with shapely, on its own: it trusts nothing of how they were placed, and
serves a part that somebody moved or turned by hand as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.errors import Finding, Severity

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.layout.nest_records import NestTask
    from core.layout.records import PlacedPart
    from core.library.records import SheetStock

SLACK_MM = 1e-6
"""Spacing may fall short by this: a millionth of a millimetre is no fault of a layout."""


def collisions(
    task: NestTask, stock: SheetStock, placed: Sequence[PlacedPart]
) -> tuple[Finding, ...]:
    """Return what is wrong with the parts on one sheet; nothing if all lie well.

    Codes: `parts-too-close`, `part-off-sheet`, `part-in-zone`.
    """
    if not placed:
        return ()
    shapes = np.array([task.outline(part) for part in placed])
    return (
        *_too_close(task, stock, placed, shapes),
        *_off_sheet(task, stock, placed, shapes),
        *_in_zone(task, stock, placed, shapes),
    )


def _too_close(
    task: NestTask, stock: SheetStock, placed: Sequence[PlacedPart], shapes: np.ndarray
) -> Iterator[Finding]:
    spacing = task.spacing_mm(stock)
    if not task.in_holes:
        shapes = np.array([shapely.Polygon(shape.exterior) for shape in shapes])
    tree = shapely.STRtree(shapes)
    one, other = tree.query(shapes, predicate="dwithin", distance=spacing - SLACK_MM)
    for a, b in zip(one.tolist(), other.tolist(), strict=True):
        if a < b:
            gap = shapely.distance(shapes[a], shapes[b])
            yield _finding(
                "parts-too-close",
                placed[a],
                f"{_name(task, placed[a])} and {_name(task, placed[b])} are {gap:.2f} mm apart and "
                f"need {spacing:g} mm; move or turn one of them.",
                shapes[a],
            )


def _off_sheet(
    task: NestTask, stock: SheetStock, placed: Sequence[PlacedPart], shapes: np.ndarray
) -> Iterator[Finding]:
    margin = task.margin_mm(stock)
    low, high = margin - SLACK_MM, np.array(stock.size_mm) - margin + SLACK_MM
    bounds = shapely.bounds(shapes)
    outside = (bounds[:, :2] < low).any(axis=1) | (bounds[:, 2:] > high).any(axis=1)
    for index in np.flatnonzero(outside).tolist():
        yield _finding(
            "part-off-sheet",
            placed[index],
            f"{_name(task, placed[index])} comes closer than {margin:g} mm to the edge of "
            f"{stock.name}; move it inwards.",
            shapes[index],
        )


def _in_zone(
    task: NestTask, stock: SheetStock, placed: Sequence[PlacedPart], shapes: np.ndarray
) -> Iterator[Finding]:
    spacing = task.spacing_mm(stock)
    for zone in task.zones_mm:
        near = shapely.dwithin(shapes, shapely.box(*zone), spacing - SLACK_MM)
        for index in np.flatnonzero(near).tolist():
            yield _finding(
                "part-in-zone",
                placed[index],
                f"{_name(task, placed[index])} lies in a zone that must stay free; move it away.",
                shapes[index],
            )


def _name(task: NestTask, placed: PlacedPart) -> str:
    return task.parts[task.part_index[placed.drawing, placed.contour_id]].name


def _finding(code: str, placed: PlacedPart, message: str, shape: shapely.Polygon) -> Finding:
    centre = shape.centroid
    return Finding(
        code,
        Severity.OUTSIDE,
        message,
        at_mm=(float(centre.x), float(centre.y)),
        contour_id=placed.contour_id,
        drawing=placed.drawing,
    )
