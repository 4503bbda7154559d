"""Notes on fitting a panel: room for growth in its fixing holes, and holes near an edge.

Terms: a *fixing hole* is a round hole of the size of a screw, right inside an outer contour. Notes
say what a fitter should know; none of them is a verdict, and none moves the answer of a plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.contours.records import Kind
from core.errors import Finding, Severity
from core.geometry.distance import distance_to
from core.units import number

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.records import Contour, Contours
    from core.library.records import Material

FIXING_HOLE_MM = (2.5, 14.0)
"""Clearance holes of screws from 2 to 12 mm: common practice, no source."""

CHANGE_K = 40.0
"""From a cold night in the shop to a lamp or a wash-down; an assumption, set your own."""

STEEL_UM_MK = 12.0
"""Expansion of the frame of steel that a panel is screwed to; textbook value."""

WORTH_TELLING_MM = 0.2
"""Below this every clearance hole has room enough: common practice, no source."""

EDGE_TIMES_DIAMETER = 1.5
"""Least distance from a hole's rim to the edge, in diameters: common practice, no source."""

FITTING_SOURCE = (
    "share the room evenly round each screw, tighten to a firm fit, then back off one full turn "
    "(FAA AC 43.13-1B, par. 3-27)"
)


def thermal_growth_mm(length_mm: float, expansion_um_mk: float, change_k: float) -> float:
    """Return by how much a length grows, dL.

    dL = alpha L dT

    Parameters
    ----------
    length_mm : float
        L. [mm]
    expansion_um_mk : float
        alpha, expansion a metre and kelvin. [µm/(m K)]
    change_k : float
        dT, change of temperature. [K]

    Returns
    -------
    float
        dL. [mm]

    Notes
    -----
    Holds where alpha is nearly constant: for sheet plastics from about 0 to 60 °C. Growth by
    moisture comes on top of it (acrylic: some 0.3 % from dry to 80 % humidity).

    Examples
    --------
    >>> round(thermal_growth_mm(1000.0, 65.0, 40.0), 3)
    2.6
    """
    return length_mm * expansion_um_mk * 1e-6 * change_k


def fitting_findings(
    contours: Contours, material: Material, drawing: int = 0
) -> tuple[Finding, ...]:
    """Return the notes on fitting every part of a drawing.

    Parameters
    ----------
    contours : Contours
        Its contours.
    material : Material
        What it is cut from.
    drawing : int
        Its number in the job.
    """
    notes: list[Finding] = []
    for part in contours.contours:
        if part.kind is Kind.OUTER:
            holes = [c for c in contours.contours if c.parent == part.id and _is_fixing(c)]
            notes += _growth(holes, material, drawing)
            notes += _near_edge(part, holes, drawing)
    return tuple(notes)


def _is_fixing(contour: Contour) -> bool:
    diameter = contour.circle_diameter_mm
    return diameter is not None and FIXING_HOLE_MM[0] <= diameter <= FIXING_HOLE_MM[1]


def _growth(holes: list[Contour], material: Material, drawing: int) -> list[Finding]:
    """Tell the room that fixing holes need, where it is worth telling."""
    if len(holes) < 2:
        return []
    apart_mm = _farthest_mm(_middles(holes))
    own = thermal_growth_mm(apart_mm, material.thermal_expansion_um_mk, CHANGE_K)
    beyond = own - thermal_growth_mm(apart_mm, STEEL_UM_MK, CHANGE_K)
    if beyond < WORTH_TELLING_MM:
        return []
    sourced = material.sources.get("thermal_expansion_um_mk")
    source = f", {sourced.source}" if sourced else ""
    expansion = f"{material.thermal_expansion_um_mk:g} µm/(m K){source}"
    message = (
        f"Fixing holes lie up to {number(apart_mm, 0)} mm apart. dL = alpha L dT: over "
        f"{CHANGE_K:g} K {material.name} ({expansion}) grows {own:.2f} mm there, {beyond:.2f} mm "
        f"more than a frame of steel. Make each hole at least {beyond:.1f} mm wider than its "
        f"screw; {FITTING_SOURCE}."
    )
    return [_note("fixing-clearance", message, holes[0], drawing)]


def _near_edge(part: Contour, holes: list[Contour], drawing: int) -> list[Finding]:
    """Tell of fixing holes whose rim comes close to the edge."""
    if not holes:
        return []
    diameter = np.array([hole.circle_diameter_mm for hole in holes], dtype=np.float64)
    rim_mm = distance_to(part.path, _middles(holes)) - diameter / 2.0
    near = np.flatnonzero(rim_mm < EDGE_TIMES_DIAMETER * diameter - 1e-6)
    if not len(near):
        return []
    worst = int(near[np.argmin((rim_mm / diameter)[near])])
    many = f"{len(near)} fixing holes come" if len(near) > 1 else "A fixing hole comes"
    message = (
        f"{many} close to the edge: {rim_mm[worst]:.1f} mm from the rim of ø "
        f"{diameter[worst]:g} mm, and a rim {EDGE_TIMES_DIAMETER:g} diameters from the edge breaks "
        "out less easily (common practice, no source)."
    )
    return [_note("hole-near-edge", message, holes[worst], drawing)]


def _middles(holes: list[Contour]) -> NDArray[np.float64]:
    boxes = np.array([hole.path.bounds_mm for hole in holes])
    return np.asarray((boxes[:, :2] + boxes[:, 2:]) / 2.0)


def _farthest_mm(points: NDArray[np.float64]) -> float:
    """Return the greatest distance between two points; only their hull is looked at."""
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(points)))
    apart = hull[:, None] - hull
    return float(np.hypot(apart[..., 0], apart[..., 1]).max())


def _note(code: str, message: str, hole: Contour, drawing: int) -> Finding:
    x, y = _middles([hole])[0].tolist()
    return Finding(code, Severity.NOTE, message, (x, y), contour_id=hole.id, drawing=drawing)
