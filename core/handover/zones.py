"""Proof that no cutter comes down into a part of the sheet that must stay free: a clamp.

Across at the safe height the cutter may pass over a zone; below it, nothing of the cutter may reach
in. How wide the holder is, the shelf does not say: a zone must be drawn as wide as the clamp and
the holder ask for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import Boxes, overlapping_between
from core.handover.complaints import Complaint
from core.handover.pair_distance import Pieces, pair_distance
from core.handover.walls import pieces_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.handover.planned import Run
    from core.handover.runs import ReadRun
    from core.handover.work import Work

TOLERANCE_MM = 0.01


def out_of_zones(
    work: Work, read: Sequence[ReadRun], planned: Sequence[Run]
) -> Iterator[Complaint]:
    """Yield the runs in which the cutter reaches into a zone of the sheet."""
    zones = work.job.offer.zones_mm
    if not zones:
        return
    edges = _edges(zones)
    low, high = edges.boxes_mm()
    beside = Boxes(low.T, high.T, np.zeros(len(edges), np.intp))
    for one, wanted in zip(read, planned, strict=False):
        moves = pieces_of(one.moves)
        radius = wanted.mounted.diameter_mm / 2.0 - TOLERANCE_MM
        near, far = moves.boxes_mm()
        around = Boxes((near - radius).T, (far + radius).T, np.zeros(len(moves), np.intp))
        hit = np.zeros(len(moves), dtype=bool)
        for x0, y0, x1, y1 in zones:
            hit |= ((moves.end > (x0, y0)) & (moves.end < (x1, y1))).all(axis=1)
        for a, b in overlapping_between(around, beside):
            hit[a[pair_distance(moves[a], edges[b]) < radius]] = True
        for k in np.flatnonzero(hit)[:1]:
            line = int(one.moves.line[k])
            yield Complaint("zone", "reaches into a part of the sheet that must stay free", line)


def _edges(zones: Sequence[tuple[float, float, float, float]]) -> Pieces:
    """Return the edges of zones as lines."""
    corners = np.array([[(a, b), (c, b), (c, d), (a, d)] for a, b, c, d in zones])
    start, end = corners.reshape(-1, 2), np.roll(corners, -1, axis=1).reshape(-1, 2)
    return Pieces(start, end, np.full_like(start, np.nan), np.zeros(len(start)))
