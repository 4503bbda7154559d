"""Which ring lies in which: nesting of closed contours by the even-odd rule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import points_on

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path

NESTING_FLATNESS_MM = 0.02
"""Chord error of the polygons that containment is decided on."""

PROBES = 9
"""Points of a ring asked for what lies around it; rings that cross follow the majority."""


@dataclass(frozen=True, eq=False)
class Nesting:
    """How rings lie in each other.

    Parameters
    ----------
    depth : array of int, shape (n,)
        Number of rings around each.
    parent : array of int, shape (n,)
        The ring right around each, -1 for none.
    """

    depth: NDArray[np.intp]
    parent: NDArray[np.intp]


def nesting(rings: Sequence[Path], polygons: NDArray[np.object_]) -> Nesting:
    """Return depth and parent of closed paths, given also as polygons."""
    count = len(rings)
    depth, parent = np.zeros(count, dtype=np.intp), np.full(count, -1, dtype=np.intp)
    if count < 2:
        return Nesting(depth, parent)
    area = np.array([abs(ring.area_mm2) for ring in rings])
    inside, around = _contained(rings, polygons, area)
    np.add.at(depth, inside, 1)
    # the parent is the smallest ring around: written last where the largest come first
    order = np.argsort(-area[around], kind="stable")
    parent[inside[order]] = around[order]
    return Nesting(depth, parent)


def _contained(
    rings: Sequence[Path], polygons: NDArray[np.object_], area: NDArray[np.float64]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs (ring, ring around it)."""
    import shapely

    probes = np.stack([_probes(ring) for ring in rings])
    tree = shapely.STRtree(polygons)
    boxes = shapely.bounds(polygons)
    middle = shapely.points((boxes[:, :2] + boxes[:, 2:]) / 2.0)
    # a box that lies in another has its middle there too; what crosses is close enough
    inner, outer = tree.query(middle, predicate=None)
    inner, outer = _with_boxes(inner, outer, boxes, area)
    if not len(inner):
        return inner, outer
    shapely.prepare(polygons[np.unique(outer)])
    x, y = probes[inner, :, 0], probes[inner, :, 1]
    hits = shapely.contains_xy(np.repeat(polygons[outer], PROBES), x.reshape(-1), y.reshape(-1))
    majority = hits.reshape(-1, PROBES).sum(axis=1) > PROBES / 2
    return inner[majority], outer[majority]


def _with_boxes(
    inner: NDArray[np.intp],
    outer: NDArray[np.intp],
    boxes: NDArray[np.float64],
    area: NDArray[np.float64],
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the pairs in which the outer ring is the larger one."""
    larger = (area[outer] > area[inner]) | ((area[outer] == area[inner]) & (outer < inner))
    overlap = np.all(
        (boxes[outer, :2] <= boxes[inner, 2:]) & (boxes[inner, :2] <= boxes[outer, 2:]), axis=1
    )
    kept = larger & overlap & (inner != outer)
    return inner[kept], outer[kept]


def polygons_of(rings: Sequence[Path]) -> NDArray[np.object_]:
    """Return the rings as polygons of the geometry library, arcs as chords."""
    import shapely

    if not rings:
        return np.zeros(0, dtype=object)
    corners = [_corners(ring) for ring in rings]
    ring_index = np.repeat(np.arange(len(rings)), [len(c) for c in corners])
    return np.asarray(
        shapely.polygons(shapely.linearrings(np.concatenate(corners), indices=ring_index))
    )


def _corners(ring: Path) -> NDArray[np.float64]:
    points = ring.flattened(NESTING_FLATNESS_MM)
    if len(points) < 3:  # two flat arcs: their middles make a ring of them
        points = points_on(ring.segments, np.repeat(np.arange(len(ring.bulges)), 2), _HALVES)
    return points


_HALVES = np.array([0.0, 0.5, 0.0, 0.5])


def _probes(ring: Path) -> NDArray[np.float64]:
    """Return points spread over a ring by length, inside its segments and not on its corners."""
    length = ring.segments.length_mm
    along = np.cumsum(length)
    wanted = (np.arange(PROBES) + 0.5) / PROBES * along[-1]
    which = np.minimum(np.searchsorted(along, wanted), len(length) - 1)
    share = (wanted - (along[which] - length[which])) / np.maximum(length[which], 1e-300)
    return points_on(ring.segments, which, np.clip(share, 0.01, 0.99))


def even_odd_area_mm2(rings: Sequence[Path], depth: NDArray[np.intp]) -> float:
    """Return the area by the even-odd rule: outer minus holes plus islands. [mm2]."""
    area = np.array([abs(ring.area_mm2) for ring in rings])
    return float((area * np.where(depth % 2, -1.0, 1.0)).sum())
