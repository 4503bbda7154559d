"""Lines and arcs that lie partly on each other: cut at each other's ends, so that copies show.

Only where something is open or branches can such an overlap hide, so only the nodes there are
looked at. A segment is cut where a node lies on it *and* another segment leaves that node along
it; a segment that merely ends on another one is left alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.contours.feet import foot
from core.contours.nodes import MEETING_MM
from core.contours.wires import Wires
from core.geometry.path import Segments, points_on

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from core.contours.wires import Run

AT_ONCE = 2_000
"""Ends looked at in one go, which bounds the memory."""

MOST_TESTED = 5_000_000
"""Pairs of an end and a box that are tried; a scribble of long lines may have a thousand times more
and is asked about in any case."""


def cut_at_overlaps(
    wires: Wires, kept: NDArray[np.bool_], suspects: Iterable[Run]
) -> tuple[Wires, NDArray[np.intp]]:
    """Return the wires, cut where a suspect run begins or ends to lie on one of them.

    Parameters
    ----------
    wires : Wires
        All of them.
    kept : array of bool, shape (n,)
        Those that count.
    suspects : iterable of run
        Runs that are open or end in a branch.

    Returns
    -------
    wires : Wires
        The same wires in the same order, pieces in place of what was cut.
    origin : array of int
        For each new wire the old one that it is a piece of.
    """
    every = np.arange(len(wires))
    suspect = _wires_in(suspects)
    if not len(suspect):
        return wires, every
    carrier, end = _ends_on_wires(wires, kept, suspect)
    if not len(carrier):
        return wires, every
    _, share = foot(wires.segments, carrier, wires.ends[end])
    along = _runs_along(wires, kept, carrier, end, share)
    return _cut(wires, carrier[along], end[along], share[along])


def _wires_in(runs: Iterable[Run]) -> NDArray[np.intp]:
    found = [np.asarray(run, dtype=np.intp) >> 1 for run in runs]
    return np.concatenate(found) if found else np.zeros(0, dtype=np.intp)


def _ends_on_wires(
    wires: Wires, kept: NDArray[np.bool_], suspect: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs (wire, end of a suspect) where the end lies inside the wire."""
    import shapely

    candidates = np.concatenate([2 * suspect, 2 * suspect + 1])
    _, first = np.unique(wires.node[candidates], return_index=True)
    candidates = candidates[first]  # one end stands for its node
    carriers = np.flatnonzero(kept)
    low, high = _boxes(wires.segments)
    tree = shapely.STRtree(
        shapely.box(low[carriers, 0], low[carriers, 1], high[carriers, 0], high[carriers, 1])
    )
    found_carriers, found_ends, tested = [_NONE], [_NONE], 0
    for some in np.array_split(candidates, len(candidates) // AT_ONCE + 1):
        pick, hit = tree.query(shapely.points(wires.ends[some]))
        on = _lie_inside(wires, carriers[hit], some[pick])
        found_carriers.append(carriers[hit][on])
        found_ends.append(some[pick][on])
        tested += len(hit)
        if tested > MOST_TESTED:
            break
    return np.concatenate(found_carriers), np.concatenate(found_ends)


_NONE = np.zeros(0, dtype=np.intp)


def _lie_inside(
    wires: Wires, carrier: NDArray[np.intp], end: NDArray[np.intp]
) -> NDArray[np.bool_]:
    """Return for which pairs an end lies on a wire and not at the wire's own ends."""
    distance, share = foot(wires.segments, carrier, wires.ends[end])
    length = wires.segments.length_mm[carrier]
    room = np.minimum(share, 1.0 - share) * length
    node = wires.node[end]
    foreign = (wires.node[2 * carrier] != node) & (wires.node[2 * carrier + 1] != node)
    return np.asarray((distance <= MEETING_MM) & (room > MEETING_MM) & foreign)


def _boxes(segments: Segments) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return corners of boxes around the segments, a little larger than needed."""
    bow = (np.abs(segments.bulge) * segments.chord_mm / 2.0 + MEETING_MM)[:, None]
    low = np.minimum(segments.start, segments.end) - bow
    return low, np.maximum(segments.start, segments.end) + bow


def _runs_along(
    wires: Wires,
    kept: NDArray[np.bool_],
    carrier: NDArray[np.intp],
    end: NDArray[np.intp],
    share: NDArray[np.float64],
) -> NDArray[np.bool_]:
    """Return for which pairs some wire at the end's node goes on along the carrier."""
    pair, other = _at_the_same_node(wires, kept, end)
    length = wires.segments.length_mm
    room = np.minimum(share, 1.0 - share)[pair] * length[carrier[pair]]
    step = np.minimum(room, length[other >> 1]) / 2.0
    part = step / np.maximum(length[other >> 1], 1e-300)
    probe = points_on(wires.segments, other >> 1, np.where(other & 1, 1.0 - part, part))
    distance, _ = foot(wires.segments, carrier[pair], probe)
    lies_on = (distance <= MEETING_MM) & (step > 2.0 * MEETING_MM) & (other >> 1 != carrier[pair])
    out = np.zeros(len(carrier), dtype=bool)
    out[pair[lies_on]] = True
    return out


def _at_the_same_node(
    wires: Wires, kept: NDArray[np.bool_], end: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return pairs (position in `end`, kept end at the same node)."""
    ends = np.flatnonzero(np.repeat(kept, 2))
    order = np.argsort(wires.node[ends], kind="stable")
    ends = ends[order]
    nodes = wires.node[ends]
    first = np.searchsorted(nodes, wires.node[end], "left")
    count = np.searchsorted(nodes, wires.node[end], "right") - first
    pair = np.repeat(np.arange(len(end)), count)
    step = np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count)
    return pair, ends[np.repeat(first, count) + step]


def _cut(
    wires: Wires, carrier: NDArray[np.intp], end: NDArray[np.intp], share: NDArray[np.float64]
) -> tuple[Wires, NDArray[np.intp]]:
    """Return the wires with cuts at shares of carriers, and the origin of each piece."""
    seg, count = wires.segments, len(wires)
    order = np.lexsort((share, carrier))
    carrier, end, share = carrier[order], end[order], share[order]
    # a piece begins at each wire's start and at each cut; sorting by place lines them up
    origin = np.concatenate([np.arange(count), carrier])
    begin_share = np.concatenate([np.zeros(count), share])
    begin_node = np.concatenate([wires.node[0::2], wires.node[end]])
    order = np.lexsort((begin_share, origin))
    origin, begin_share, begin_node = origin[order], begin_share[order], begin_node[order]
    is_last = np.append(origin[1:] != origin[:-1], True)
    end_share = np.where(is_last, 1.0, np.roll(begin_share, -1))
    end_node = np.where(is_last, wires.node[2 * origin + 1], np.roll(begin_node, -1))
    start = np.where(
        (begin_share == 0.0)[:, None], seg.start[origin], points_on(seg, origin, begin_share)
    )
    finish = np.where(is_last[:, None], seg.end[origin], points_on(seg, origin, end_share))
    bulge = np.tan(seg.sweep_rad[origin] * (end_share - begin_share) / 4.0)
    bulge = np.where((begin_share == 0.0) & is_last, seg.bulge[origin], bulge)
    node = np.column_stack([begin_node, end_node]).reshape(-1)
    pieces = Wires(Segments(start, finish, bulge), node, wires.layer[origin], wires.entity[origin])
    return pieces, origin
