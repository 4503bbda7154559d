"""The way into a cut and out of it.

A first cut goes down along its own line, on a ramp or helix: the stock on the wall keeps its mark
off the part. A later cut goes down in the slot that was cleared before it, as far off the wall as
that slot's own line, and meets the wall on an arc.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.distance import distance_to
from core.geometry.leads import lead_in, lead_out
from core.geometry.path import Path, joined
from core.plan.records import Entry

if TYPE_CHECKING:
    from numpy.typing import NDArray

STEEPEST_TURN_SHARE = 0.1
"""A helix goes down at most this share of the diameter a turn (common practice, no source)."""

_HALVINGS = 5
_TOUCH_MM = 1e-6
_LOOKS = np.linspace(0.0, 1.0, 9)[1:-1]


def opened(ring: Path) -> Path:
    """Return a closed ring as an open path that ends where it began."""
    return Path(np.vstack([ring.points, ring.points[:1]]), ring.bulges, closed=False)


def nowhere(point_mm: NDArray[np.float64]) -> Path:
    """Return a path of no length: the cutter goes down or lifts where it stands."""
    return Path(np.vstack([point_mm, point_mm]), np.zeros(1), closed=False)


def ramp_along(
    ring: Path, drop_mm: float, angle_deg: float, diameter_mm: float
) -> tuple[Path, Entry]:
    """Return the way down along a ring's own line, ending at its start.

    Parameters
    ----------
    ring : Path
        Closed ring of the cutter's centre, from where the cut begins.
    drop_mm : float
        How far down. [mm]
    angle_deg : float
        Slope that is wanted; a short ring is steeper, up to `STEEPEST_TURN_SHARE`. [deg]
    diameter_mm : float
        The cutter's. [mm]
    """
    wanted = drop_mm / math.tan(math.radians(angle_deg))
    turns = drop_mm / (STEEPEST_TURN_SHARE * diameter_mm)
    length = min(wanted, max(turns, 1.0) * ring.length_mm)
    laps = int(length / ring.length_mm)
    rest = length - laps * ring.length_mm
    parts = [ring.cut(ring.length_mm - rest, ring.length_mm)] if rest > _TOUCH_MM else []
    return joined(parts + [opened(ring)] * laps), Entry.HELIX if laps else Entry.RAMP


def lead_off(
    cut: Path,
    *,
    off_mm: float,
    side: int,
    radius_mm: float,
    wall: Path,
    keep_mm: float,
    leaving: bool,
) -> Path:
    """Return the arc on which a cut is met or left, ending at a distance off its line.

    Parameters
    ----------
    cut : Path
        The main cut.
    off_mm : float
        How far off the cut's line the arc begins or ends. [mm]
    side : int
        Side of the wall, +1 left of the travel.
    radius_mm : float
        Radius that is wanted; a smaller one is taken where the wall comes nearer. [mm]
    wall : Path
        The contour.
    keep_mm : float
        How near to it the cutter's centre may come. [mm]
    leaving : bool
        At the end of the cut instead of its start.

    Returns
    -------
    Path
        The arc; of no length where none fits.
    """
    segments = cut.segments
    place = -1 if leaving else 0
    towards = float(segments.curvature_per_mm[place]) * side
    point, heading = cut.point_and_heading_at(cut.length_mm if leaving else 0.0)
    if off_mm <= 0.0:
        return nowhere(np.asarray(point))
    arc = lead_out if leaving else lead_in
    radius = max(radius_mm, off_mm)
    if towards < 0.0:
        # inside a bend the arc must stay well clear of the wall on its far side
        radius = max(min(radius, -0.5 / towards), off_mm / 2.0)
    for _ in range(_HALVINGS):
        sweep = _sweep_to(off_mm, radius, towards)
        way = arc(point, heading, radius, -side, sweep)
        if _is_clear(way, wall, keep_mm):
            return way
        radius = max(radius / 2.0, off_mm / 2.0)
    return nowhere(np.asarray(point))


def _sweep_to(off_mm: float, radius_mm: float, towards_per_mm: float) -> float:
    """Return the sweep after which a tangent circle lies `off_mm` off a line or circle. [rad].

    With r_c the radius of the cut, m = r_c + s r the distance of the two centres (s = 1 outside a
    part, -1 inside a hole) and d = r_c + s off: cos = (m^2 + r^2 - d^2) / (2 s m r).
    """
    if abs(towards_per_mm) < 1e-9:
        cosine = 1.0 - off_mm / radius_mm
    else:
        way = math.copysign(1.0, towards_per_mm)
        bend = 1.0 / abs(towards_per_mm)
        apart, target = bend + way * radius_mm, bend + way * off_mm
        cosine = (apart**2 + radius_mm**2 - target**2) / (2.0 * way * apart * radius_mm)
    return math.acos(min(max(cosine, -1.0), 1.0))


def _is_clear(way: Path, wall: Path, keep_mm: float) -> bool:
    middle = [way.point_and_heading_at(share * way.length_mm)[0] for share in _LOOKS]
    looks = np.vstack([way.points, middle])
    return bool((distance_to(wall, looks) >= keep_mm - _TOUCH_MM).all())
