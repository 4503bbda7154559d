"""Choices by hand carried over to a drawing that is read differently.

Contours are numbered in the order of the drawing's entities. Leaving out a layer or refusing a
repair takes contours away or brings new ones, so that every later number moves: a choice follows
its outline, never its number.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.contours.recognising import find_contours
from core.drawing.reading import read_drawing
from core.errors import DrawingError
from core.library.layer_rules import NO_RULES

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.records import Contour
    from core.job.job import DrawingFile
    from core.library.layer_rules import LayerRules

SAME_OUTLINE_MM = 0.6
"""Boxes of one outline differ by less: closing a gap or trimming an end moves a side by 0.5 mm."""


def carried_over(
    before: DrawingFile, after: DrawingFile, rules: LayerRules = NO_RULES
) -> DrawingFile:
    """Return `after` with the choices by hand of `before` on the same outlines.

    Parameters
    ----------
    before : DrawingFile
        The drawing as it was read when the choices were made.
    after : DrawingFile
        The same file with other layers, repairs or unit.
    rules : LayerRules
        The layer rules of the job.

    Notes
    -----
    The choice for an outline that is no longer there, or no longer closed, goes with it. A drawing
    that cannot be read keeps its choices: nothing is known about them.
    """
    if not before.contours:
        return after
    try:
        old, old_boxes = _boxes(before, rules)
        new, new_boxes = _boxes(after, rules)
    except DrawingError:
        return after
    row_of = {contour.id: row for row, contour in enumerate(old)}
    is_closed = np.array([contour.path.closed for contour in new], dtype=bool)
    free = np.ones(len(new), dtype=bool)
    kept = []
    for choice in before.contours:
        row = row_of.get(choice.contour_id)
        if row is None:
            continue
        off = np.abs(new_boxes - old_boxes[row]).max(axis=1, initial=0.0)
        off[~free | (is_closed != old[row].path.closed)] = np.inf
        found = int(np.argmin(off)) if len(off) else -1
        if found >= 0 and off[found] <= SAME_OUTLINE_MM:
            free[found] = False
            kept.append(replace(choice, contour_id=new[found].id))
    return replace(after, contours=tuple(kept))


def _boxes(file: DrawingFile, rules: LayerRules) -> tuple[tuple[Contour, ...], NDArray[np.float64]]:
    """Return the contours and their boxes, as if one drawing unit were a millimetre. [mm]."""
    drawing = read_drawing(file)
    contours = find_contours(drawing, file, 0, rules).contours
    boxes = np.array([c.path.bounds_mm for c in contours], dtype=np.float64).reshape(-1, 4)
    return contours, boxes / drawing.unit.mm_per_unit
