"""Rings in places where more than two lines meet: corners shared by rings, walls, stubs.

Where lines branch, the drawing does not say which of them belong together. What is certain is the
outer boundary of such a tangle: it becomes a ring, and what hangs on it or crosses it inside is
left as open lines, unless it closes by itself. Every branch is asked about.

Terms: an *edge* is a run between two branches; a *side* is an edge in one direction (2 k from its
first node, 2 k + 1 from its last, as with the ends of wires); a *face* is walked by always taking
the next side clockwise, so that the tangle's outer boundary is the face of negative area.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import points_on

if TYPE_CHECKING:
    from core.contours.wires import Run, Wires

LEAST_AREA_MM2 = 1e-3
"""A boundary that encloses less is no ring."""

MOST_LAYERS = 8
"""Boundaries taken off one tangle, outside in: a mesh of lines is no heap of nested parts."""


def untangled(wires: Wires, edges: list[Run]) -> tuple[list[Run], list[Run], list[int]]:
    """Return loops, open runs, and an end at each branch, of runs that meet in branches.

    Parameters
    ----------
    wires : Wires
        All of them.
    edges : list of run
        Runs that end somewhere open or in a branch.
    """
    loops: list[Run] = []
    opens: list[Run] = []
    branches: list[int] = []
    for group in _connected(wires, edges):
        if len(group) == 1 and wires.node[group[0][0]] != wires.node[group[0][-1] ^ 1]:
            opens += group
            continue
        tangle = _Tangle(wires, group)
        branches += [tangle.end_of(s[0]) for s in tangle.leaving.values() if len(s) > 2]
        for _ in range(MOST_LAYERS):
            tangle.drop_stubs()
            boundary = tangle.outer_boundary()
            if boundary is None:
                break
            loops += boundary
        opens += tangle.opens()
    return loops, opens, branches


def _connected(wires: Wires, edges: list[Run]) -> list[list[Run]]:
    """Return the edges in groups that hang together, in order of their first edge."""
    at_node: dict[int, list[int]] = defaultdict(list)
    nodes = [(int(wires.node[run[0]]), int(wires.node[run[-1] ^ 1])) for run in edges]
    for k, pair in enumerate(nodes):
        for node in pair:
            at_node[node].append(k)
    seen: set[int] = set()
    groups = []
    for first in range(len(edges)):
        if first in seen:
            continue
        group, waiting = {first}, list(nodes[first])
        while waiting:
            # a node is emptied when it is met, so that one with thousands of lines costs no square
            for k in at_node.pop(waiting.pop(), ()):
                if k not in group:
                    group.add(k)
                    waiting += nodes[k]
        seen |= group
        groups.append([edges[k] for k in sorted(group)])
    return groups


class _Tangle:
    """Edges that meet, taken away as they are understood."""

    def __init__(self, wires: Wires, edges: list[Run]) -> None:
        self.wires = wires
        self.edges = edges
        self.left = set(range(len(edges)))
        self.leaving: dict[int, list[int]] = defaultdict(list)
        for k in range(len(edges)):
            for side in (2 * k, 2 * k + 1):
                self.leaving[self.begins(side)].append(side)
        self._area = [self._edge_area(run) for run in edges]

    def end_of(self, side: int) -> int:
        """Return the wire end at which a side begins."""
        run = self.edges[side >> 1]
        return run[-1] ^ 1 if side & 1 else run[0]

    def begins(self, side: int) -> int:
        """Return the node at which a side begins."""
        return int(self.wires.node[self.end_of(side)])

    def run_of(self, side: int) -> Run:
        """Return the wires of a side in its direction."""
        run = self.edges[side >> 1]
        return [end ^ 1 for end in reversed(run)] if side & 1 else run

    def opens(self) -> list[Run]:
        """Return what is left, and what hung on it, as open runs."""
        return [self.edges[k] for k in sorted(self.left)]

    def drop_stubs(self) -> None:
        """Take edges out of the tangle that hang on it by one end only."""
        loose = [sides[0] for sides in self.leaving.values() if len(sides) == 1]
        while loose:
            side = loose.pop()
            node, far = self.begins(side), self.begins(side ^ 1)
            if side not in self.leaving.get(node, ()):
                continue
            self._detach(side >> 1)
            if len(self.leaving.get(far, ())) == 1:
                loose.append(self.leaving[far][0])

    def _detach(self, edge: int) -> None:
        for side in (2 * edge, 2 * edge + 1):
            node = self.begins(side)
            self.leaving[node].remove(side)
            if not self.leaving[node]:
                del self.leaving[node]

    def outer_boundary(self) -> list[Run] | None:
        """Return the loops of the outermost face and take their edges away, None if none."""
        faces = self._faces()
        if not faces:
            return None
        outer = min(faces, key=self._face_area)
        if self._face_area(outer) > -LEAST_AREA_MM2:
            return None
        walked = set(outer)
        loops = []
        for ring in self._simple([s for s in outer if s ^ 1 not in walked]):
            if abs(self._face_area(ring)) > LEAST_AREA_MM2:
                loops.append([end for side in ring for end in self.run_of(side)])
                self.left -= {side >> 1 for side in ring}
            for side in ring:
                self._detach(side >> 1)
        for bridge in {s >> 1 for s in outer if s ^ 1 in walked}:
            self._detach(bridge)
        return loops

    def _simple(self, face: list[int]) -> list[list[int]]:
        """Return a closed walk as rings that touch no node twice."""
        rings: list[list[int]] = []
        walk: list[int] = []
        seen: dict[int, int] = {}
        for side in face:
            node = self.begins(side)
            if node in seen:
                first = seen[node]
                rings.append(walk[first:])
                for gone in walk[first:]:
                    seen.pop(self.begins(gone), None)
                del walk[first:]
            seen[node] = len(walk)
            walk.append(side)
        return [*rings, walk] if walk else rings

    def _faces(self) -> list[list[int]]:
        following = {}
        for sides in self.leaving.values():
            ordered = sorted(sides, key=self._angles(sides).__getitem__)
            for k, side in enumerate(ordered):
                # who arrives against `side` goes on with its clockwise neighbour
                following[side ^ 1] = ordered[k - 1]
        faces = []
        while following:
            side, face = next(iter(following)), []
            while side in following:
                face.append(side)
                side = following.pop(side)
            faces.append(face)
        return faces

    def _angles(self, sides: list[int]) -> dict[int, float]:
        """Return the direction in which each side leaves, seen at a common distance."""
        ends = np.array([self.end_of(side) for side in sides])
        length = self.wires.segments.length_mm[ends >> 1]
        share = float(length.min()) / 4.0 / np.maximum(length, 1e-300)
        ahead = points_on(self.wires.segments, ends >> 1, np.where(ends & 1, 1.0 - share, share))
        way = ahead - self.wires.ends[ends]
        return dict(zip(sides, np.arctan2(way[:, 1], way[:, 0]).tolist(), strict=True))

    def _edge_area(self, run: Run) -> float:
        """Return the area between an edge and the first point of all, left of travel positive."""
        ends = np.array(run)
        seg, origin = self.wires.segments, self.wires.segments.start[self.edges[0][0] >> 1]
        start = self.wires.ends[ends] - origin
        finish = self.wires.ends[ends ^ 1] - origin
        cross = start[:, 0] * finish[:, 1] - start[:, 1] * finish[:, 0]
        sweep = np.where(ends & 1, -1.0, 1.0) * seg.sweep_rad[ends >> 1]
        radius = np.where(seg.is_arc[ends >> 1], seg.radius_mm[ends >> 1], 0.0)
        return float((cross + radius**2 * (sweep - np.sin(sweep))).sum()) / 2.0

    def _face_area(self, face: list[int]) -> float:
        return sum(-self._area[s >> 1] if s & 1 else self._area[s >> 1] for s in face)
