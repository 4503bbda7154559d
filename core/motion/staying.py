"""Going deeper without lifting: back in the own slot to where the next depth begins.

After a trip round a ring the cutter stands a little past the beginning of the ring; the next depth
begins a little before it. Backwards along the ring, where all is cut, that way is short, and the
cutter stands still at both of its ends.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import joined
from core.motion.profile import speed_profile
from core.motion.track import SHARP_RAD

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.path import Path
    from core.plan.records import Toolpath

STAYS_DOWN_MM = 25.0
"""A way back longer than this takes longer than to lift the cutter (house rule)."""

ON_THE_RING_MM = 1e-6
"""A point this near to the ring lies on it."""


def way_back(before: Toolpath, after: Toolpath) -> Path | None:
    """Return the way in the cutter's own slot from one depth to the beginning of the next.

    Parameters
    ----------
    before, after : Toolpath
        Trips that follow each other.

    Returns
    -------
    Path or None
        None where the cutter is lifted: another ring, a way out that leaves the ring, or a way
        longer than `STAYS_DOWN_MM`.
    """
    same = before.contour_id == after.contour_id and before.drawing == after.drawing
    same &= before.step.name == after.step.name and before.mounted.key == after.mounted.key
    if not (same and after.level == before.level + 1 and _one_ring(before.cut, after.cut)):
        return None
    ring = before.cut
    stands = _way_along(ring, before.exit.points[-1])
    begins = _way_along(ring, after.entry.points[0])
    if stands is None or begins is None:
        return None
    back = ring.length_mm - begins if begins > 0.0 else 0.0
    if not ON_THE_RING_MM < stands + back <= STAYS_DOWN_MM:
        return None
    parts = []
    if stands > ON_THE_RING_MM:
        parts.append(ring.cut(0.0, stands).reversed())
    if back > ON_THE_RING_MM:
        parts.append(ring.cut(begins, ring.length_mm).reversed())
    return joined(parts)


def way_time_s(way: Path, feed_mm_s: float, acceleration_mm_s2: float) -> float:
    """Return the time along a way from rest to rest, slowed down by its arcs and corners. [s]."""
    segments = way.segments
    with np.errstate(divide="ignore"):
        bend = np.sqrt(acceleration_mm_s2 / np.abs(segments.curvature_per_mm))
    turn = segments.heading_rad[1:] - segments.heading_rad[:-1] - segments.sweep_rad[:-1]
    turn = np.abs(np.mod(turn + math.pi, 2.0 * math.pi) - math.pi)
    node = np.concatenate([[0.0], np.where(turn > SHARP_RAD, 0.0, np.inf), [0.0]])
    limit = np.minimum(feed_mm_s, bend)
    return float(speed_profile(segments.length_mm, limit, node, acceleration_mm_s2).time_s.sum())


def _one_ring(one: Path, other: Path) -> bool:
    same: bool = len(one.points) == len(other.points) and np.allclose(
        one.points, other.points, atol=ON_THE_RING_MM
    )
    return same and bool(np.hypot(*(one.points[0] - one.points[-1])) < ON_THE_RING_MM)


def _way_along(path: Path, point: NDArray[np.float64]) -> float | None:
    """Return how far along a path a point on it lies, or None where it lies elsewhere. [mm]."""
    segments = path.segments
    chord = np.hypot(*(point - segments.start).T)
    rest = np.hypot(*(segments.end - point).T)
    arc = segments.is_arc
    radius = np.where(arc, segments.radius_mm, 1.0)
    aside = np.abs(np.hypot(*(point - segments.centre_mm).T) - radius)
    along = np.where(arc, 2.0 * radius * np.arcsin(np.minimum(chord / (2.0 * radius), 1.0)), chord)
    left = np.where(arc, 2.0 * radius * np.arcsin(np.minimum(rest / (2.0 * radius), 1.0)), rest)
    # on a segment the ways to both of its ends add up to it
    on = np.abs(along + left - segments.length_mm) < ON_THE_RING_MM
    on &= np.where(arc, aside, 0.0) < ON_THE_RING_MM
    # the other half of a half circle's own circle is as far from both ends
    delta, away = segments.end - segments.start, point - segments.start
    left_of_chord = delta[:, 0] * away[:, 1] - delta[:, 1] * away[:, 0]
    on &= left_of_chord * np.sign(segments.bulge) <= ON_THE_RING_MM
    found = np.flatnonzero(on)
    if not len(found):
        return None
    return float(path.ends_mm[found[0]] + along[found[0]])
