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

PROBES = 9
"""Points of a ring asked for what lies around it; rings that cross follow the majority."""

MOST_PAIRS = 300_000
"""Beyond so many pairs of boxes in each other (thousands of rings in rings) one point decides."""


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


def nesting(
    rings: Sequence[Path], polygons: NDArray[np.object_], area: NDArray[np.float64]
) -> Nesting:
    """Return depth and parent of closed paths.

    Parameters
    ----------
    rings : sequence of Path
        Closed paths. [mm]
    polygons : array of shapely polygons, shape (n,)
        The same with chords in place of arcs.
    area : array of shape (n,)
        Their areas, positive. [mm2]
    """
    count = len(rings)
    depth, parent = np.zeros(count, dtype=np.intp), np.full(count, -1, dtype=np.intp)
    if count < 2:
        return Nesting(depth, parent)
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

    boxes = shapely.bounds(polygons)
    middle = shapely.points((boxes[:, :2] + boxes[:, 2:]) / 2.0)
    # a box that lies in another has its middle there too; what crosses is close enough
    inner, outer = shapely.STRtree(polygons).query(middle)
    larger = (area[outer] > area[inner]) | ((area[outer] == area[inner]) & (outer < inner))
    inner, outer = inner[larger & (inner != outer)], outer[larger & (inner != outer)]
    if not len(inner):
        return inner, outer
    count = PROBES if len(inner) <= MOST_PAIRS else 1
    asked, place = np.unique(inner, return_inverse=True)
    probes = np.stack([_probes(rings[k], count) for k in asked.tolist()])[place].reshape(-1, 2)
    shapely.prepare(polygons[np.unique(outer)])
    hits = shapely.contains_xy(np.repeat(polygons[outer], count), probes[:, 0], probes[:, 1])
    majority = hits.reshape(-1, count).sum(axis=1) > count / 2
    return inner[majority], outer[majority]


def _probes(ring: Path, count: int) -> NDArray[np.float64]:
    """Return points spread over a ring by length, inside its segments and not on its corners."""
    length = ring.segments.length_mm
    along = np.cumsum(length)
    wanted = (np.arange(count) + 0.5) / count * along[-1]
    which = np.minimum(np.searchsorted(along, wanted), len(length) - 1)
    share = (wanted - (along[which] - length[which])) / np.maximum(length[which], 1e-300)
    return points_on(ring.segments, which, np.clip(share, 0.01, 0.99))
