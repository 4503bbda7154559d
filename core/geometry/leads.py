"""Where a closed path is entered, and the arcs that enter and leave it.

Terms: a *lead-in* is a quarter circle that meets the path tangentially, a *lead-out* one that
leaves it so; both lie on one *side* of the travel, +1 left, -1 right: the side of the waste.
The *gentle* places of a path are the stretches without a corner; the gentlest one bends least.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import Path

if TYPE_CHECKING:
    from numpy.typing import NDArray

CORNER_RAD = math.radians(0.5)
"""A turn between two segments above this is a corner; below, a drawing's rounding."""


def lead_in(
    point_mm: tuple[float, float],
    heading_rad: float,
    radius_mm: float,
    side: int,
    sweep_rad: float = math.pi / 2.0,
) -> Path:
    """Return the arc that ends at a point of the path with the path's heading.

    Parameters
    ----------
    point_mm, heading_rad : (float, float), float
        Place and heading where the path is met. [mm], [rad]
    radius_mm : float
        Radius of the arc. [mm]
    side : int
        +1: the arc comes from the left of the travel, -1: from the right.
    sweep_rad : float
        Turn of the arc, at most half a turn. [rad]
    """
    turn = math.copysign(sweep_rad, side)
    middle = heading_rad - turn / 2.0
    chord = 2.0 * radius_mm * math.sin(sweep_rad / 2.0)
    x, y = point_mm
    start = (x - chord * math.cos(middle), y - chord * math.sin(middle))
    return Path(np.array([start, point_mm]), np.array([math.tan(turn / 4.0)]), closed=False)


def lead_out(
    point_mm: tuple[float, float],
    heading_rad: float,
    radius_mm: float,
    side: int,
    sweep_rad: float = math.pi / 2.0,
) -> Path:
    """Return the arc that leaves a point of the path with the path's heading; see `lead_in`."""
    return lead_in(point_mm, heading_rad + math.pi, radius_mm, -side, sweep_rad).reversed()


def longest_gentle_place(path: Path) -> float:
    """Return the way along a closed path to the middle of its longest gentle stretch. [mm].

    A stretch is a run of segments of one curvature that continue each other. Its length is weighed
    by the cosine of half its turn, so that a straight one is preferred to a bent one as long. On a
    circle every place is as good, and the middle of its first segment is taken.
    """
    seg = path.segments
    length, ends = seg.length_mm, path.ends_mm
    fresh = np.flatnonzero(_breaks(path))
    if not len(fresh):
        return float(length[0] / 2.0)
    # runs from one break to the next, the last one across the seam
    stop = np.append(fresh[1:], fresh[0] + len(length))
    until = ends[stop % len(length)] + np.where(stop >= len(length), path.length_mm, 0.0)
    span = until - ends[fresh]
    # weighed by straightness; a little is left so that an outline of half circles still has one
    turn = seg.curvature_per_mm[fresh] * span
    weight = span * np.maximum(np.cos(turn / 2.0), 0.05)
    best = int(np.argmax(weight >= (1.0 - 1e-9) * weight.max()))
    return float((ends[fresh[best]] + span[best] / 2.0) % path.length_mm)


def _breaks(path: Path) -> NDArray[np.bool_]:
    """Whether a new stretch begins at each point: a corner, or a change of curvature."""
    seg = path.segments
    arrive = np.roll(seg.heading_rad + seg.sweep_rad, 1)
    turn = np.remainder(seg.heading_rad - arrive + math.pi, 2.0 * math.pi) - math.pi
    bend = seg.curvature_per_mm
    before = np.roll(bend, 1)
    same = np.abs(bend - before) <= 1e-6 * np.maximum(np.abs(bend), np.abs(before)) + 1e-9
    broken: NDArray[np.bool_] = (np.abs(turn) > CORNER_RAD) | ~same
    return broken
