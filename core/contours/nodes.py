"""Which ends of loose segments meet: end points gathered into nodes on a grid, arrays only.

Terms: a *node* is a set of end points that count as one place. Points closer than the tolerance
share a node, and so do points that a row of such neighbours connects. Where such a row spreads too
far (hairline work, drawn finer than the tolerance) its points are gathered again at a tenth.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

MEETING_MM = 0.01
"""Ends this close meet: half of the best router's repeatability, twice a drawing's rounding."""

FINEST_MM = 1e-5
"""Refinement ends here: below it a drawing's own digits end."""


def nodes_of(points: NDArray[np.float64], tolerance_mm: float = MEETING_MM) -> NDArray[np.intp]:
    """Return the node number of each point, counted from 0.

    Parameters
    ----------
    points : array of shape (m, 2)
        End points. [mm]
    tolerance_mm : float
        Points closer than this meet.

    Returns
    -------
    array of int, shape (m,)
    """
    if not len(points):
        return np.zeros(0, dtype=np.intp)
    labels = _gathered(points, tolerance_mm)
    while tolerance_mm > FINEST_MM:
        tolerance_mm /= 10.0
        wide = _spread(points, labels)[labels] > 20.0 * tolerance_mm
        if not wide.any():
            break
        finer = _gathered(points[wide], tolerance_mm)
        labels[wide] = finer + len(points)
    return np.unique(labels, return_inverse=True)[1]


def _spread(points: NDArray[np.float64], labels: NDArray[np.intp]) -> NDArray[np.float64]:
    """Return the larger side of the box around each node."""
    count = int(labels.max()) + 1
    low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
    np.minimum.at(low, labels, points)
    np.maximum.at(high, labels, points)
    return np.asarray((high - low).max(axis=1))


def _gathered(points: NDArray[np.float64], tolerance_mm: float) -> NDArray[np.intp]:
    """Return connected components of "closer than the tolerance"."""
    cell = np.floor((points - points.min(axis=0)) / tolerance_mm).astype(np.int64)
    width = int(cell[:, 0].max()) + 3
    key = cell[:, 0] + 1 + (cell[:, 1] + 1) * width
    order = np.argsort(key, kind="stable")
    first, second = _neighbours(key[order], width)
    gap = points[order[first]] - points[order[second]]
    near = gap[:, 0] ** 2 + gap[:, 1] ** 2 <= tolerance_mm**2
    labels = _components(len(points), first[near], second[near])
    out = np.empty(len(points), dtype=np.intp)
    out[order] = labels
    return out


def _neighbours(key: NDArray[np.int64], width: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs of points in the same or in adjoining cells, as positions in sorted order."""
    begins = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]]))
    cells, count = key[begins], np.diff(np.append(begins, len(key)))
    # inside a cell a point is compared with its next few: with more than that in one cell they
    # are copies of each other, and the row of neighbours still connects them
    firsts, seconds = [], []
    for step in range(1, min(int(count.max()), 8)):
        same = np.flatnonzero(key[step:] == key[:-step])
        firsts.append(same)
        seconds.append(same + step)
    for offset in (1, width - 1, width, width + 1):
        place = np.minimum(np.searchsorted(cells, cells + offset), len(cells) - 1)
        hit = np.flatnonzero(cells[place] == cells + offset)
        for a in range(min(int(count[hit].max(initial=0)), 8)):
            for b in range(min(int(count[place[hit]].max(initial=0)), 8)):
                both = hit[(count[hit] > a) & (count[place[hit]] > b)]
                firsts.append(begins[both] + a)
                seconds.append(begins[place[both]] + b)
    return np.concatenate([*firsts, _NONE]), np.concatenate([*seconds, _NONE])


_NONE = np.zeros(0, dtype=np.intp)


def _components(count: int, first: NDArray[np.intp], second: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the least member of each connected component, by hooking and pointer jumping."""
    label = np.arange(count)
    while len(first):
        a, b = label[first], label[second]
        apart = a != b
        first, second, a, b = first[apart], second[apart], a[apart], b[apart]
        np.minimum.at(label, np.maximum(a, b), np.minimum(a, b))
        while True:
            jumped = label[label]
            if np.array_equal(jumped, label):
                break
            label = jumped
    return label
