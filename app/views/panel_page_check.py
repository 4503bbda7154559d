"""What a panel looks like, what keeps it from being made, and what should be known about it.

Worked out off the main thread, for a panel may have thousands of holes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.drawing.panel import CutOut, Holes, Panel, Slot
from core.drawing.panel_check import panel_faults
from core.drawing.panel_drawing import panel_drawing, panel_strokes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from app.views.panel_page_features import Feature
    from app.worker import Watch
    from core.library.records import Material

_CHORD_MM = 0.1
"""How far the picture's chords may be off an arc; nothing is computed from them."""
_DRAWN = 2_000
"""Openings that are drawn although the panel has a fault: more is a slip of the hand."""


@dataclass(frozen=True, eq=False)
class Looked:
    """A panel that was looked at.

    Parameters
    ----------
    panel : Panel
        As typed.
    outline_mm : array of shape (n, 2) or None
        The outline; None where it cannot be drawn. [mm]
    openings_mm : tuple of array of shape (n, 2)
        What is cut out. [mm]
    faults : tuple of str
        What keeps it from being made.
    """

    panel: Panel
    outline_mm: NDArray[np.float64] | None = None
    openings_mm: tuple[NDArray[np.float64], ...] = ()
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Notes:
    """What a fitter should know about a panel, and what holds if it is to be a guard."""

    fitting: tuple[str, ...]
    guard: tuple[str, ...]


def look(panel: Panel, watch: Watch) -> Looked:
    """Look at a panel.

    Raises
    ------
    Cancelled
        If another one is to be looked at instead.
    """
    faults = panel_faults(panel)
    watch.progress(0.5)
    if faults and _openings(panel) > _DRAWN:
        return Looked(panel, faults=faults)
    outline, *openings = (stroke.path.flattened(_CHORD_MM) for stroke in panel_strokes(panel))
    return Looked(panel, outline, tuple(openings), faults)


def notes_on(panel: Panel, material: Material, watch: Watch) -> Notes:
    """Return the notes on a panel without faults, read from the drawing that it becomes.

    Raises
    ------
    Cancelled
        If another one is to be looked at instead.
    """
    from core.contours import find_contours
    from core.drawing import read_drawing
    from core.report.fitting import fitting_findings
    from core.report.guard_openings import opening_findings

    file = panel_drawing(panel)
    contours = find_contours(read_drawing(file, cancelled=watch.cancelled), file)
    watch.progress(0.9)
    return Notes(
        tuple(f.message for f in fitting_findings(contours, material)),
        tuple(f.message for f in opening_findings(contours)),
    )


def lit_rings(size_mm: tuple[float, float], feature: Feature) -> tuple[NDArray[np.float64], ...]:
    """Return what one feature cuts out of a panel of a size; none for a notch. [mm]."""
    alone = Panel(
        size_mm,
        holes=(feature,) if isinstance(feature, Holes) else (),
        slots=(feature,) if isinstance(feature, Slot) else (),
        cut_outs=(feature,) if isinstance(feature, CutOut) else (),
    )
    if _openings(alone) > _DRAWN:
        return ()
    return tuple(stroke.path.flattened(_CHORD_MM) for stroke in panel_strokes(alone)[1:])


def _openings(panel: Panel) -> int:
    """Return how many openings a panel asks for, more than enough being as good as many."""
    total = len(panel.slots) + len(panel.cut_outs)
    for holes in panel.holes:
        pattern = holes.pattern
        columns, rows = getattr(pattern, "columns", 1), getattr(pattern, "rows", 1)
        total += getattr(pattern, "count", 1) * columns * rows
    return total
