"""The exact offset of rings whose pieces vanish or collide: split, closed up, merged.

The moved pieces are the raw material, as *strands* between *nodes*. They are cut where they cross;
of the parts those stay that lie at the full distance from the source, since another piece cuts
into the others. At every node one part that stays arrives and one leaves: they chain up to the
rings of the offset, all of them. Lines stay lines, arcs stay arcs, nothing is approximated.

Source rings of one *group* bound one region and are offset together: they may merge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import Boxes, overlapping
from core.geometry.carriers import crossings, dot, span
from core.geometry.distance import bounded_distance
from core.geometry.joints import GONE_MM
from core.geometry.path import SAME_POINT_MM
from core.geometry.rings import Pieces, Rings

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.joints import Joints

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

CLOSER_MM = 2e-9
"""A part nearer to the source than the offset distance, by more than this, has been cut into."""

SMOOTH_OVERLAP_MM = 1e-6
"""Moved pieces that overlap by less than this run so nearly the same way that their crossing is
not looked for."""

STUB_SHARE = 1e-3
"""At shallow inner corners the parts beyond the meeting are nearer to the source by less than can
be told. They are dead ends, and no longer than this share of the distance."""


@dataclass(frozen=True, eq=False)
class Strands(Pieces):
    """Pieces between nodes: `begin`, `stop` (m,) are nodes, `group` (m,) says which belong."""

    begin: Index
    stop: Index
    group: Index

    def kept(self, which: Bools) -> Strands:
        """Return the chosen strands."""
        start, end, bulge = self.start[which], self.end[which], self.bulge[which]
        nodes = self.begin[which], self.stop[which], self.group[which]
        return Strands(start, end, bulge, self.source[which], *nodes)


def untangled(joints: Joints, group: Index) -> tuple[Rings, Index, Bools]:
    """Offset rings whatever becomes of them.

    Parameters
    ----------
    joints : Joints
        The moved pieces of the source rings.
    group : int array of shape (r,)
        Group of each source ring, counted from 0; rings of one group have one origin.

    Returns
    -------
    rings : Rings
        The rings of the offset; a ring that vanished left none.
    ring_group : int array
        Group of each of them.
    loose : bool array
        For each group whether its parts did not chain up; its rings are then left out.
    """
    source = joints.source
    parts = _cut(_strands(joints, group[source.ring]))
    distance = np.abs(joints.shift[piece_of(parts.source)])
    # between crossings all parts of a run stay or none does: the longest of each is asked
    asked = _longest_of_runs(parts)
    which, back = np.unique(asked, return_inverse=True)
    bound = distance[which] + SAME_POINT_MM
    own = group[source.ring]
    room = bounded_distance(source, own, parts.at(0.5)[which], parts.group[which], bound)
    stays = (room >= distance[which] - CLOSER_MM)[back]
    parts = _without_stubs(parts.kept(stays), STUB_SHARE * distance[stays])
    nodes = _Nodes(parts)
    loose = np.zeros(int(group.max()) + 1, dtype=bool)
    loose[parts.group[~nodes.plain[parts.stop] | ~nodes.plain[parts.begin]]] = True
    order, first = _walked(nodes.leaver[parts.stop], ~loose[parts.group])
    ring_group = parts.group[order[first[:-1]]]
    leader = np.unique(group, return_index=True)[1]
    origin = source.origin[leader][ring_group]
    start, bulge, label = parts.start[order], parts.bulge[order], parts.source[order]
    after = Rings(start, start, bulge, label, first, origin).after
    return Rings(start, start[after], bulge, label, first, origin), ring_group, loose


class _Nodes:
    """How many parts arrive at and leave each node, and which; `plain` ones have one of each."""

    def __init__(self, parts: Strands) -> None:
        count = int(max(parts.begin.max(initial=-1), parts.stop.max(initial=-1))) + 1
        every = np.arange(len(parts.bulge))
        self.arrivals = np.bincount(parts.stop, minlength=count)
        self.departures = np.bincount(parts.begin, minlength=count)
        self.plain = (self.arrivals == 1) & (self.departures == 1)
        self.arriver, self.leaver = np.full(count, -1), np.full(count, -1)
        self.arriver[parts.stop], self.leaver[parts.begin] = every, every


def _longest_of_runs(parts: Strands) -> Index:
    """Return for each part the longest part of the run of parts, joined plainly, that it is of."""
    nodes, every = _Nodes(parts), np.arange(len(parts.bulge))
    # going back by 1, 2, 4 ... parts: to the head of the run, or to some part of it if it is closed
    head = np.where(nodes.plain[parts.begin], nodes.arriver[parts.begin], every)
    for _ in range(len(every).bit_length()):
        head = head[head]
    order = np.lexsort((parts.chord_mm, head))
    last = np.flatnonzero(np.diff(head[order], append=-1))
    longest = np.empty(len(every), dtype=np.intp)
    longest[head[order[last]]] = order[last]
    return longest[head]


def piece_of(source: Index) -> Index:
    """Return the number of the piece, or of the piece before the joint, that a label names."""
    return np.where(source < 0, -1 - source, source)


def _strands(joints: Joints, group: Index) -> Strands:
    """Return the moved pieces and the arcs about corners.

    The joint behind piece i has node i where piece i ends and, if it gapes or has to be left
    untrimmed because a piece next to it was consumed, node n + i where the next piece starts.
    """
    count = len(group)
    over = joints.trimmed()[3]
    # a smooth joint stays closed, unless there is nothing to close it with
    overlap = -joints.shift * np.tan(joints.turn / 2.0)
    untrimmed = (over | over[joints.after]) & (overlap > SMOOTH_OVERLAP_MM)
    untrimmed |= joints.inverted | joints.inverted[joints.after] | joints.meeting[1]
    start, end, bulge, over = joints.trimmed(untrimmed)
    before = joints.source.before
    parted = joints.convex | untrimmed
    opening = np.where(parted[before], before + count, before)
    piece, arc = np.flatnonzero(~over), np.flatnonzero(joints.convex)
    return Strands(
        np.concatenate([start[piece], joints.end[arc]]),
        np.concatenate([end[piece], joints.start[joints.after[arc]]]),
        np.concatenate([bulge[piece], np.tan(joints.turn[arc] / 4.0)]),
        np.concatenate([piece, -1 - arc]),
        np.concatenate([opening[piece], arc]),
        np.concatenate([piece, arc + count]),
        np.concatenate([group[piece], group[arc]]),
    )


def _cut(strands: Strands) -> Strands:
    """Cut strands where they cross, and make one node of nodes at one point."""
    one, other, point = _crossings(strands)
    every = np.arange(len(strands.bulge))
    fresh = 1 + int(max(strands.begin.max(initial=0), strands.stop.max(initial=0)))
    node = np.arange(fresh, fresh + len(one))
    # the points of all strands: their begins, their stops, and where they are cut
    which = np.concatenate([every, every, one, other])
    place = np.concatenate([strands.start, strands.end, point, point])
    names = np.concatenate([strands.begin, strands.stop, node, node])
    nodes = _united(names, place, strands.group[which])
    # the way along the chord orders the points of a strand, arcs being half a turn at most
    ahead = dot(place - strands.start[which], strands.delta[which])
    ahead[: len(every)], ahead[len(every) : 2 * len(every)] = -np.inf, np.inf
    order = np.lexsort((ahead, which))
    first, then = order[:-1], order[1:]
    pair = which[first] == which[then]
    first, then = first[pair], then[pair]
    whole = np.isinf(ahead[first]) & np.isinf(ahead[then])
    ends, ends_at = (place[first], place[then]), (nodes[first], nodes[then])
    return _parts(strands, which[first], ends, ends_at, whole)


def _parts(
    strands: Strands,
    which: Index,
    ends: tuple[Array, Array],
    nodes: tuple[Index, Index],
    whole: Bools,
) -> Strands:
    """Return parts of strands between points on them; those of no length are left out."""
    start, end = ends
    half = strands.carriers[which].half_sweep(start, end - start)
    part = np.where(strands.bulge[which] == 0.0, 0.0, np.tan(half / 2.0))
    bulge = np.where(whole, strands.bulge[which], part)
    found = Strands(start, end, bulge, strands.source[which], *nodes, strands.group[which])
    return found.kept((found.chord_mm > GONE_MM) & (found.begin != found.stop))


def _crossings(strands: Strands) -> tuple[Index, Index, Array]:
    """Return the pairs of strands that cross, and where; a node that they share is no crossing."""
    found = [(np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros((0, 2)))]
    for one, other in overlapping(strands.boxes(strands.group)):
        into = strands.stop[one] == strands.begin[other]
        out = strands.stop[other] == strands.begin[one]
        for point in crossings(strands.carriers[one], strands.carriers[other]):
            with np.errstate(invalid="ignore"):
                at_end = into & (span(point - strands.end[one]) <= 4.0 * SAME_POINT_MM)
                at_start = out & (span(point - strands.start[one]) <= 4.0 * SAME_POINT_MM)
            hit = strands.holds(one, point) & strands.holds(other, point) & ~at_end & ~at_start
            found.append((one[hit], other[hit], point[hit]))
    one, other, point = (np.concatenate(part) for part in zip(*found, strict=True))
    return one, other, point


def _united(node: Index, place: Array, group: Index) -> Index:
    """Give nodes of a group that lie at one point the number of the least of them."""
    names, label = np.unique(node, return_inverse=True)
    lead = np.unique(label, return_index=True)[1]
    half = SAME_POINT_MM / 2.0
    boxes = Boxes(place[lead].T - half, place[lead].T + half, group[lead])
    pairs = [np.zeros((2, 0), dtype=np.intp), *(np.array(pair) for pair in overlapping(boxes))]
    a, b = np.concatenate(pairs, axis=1)
    least = np.arange(len(names))
    while (least[a] != least[b]).any():
        low = np.minimum(least[a], least[b])
        np.minimum.at(least, a, low)
        np.minimum.at(least, b, low)
    return least[label]


def _without_stubs(parts: Strands, limit: Array) -> Strands:
    """Leave out short parts that end where none begins, or begin where none ends."""
    while True:
        nodes = _Nodes(parts)
        dead = (nodes.departures[parts.stop] == 0) | (nodes.arrivals[parts.begin] == 0)
        dead &= parts.chord_mm <= limit
        if not dead.any():
            return parts
        parts, limit = parts.kept(~dead), limit[~dead]


def _walked(after: Index, whole: Bools) -> tuple[Index, Index]:
    """Return the parts ring by ring, each ring in its order, and where each ring begins."""
    follows, waiting = after.tolist(), whole.tolist()
    order: list[int] = []
    marks = [0]
    for begin in range(len(follows)):
        at = begin
        while waiting[at]:
            waiting[at] = False
            order.append(at)
            at = follows[at]
        if len(order) > marks[-1]:
            marks.append(len(order))
    return np.array(order, dtype=np.intp), np.array(marks, dtype=np.intp)
