"""Chains wires into loops and open runs: a walk through nodes where exactly two ends meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.wires import Run, Wires


@dataclass(frozen=True, eq=False)
class Runs:
    """Loops, and runs whose two ends meet nothing or a branch."""

    loops: list[Run]
    opens: list[Run]


def chained(node: NDArray[np.intp], which: NDArray[np.intp]) -> Runs:
    """Return the loops and open runs of some wires.

    Parameters
    ----------
    node : array of int, shape (2 n,)
        Node of each end of all wires.
    which : array of int, shape (k,)
        The wires to chain.
    """
    partner = _partners(node, which)
    unseen = np.zeros(len(node) // 2, dtype=bool)
    unseen[which] = True
    loose = np.column_stack([2 * which, 2 * which + 1]).reshape(-1)
    begins = loose[partner[loose] < 0].tolist()
    partner_list, left = partner.tolist(), bytearray(unseen.tobytes())
    opens = [_walk(end, partner_list, left) for end in begins if left[end >> 1]]
    loops = [_walk(2 * wire, partner_list, left) for wire in which.tolist() if left[wire]]
    return Runs(loops, opens)


def _partners(node: NDArray[np.intp], which: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return for each end the one other end at its node, -1 where there is none or several."""
    ends = np.column_stack([2 * which, 2 * which + 1]).reshape(-1)
    here = node[ends]
    degree = np.bincount(here, minlength=1)
    order = np.argsort(here, kind="stable")
    ends, here = ends[order], here[order]
    pair = np.flatnonzero((here[1:] == here[:-1]) & (degree[here[1:]] == 2))
    partner = np.full(len(node), -1, dtype=np.intp)
    partner[ends[pair]] = ends[pair + 1]
    partner[ends[pair + 1]] = ends[pair]
    return partner


def walked(partner: list[int]) -> tuple[list[Run], list[Run]]:
    """Return loops and open runs from the partner of each end, -1 where it has none."""
    left = bytearray(b"\x01" * (len(partner) // 2))
    begins = [end for end, other in enumerate(partner) if other < 0]
    opens = [_walk(end, partner, left) for end in begins if left[end >> 1]]
    loops = [_walk(2 * k, partner, left) for k in range(len(left)) if left[k]]
    return loops, opens


def _walk(end: int, partner: list[int], left: bytearray) -> Run:
    """Return the run entered at an end, taking its wires out of those left."""
    run = []
    while end >= 0 and left[end >> 1]:
        left[end >> 1] = 0
        run.append(end)
        end = partner[end ^ 1]
    return run


def entity_loops(wires: Wires, kept: NDArray[np.bool_]) -> list[Run]:
    """Return the loops that single entities draw: circles, closed polylines, closed splines.

    A ring drawn as one entity is a ring whatever touches it, so it is taken before anything is
    chained across entities.
    """
    members = np.bincount(wires.entity, weights=kept, minlength=1)
    which = np.flatnonzero(kept & (members[wires.entity] > 1))
    if not len(which):
        return []
    ends = np.column_stack([2 * which, 2 * which + 1]).reshape(-1)
    own = wires.entity[ends >> 1] * (int(wires.node.max()) + 1) + wires.node[ends]
    _, own, count = np.unique(own, return_inverse=True, return_counts=True)
    branched = np.zeros(len(members), dtype=bool)
    branched[wires.entity[ends[count[own] != 2] >> 1]] = True
    which = which[~branched[wires.entity[which]]]
    private = np.zeros(len(wires.node), dtype=np.intp)
    private[ends] = own
    return chained(private, which).loops
