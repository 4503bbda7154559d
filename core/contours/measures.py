"""Boxes, lengths, areas and polygons of many paths at once: one pass over all their segments."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import Segments, flattened, points_on

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path

FLATNESS_MM = 0.02
"""Chord error of the polygons that nesting and crossing are decided on."""


@dataclass(frozen=True, eq=False)
class Measures:
    """What paths measure.

    Parameters
    ----------
    box : array of shape (n, 4)
        Boxes (x_min, y_min, x_max, y_max). [mm]
    length : array of shape (n,)
        Lengths. [mm]
    area : array of shape (n,)
        Areas, positive when run counter-clockwise; meaningless for open paths. [mm2]
    """

    box: NDArray[np.float64]
    length: NDArray[np.float64]
    area: NDArray[np.float64]


def measures_of(paths: Sequence[Path]) -> Measures:
    """Return the measures of paths, in their order."""
    if not paths:
        return Measures(np.zeros((0, 4)), np.zeros(0), np.zeros(0))
    seg, owner = _together(paths)
    first = np.searchsorted(owner, np.arange(len(paths)))
    low, high = seg.boxes_mm
    box = np.hstack([np.minimum.reduceat(low, first), np.maximum.reduceat(high, first)])
    # seen from each path's own start: far from the origin the products would lose digits
    start, end = seg.start - seg.start[first][owner], seg.end - seg.start[first][owner]
    cross = start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]
    radius = np.where(seg.is_arc, seg.radius_mm, 0.0)
    bow = radius**2 * (seg.sweep_rad - np.sin(seg.sweep_rad))
    area = np.add.reduceat(cross + bow, first) / 2.0
    return Measures(box, np.add.reduceat(seg.length_mm, first), area)


def polygons_of(rings: Sequence[Path]) -> NDArray[np.object_]:
    """Return closed paths as polygons of the geometry library, arcs as chords."""
    import shapely

    if not rings:
        return np.zeros(0, dtype=object)
    seg, owner = _together(rings)
    corners, which = flattened(seg, FLATNESS_MM)
    ring = owner[which]
    few = np.bincount(ring, minlength=len(rings)) < 3
    if few.any():  # rings of two flat arcs: with the middles of the arcs they have four corners
        flat = np.repeat(np.flatnonzero(few[owner]), 2)
        middles = points_on(seg, flat, np.tile([0.0, 0.5], len(flat) // 2))
        corners = np.vstack([corners[~few[ring]], middles])
        ring = np.append(ring[~few[ring]], owner[flat])
        order = np.argsort(ring, kind="stable")
        corners, ring = corners[order], ring[order]
    return np.asarray(shapely.polygons(shapely.linearrings(corners, indices=ring)))


def _together(paths: Sequence[Path]) -> tuple[Segments, NDArray[np.intp]]:
    """Return the segments of all paths in a row, and the path of each."""
    parts = [path.segments for path in paths]
    owner = np.repeat(np.arange(len(paths)), [len(part) for part in parts])
    segments = Segments(
        np.concatenate([part.start for part in parts]),
        np.concatenate([part.end for part in parts]),
        np.concatenate([part.bulge for part in parts]),
    )
    return segments, owner
