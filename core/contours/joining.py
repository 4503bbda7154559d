"""Brings the ends that are left over together: nearest pair first, up to a limit, each one told.

Ends that meet within 0.01 mm are chained before. What is left is a slip of the drawing, or meant:
a gap of a millimetre and more may be a holding tab. So only gaps up to half a millimetre are
closed, and only where the outlines are long against the gap; wider ones are asked about.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.contours.chaining import walked
from core.contours.pieces import Piece
from core.contours.seams import How, seam, sewn
from core.contours.shapes import millimetres
from core.contours.telling import MOST_LISTED
from core.errors import Finding, Severity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.seams import Seam
    from core.geometry.path import Path

WIDEST_JOIN_MM = 0.5
"""Gaps above this are never closed: the least holding tab seen in public drawings is 0.99 mm."""

OVERSHOOT_MM = 0.5
"""How far an end may stick out over a corner; 0.1 to 0.33 mm were seen in public drawings."""

WIDEST_TAB_MM = 6.0
"""A gap up to this, in an outline long against it, may be meant as a holding tab."""

LEAST_LENGTH_IN_GAPS = 4.0
"""An outline shorter than this many gaps is no evidence that the gap is a slip."""

MOST_PAIRS = 200_000
"""Pairs of ends that are tried, nearest first."""


def joined_pieces(opens: list[Piece], refused: frozenset[str]) -> tuple[list[Piece], list[Piece]]:
    """Return closed and open pieces after leftover ends were brought together.

    Parameters
    ----------
    opens : list of Piece
        Open outlines.
    refused : frozenset of str
        Repairs that the user does not want.
    """
    partner, seams = _matched(opens, refused)
    loops, rows = walked(partner)
    closed = [_assembled(opens, run, seams, True) for run in loops]
    still_open = [_assembled(opens, run, seams, False) for run in rows]
    return closed, still_open


def _end_points(pieces: list[Piece]) -> NDArray[np.float64]:
    """Return start and end of each piece, numbered as the ends of wires are."""
    ends = [p for piece in pieces for p in (piece.path.points[0], piece.path.points[-1])]
    return np.array(ends).reshape(-1, 2)


def near_pairs(pieces: list[Piece], within_mm: float) -> list[tuple[float, int, int]]:
    """Return (distance, end, other end) of free ends within a distance, nearest first."""
    import shapely

    which = np.flatnonzero(np.array([free for piece in pieces for free in piece.free], dtype=bool))
    if len(which) < 2:
        return []
    points = _end_points(pieces)[which]
    spots = shapely.points(points)
    first, second = shapely.STRtree(spots).query(spots, predicate="dwithin", distance=within_mm)
    once = first < second
    first, second = first[once], second[once]
    gap = np.hypot(*(points[first] - points[second]).T)
    order = np.lexsort((second, first, gap))[:MOST_PAIRS]
    first, second = which[first[order]], which[second[order]]
    return list(zip(gap[order].tolist(), first.tolist(), second.tolist(), strict=True))


def _matched(opens: list[Piece], refused: frozenset[str]) -> tuple[list[int], dict[int, Seam]]:
    """Return the partner of each end (-1 for none) and the seam made there."""
    partner = [-1] * (2 * len(opens))
    other_end = [end ^ 1 for end in range(2 * len(opens))]  # far end of what was joined so far
    length = [piece.path.length_mm for piece in opens]
    seams: dict[int, Seam] = {}
    for gap, a, b in near_pairs(opens, 2.0 * OVERSHOOT_MM):
        if partner[a] >= 0 or partner[b] >= 0:
            continue
        closes = other_end[a] == b
        if closes and a ^ b == 1 and not _can_close(opens[a >> 1].path, gap):
            continue
        if min(length[a >> 1], length[b >> 1]) < LEAST_LENGTH_IN_GAPS * gap:
            continue
        made = seam(_leaving(opens, a ^ 1), _leaving(opens, b), OVERSHOOT_MM)
        if not _allowed(made, refused):
            continue
        partner[a], partner[b] = b, a
        seams[a] = seams[b] = made
        far_a, far_b = other_end[a], other_end[b]
        other_end[far_a], other_end[far_b] = far_b, far_a
    return partner, seams


def _allowed(made: Seam, refused: frozenset[str]) -> bool:
    if made.how is How.TRIMMED:
        return "overshoot-trimmed" not in refused
    return made.gap_mm <= WIDEST_JOIN_MM and "gap-closed" not in refused


def _can_close(path: Path, gap_mm: float) -> bool:
    """Return whether a path is a ring but for the gap: wide against it, more than one line."""
    if len(path.bulges) < 2 and not path.segments.is_arc.any():
        return False
    ring = type(path)(path.points, np.append(path.bulges, 0.0), closed=True)
    return abs(ring.area_mm2) > max(gap_mm, 0.01) * path.length_mm / 2.0


def _leaving(opens: list[Piece], end: int) -> Path:
    """Return the piece as a path that begins at an end."""
    path = opens[end >> 1].path
    return path.reversed() if end & 1 else path


def _assembled(opens: list[Piece], run: list[int], seams: dict[int, Seam], closed: bool) -> Piece:
    parts = [opens[end >> 1] for end in run]
    made = [seams[end ^ 1] for end in (run if closed else run[:-1])]
    if not made:
        return parts[0]
    path = sewn([_leaving(opens, end) for end in run], made, closed)
    longest = max(parts, key=lambda piece: piece.path.length_mm)
    told = tuple(t for piece in parts for t in piece.told) + tuple(map(_told, made))
    free = (parts[0].free[run[0] & 1], parts[-1].free[~run[-1] & 1])
    return Piece(path, min(piece.entity for piece in parts), longest.layer, told, free)


def _told(made: Seam) -> Finding:
    if made.how is How.TRIMMED:
        sentence = "Two lines that ran past their corner were cut back to where they cross."
        return Finding("overshoot-trimmed", Severity.NOTE, sentence, made.at_mm, repaired=True)
    how = "by drawing both lines on to their corner" if made.how is How.CORNER else ""
    how = how or ("by a short line" if made.how is How.BRIDGED else "by moving both ends")
    sentence = f"A gap of {millimetres(max(made.gap_mm, 0.01))} mm was closed {how}."
    return Finding("gap-closed", Severity.NOTE, sentence, made.at_mm, repaired=True)


def asked_about(opens: list[Piece]) -> list[Piece]:
    """Return open pieces, the longest with the question that each raises."""
    points = _end_points(opens)
    nearest: dict[int, tuple[float, int]] = {}
    for gap, a, b in near_pairs(opens, WIDEST_TAB_MM):
        if a ^ b == 1 and not _can_close(opens[a >> 1].path, gap):
            continue
        if min(opens[e >> 1].path.length_mm for e in (a, b)) < LEAST_LENGTH_IN_GAPS * gap:
            continue
        nearest.setdefault(a, (gap, b))
        nearest.setdefault(b, (gap, a))
    longest = sorted(range(len(opens)), key=lambda k: -opens[k].path.length_mm)
    listed = set(longest[:MOST_LISTED])
    out = []
    for k, piece in enumerate(opens):
        if k not in listed:
            out.append(piece)
            continue
        found = min((nearest[e] for e in (2 * k, 2 * k + 1) if e in nearest), default=None)
        out.append(replace(piece, told=(*piece.told, _question(piece, found, points))))
    return out


def _question(
    piece: Piece, found: tuple[float, int] | None, points: NDArray[np.float64]
) -> Finding:
    at = (float(piece.path.points[-1][0]), float(piece.path.points[-1][1]))
    if found is None:
        sentence = (
            f"An open line of {millimetres(piece.path.length_mm)} mm ends here: it is not cut "
            "unless you say so. If it belongs to an outline, close it in the drawing."
        )
        return Finding("open-contour", Severity.TIGHT, sentence, at)
    gap, end = found
    sentence = (
        f"The outline is open by {millimetres(gap)} mm: is the gap meant (a holding tab) or a "
        "slip? It is left open and not cut."
    )
    x, y = points[end].tolist()
    return Finding("meant-gap", Severity.TIGHT, sentence, (x, y))


def told_of_the_rest(opens: list[Piece]) -> list[Finding]:
    """Return one question for the open pieces that are not asked about singly."""
    rest = sorted(opens, key=lambda piece: -piece.path.length_mm)[MOST_LISTED:]
    if not rest:
        return []
    x, y = rest[0].path.points[-1].tolist()
    sentence = (
        f"{len(rest)} more open lines, each shorter than those listed: they are not cut unless "
        "you say so."
    )
    return [Finding("open-contour", Severity.TIGHT, sentence, (x, y))]
