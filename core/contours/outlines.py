"""Outlines from loose segments: specks, copies and overlaps dropped, the rest chained.

Repairs are told with their place. One that the user refuses is not made: what it would have
dropped comes out as outlines of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.contours.branching import untangled
from core.contours.chaining import Runs, chained, entity_loops
from core.contours.measures import measures_of, polygons_of
from core.contours.nodes import MEETING_MM, nodes_of
from core.contours.overlaps import cut_at_overlaps
from core.contours.pieces import Piece, pieces_of
from core.contours.telling import listed, mended
from core.contours.wires import Wires, specks, twins
from core.errors import Finding, Severity
from core.geometry.path import Path

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.wires import Run
    from core.geometry.path import Segments


@dataclass(frozen=True, eq=False)
class Outlines:
    """Chained outlines and what was told on the way."""

    closed: list[Piece]
    opens: list[Piece]
    told: list[Finding]


@dataclass(frozen=True, eq=False)
class _Chained:
    """Wires with the loops of single entities, the copies among the others, and their runs."""

    wires: Wires
    own: list[Run]
    kept: NDArray[np.bool_]
    twin: NDArray[np.intp]
    runs: Runs


def outlines_of(
    segments: Segments,
    layer: NDArray[np.intp],
    entity: NDArray[np.intp],
    refused: frozenset[str] = frozenset(),
) -> Outlines:
    """Return the outlines that loose segments make.

    Parameters
    ----------
    segments : Segments
        Lines and arcs. [mm]
    layer, entity : array of int, shape (n,)
        Layer and entity of each.
    refused : frozenset of str
        Repairs that the user does not want.
    """
    ends = np.stack([segments.start, segments.end], axis=1).reshape(-1, 2)
    wires = Wires(segments, nodes_of(ends), layer, entity)
    small = specks(wires)
    found = _chain(wires, ~small)
    origin = np.arange(len(wires))
    if found.runs.opens:
        cut, origin = cut_at_overlaps(wires, ~small, found.runs.opens)
        found = _chain(cut, ~small[origin]) if len(cut) > len(wires) else found
    loops, opens, branches = untangled(found.wires, found.runs.opens)
    used = found.kept & (found.twin < 0)
    closed = pieces_of(found.wires, [*found.own, *found.runs.loops, *loops], True, used)
    area = measures_of([piece.path for piece in closed]).area
    pieces = [_flat_ones_open(*both) for both in zip(closed, area.tolist(), strict=True)]
    opened = [p for p in pieces if not p.path.closed]
    opened += pieces_of(found.wires, opens, False, used)
    pieces = [p for p in pieces if p.path.closed]
    _keep_refused(found, wires, small, origin, refused, pieces, opened)
    told = [*_told_specks(wires, small, refused), *_told_copies(found, origin, refused)]
    return Outlines(pieces, opened, told + _told_branches(found.wires, branches))


def _chain(wires: Wires, kept: NDArray[np.bool_]) -> _Chained:
    own = entity_loops(wires, kept)
    is_own = np.zeros(len(wires), dtype=bool)
    for run in own:
        is_own[np.array(run) >> 1] = True
    twin = twins(wires, kept, is_own)
    runs = chained(wires.node, np.flatnonzero(kept & ~is_own & (twin < 0)))
    return _Chained(wires, own, kept, twin, runs)


def _flat_ones_open(piece: Piece, area_mm2: float) -> Piece:
    """Return a ring, or the open line that it is where it goes out and back on itself."""
    path = piece.path
    flat = MEETING_MM * path.length_mm / 2.0
    if abs(area_mm2) > flat or _area_of_loops(path) > flat:
        return piece
    x, y = path.points[0].tolist()
    asked = Finding("retraced-outline", Severity.TIGHT, RETRACED, (x, y))
    line = Path(path.points, path.bulges[:-1], closed=False)
    return replace(piece, path=line, told=(*piece.told, asked), free=(False, False))


def _area_of_loops(path: Path) -> float:
    """Return the area that a path goes around in either sense: a figure of eight has some."""
    import shapely

    return float(shapely.area(shapely.make_valid(polygons_of([path])[0])))


RETRACED = (
    "An outline goes over itself here: one pass along it was dropped. Check that it is the outline "
    "that you mean."
)


def _keep_refused(
    found: _Chained,
    wires: Wires,
    small: NDArray[np.bool_],
    origin: NDArray[np.intp],
    refused: frozenset[str],
    closed: list[Piece],
    opens: list[Piece],
) -> None:
    """Add what a refused repair would have dropped as outlines of its own."""
    codes = _codes_of_copies(found, origin)
    back = np.isin(codes, list(refused))
    if back.any():
        runs = chained(found.wires.node, np.flatnonzero(back))
        closed += pieces_of(found.wires, runs.loops, True, back)
        opens += pieces_of(found.wires, runs.opens, False, back)
    if "speck-removed" in refused and small.any():
        which = np.flatnonzero(small & (wires.segments.length_mm > 0.0))
        opens += pieces_of(wires, [[2 * int(k)] for k in which], False, small)


def _codes_of_copies(found: _Chained, origin: NDArray[np.intp]) -> NDArray[np.str_]:
    """Return the code of the repair that dropped each wire, empty for those that stayed."""
    twin, wires = found.twin, found.wires
    gone = twin >= 0
    cut = np.bincount(origin)[origin] > 1
    partly = gone & (cut | cut[twin])
    same_entity = gone & (wires.entity == wires.entity[twin])
    codes = np.where(gone, "duplicate-removed", "")
    codes = np.where(partly, "overlap-removed", codes)
    return np.where(same_entity, "retraced-outline", codes)


def _told_specks(wires: Wires, small: NDArray[np.bool_], refused: frozenset[str]) -> list[Finding]:
    where = wires.segments.start[small & (wires.segments.length_mm > 0.0)]
    return mended(
        "speck-removed",
        refused,
        "A speck shorter than 0.01 mm was dropped.",
        "A speck shorter than 0.01 mm is left in, as you wish.",
        [(x, y) for x, y in where.tolist()],
    )


def _told_copies(
    found: _Chained, origin: NDArray[np.intp], refused: frozenset[str]
) -> list[Finding]:
    codes = _codes_of_copies(found, origin)
    if not (codes != "").any():
        return []
    middle = found.wires.middle

    def places(code: str) -> list[tuple[float, float]]:
        return [(x, y) for x, y in middle[codes == code].tolist()]

    return [
        *mended(
            "duplicate-removed",
            refused,
            "A line drawn twice was dropped once: it would have been cut twice.",
            "A line is drawn twice and, as you wish, kept twice: it is cut twice.",
            places("duplicate-removed"),
        ),
        *mended(
            "overlap-removed",
            refused,
            "Lines that lay partly on each other were made one.",
            "Lines that lie partly on each other are kept, as you wish.",
            places("overlap-removed"),
        ),
        *listed("retraced-outline", Severity.TIGHT, RETRACED, places("retraced-outline")[:1]),
    ]


def _told_branches(wires: Wires, branches: list[int]) -> list[Finding]:
    where = wires.ends[np.array(branches, dtype=np.intp)]
    return listed(
        "branch-point",
        Severity.TIGHT,
        "More than two lines meet here: only the outer boundary is taken as an outline, what "
        "branches off inside is left open. Separate the outlines in the drawing if they are "
        "parts of their own.",
        [(x, y) for x, y in where.tolist()],
    )
