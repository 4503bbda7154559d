"""The drawing that a panel by numbers becomes; from there it is read like any other."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from core.drawing.panel_check import panel_faults
from core.drawing.panel_outline import cut_out_path, outline, slot_path
from core.drawing.writing import Stroke, dxf_bytes
from core.errors import DrawingError
from core.geometry.path import circle
from core.job.job import DrawingFile

if TYPE_CHECKING:
    from core.drawing.panel import Panel
    from core.geometry.path import Path
    from core.job.job import Job


def panel_strokes(panel: Panel) -> tuple[Stroke, ...]:
    """Return the outline and every opening as paths, counter-clockwise, on layers of their kind.

    The panel is taken as it is; `panel_faults` tells whether it can be made.
    """
    round_ones = [
        circle(place, holes.diameter_mm / 2.0)
        for holes in panel.holes
        for place in holes.pattern.places_mm(panel.size_mm)
    ]
    drawn: list[tuple[str, list[Path]]] = [
        ("outline", [outline(panel)]),
        ("holes", round_ones),
        ("slots", [slot_path(slot) for slot in panel.slots]),
        ("cut-outs", [cut_out_path(cut) for cut in panel.cut_outs]),
    ]
    return tuple(Stroke(path, layer) for layer, paths in drawn for path in paths)


def panel_drawing(panel: Panel, name: str = "panel.dxf") -> DrawingFile:
    """Return the panel as a drawing like any other.

    Raises
    ------
    DrawingError
        If the panel cannot be made: its first fault, and how many more there are.
    """
    faults = panel_faults(panel)
    if faults:
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        raise DrawingError(faults[0] + more)
    return DrawingFile(name, dxf_bytes(panel_strokes(panel)))


def with_panel(job: Job, panel: Panel, name: str = "panel.dxf") -> Job:
    """Return the job with the panel as its drawing, and its quantity.

    Raises
    ------
    DrawingError
        If the panel cannot be made.
    """
    return replace(job, drawings=(panel_drawing(panel, name),), quantity=panel.quantity)
