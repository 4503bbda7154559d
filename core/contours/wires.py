"""The working set of contour finding: segments with their nodes, and what is dropped from it.

Terms: a *wire* is a segment with the nodes of its two ends, its layer and its entity. An *end* is
numbered 2 i for the start of wire i and 2 i + 1 for its end, so that `end ^ 1` is the other end
of the same wire. A *run* is a list of the ends through which its wires are entered, in order.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.contours.nodes import MEETING_MM
from core.geometry.path import Path, Segments, points_on

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Run = list[int]


@dataclass(frozen=True, eq=False)
class Wires:
    """Segments that know where they meet.

    Parameters
    ----------
    segments : Segments
        Lines and arcs, loose. [mm]
    node : array of int, shape (2 n,)
        Node of each end.
    layer, entity : array of int, shape (n,)
        As in the drawing.
    """

    segments: Segments
    node: NDArray[np.intp]
    layer: NDArray[np.intp]
    entity: NDArray[np.intp]

    def __len__(self) -> int:
        return len(self.segments)

    @cached_property
    def ends(self) -> NDArray[np.float64]:
        """End points in order of their numbers, shape (2 n, 2). [mm]."""
        return np.stack([self.segments.start, self.segments.end], axis=1).reshape(-1, 2)

    @cached_property
    def middle(self) -> NDArray[np.float64]:
        """Point half way along each wire, shape (n, 2). [mm]."""
        every = np.arange(len(self))
        return points_on(self.segments, every, np.full(len(self), 0.5))

    def degree(self, kept: NDArray[np.bool_]) -> NDArray[np.intp]:
        """Return how many ends of kept wires meet at each node."""
        count = int(self.node.max(initial=-1)) + 1
        return np.bincount(self.node[np.repeat(kept, 2)], minlength=count)


def specks(wires: Wires) -> NDArray[np.bool_]:
    """Return which wires begin and end in one node: too short to be cut."""
    return np.asarray(wires.node[0::2] == wires.node[1::2])


def twins(wires: Wires, among: NDArray[np.bool_], stays: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Return for each wire the wire that it is a copy of, -1 for none.

    A copy has the same nodes and the same middle. The first of several stays.

    Parameters
    ----------
    wires : Wires
        All of them.
    among : array of bool, shape (n,)
        Which of them to look at.
    stays : array of bool, shape (n,)
        Those that are never a copy of another, only its original.
    """
    twin = np.full(len(wires), -1, dtype=np.intp)
    which = np.flatnonzero(among)
    low = np.minimum(wires.node[2 * which], wires.node[2 * which + 1])
    high = np.maximum(wires.node[2 * which], wires.node[2 * which + 1])
    order = np.lexsort((which, ~stays[which], high, low))
    same = (low[order][1:] == low[order][:-1]) & (high[order][1:] == high[order][:-1])
    if not same.any():
        return twin
    # most pairs of nodes hold one wire; only the others are compared by their middle
    middle = wires.middle
    group = np.cumsum(np.concatenate([[False], ~same]))
    crowded = np.flatnonzero(np.bincount(group)[group] > 1)
    originals: dict[int, list[int]] = {}
    for position in crowded.tolist():
        wire = int(which[order[position]])
        known = originals.setdefault(int(group[position]), [])
        same_way = (k for k in known if np.abs(middle[wire] - middle[k]).max() <= MEETING_MM)
        found = -1 if stays[wire] else next(same_way, -1)
        twin[wire] = found
        if found < 0:
            known.append(wire)
    return twin


def paths_of(wires: Wires, runs: Sequence[Run], closed: bool) -> list[Path]:
    """Return the geometry of runs; where ends of a node differ, arcs keep theirs."""
    if not runs:
        return []
    every = np.concatenate([np.asarray(run, dtype=np.intp) for run in runs])
    lengths = np.array([len(run) for run in runs])
    first = np.cumsum(lengths) - lengths
    last = first + lengths - 1
    before = np.arange(len(every)) - 1
    before[first] = last if closed else first
    ends, is_arc = wires.ends, wires.segments.is_arc
    points = ends[every]
    arrives = ends[every[before] ^ 1]
    prefers_last = is_arc[every[before] >> 1] & ~is_arc[every >> 1]
    if not closed:
        prefers_last[first] = False
    points = np.where(prefers_last[:, None], arrives, points)
    bulges = np.where(every & 1, -1.0, 1.0) * wires.segments.bulge[every >> 1]
    out = []
    for begin, end in zip(first.tolist(), (last + 1).tolist(), strict=True):
        own = points[begin:end]
        if not closed:
            own = np.vstack([own, ends[every[end - 1] ^ 1]])
        out.append(Path(own, bulges[begin:end], closed))
    return out
