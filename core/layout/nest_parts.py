"""From contours to the parts that are nested."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from core.contours.records import Kind
from core.errors import Finding, Severity
from core.layout.nest_records import FLAT_MM, Part, Turns

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.contours.records import Contour, Contours


def parts_of(
    drawings: tuple[Contours, ...],
    quantity: int,
    turns: Turns = Turns.QUARTER,
    may_mirror: bool = False,
) -> tuple[tuple[Part, ...], tuple[Finding, ...]]:
    """Return every outer contour with what is inside it, and what belongs to no part.

    Parameters
    ----------
    drawings : tuple of Contours
        The contours of each drawing.
    quantity : int
        How many of everything drawn.
    turns : Turns
        Which turns are allowed.
    may_mirror : bool
        Whether parts may be turned over.

    Returns
    -------
    parts, findings
        Codes: `no-part`, `line-outside-parts`.
    """
    parts: list[Part] = []
    findings: list[Finding] = []
    for drawing, contours in enumerate(drawings):
        owner = _owners(contours)
        outers = [c for c in contours.contours if _is_outer(c)]
        for outer in outers:
            members = [c for c in contours.contours if owner.get(c.id) == outer.id]
            parts.append(_part(drawing, outer, members, quantity, turns, may_mirror))
        findings += _strangers(drawing, contours, owner, bool(outers))
    return tuple(parts), tuple(findings)


def _owners(contours: Contours) -> dict[int, int]:
    """Return, by contour, the outer contour around it; those outside of all are left out."""
    by_id = {c.id: c for c in contours.contours}
    solids = {
        c.id: shapely.Polygon(c.path.flattened(FLAT_MM)) for c in contours.contours if _is_outer(c)
    }
    owner = {}
    for contour in contours.contours:
        if contour.kind is Kind.OPEN:
            begin = shapely.Point(contour.path.points[0])
            around = next((key for key, solid in solids.items() if solid.covers(begin)), None)
            if around is not None:
                owner[contour.id] = around
            continue
        top = contour
        while top.parent is not None:
            top = by_id[top.parent]
        owner[contour.id] = top.id
    return owner


def _is_outer(contour: Contour) -> bool:
    return contour.kind is Kind.OUTER and contour.depth == 0


def _part(
    drawing: int,
    outer: Contour,
    members: list[Contour],
    quantity: int,
    turns: Turns,
    may_mirror: bool,
) -> Part:
    # a hole that holds an island is full
    full = {c.parent for c in members if c.kind is Kind.ISLAND}
    holes = [c for c in members if c.kind is Kind.HOLE and c.depth == 1 and c.id not in full]
    round_ones = any(bool(c.path.segments.is_arc.any()) for c in (outer, *holes))
    return Part(
        drawing=drawing,
        contour_id=outer.id,
        name=outer.name,
        rings_mm=tuple(c.path.flattened(FLAT_MM) for c in (outer, *holes)),
        quantity=quantity,
        turns=turns,
        may_mirror=may_mirror,
        members=frozenset(c.id for c in members),
        chord_error_mm=FLAT_MM if round_ones else 0.0,
    )


def _strangers(
    drawing: int, contours: Contours, owner: dict[int, int], any_part: bool
) -> Iterator[Finding]:
    if not any_part:
        yield Finding(
            "no-part",
            Severity.OUTSIDE,
            "The drawing has no closed outline, so there is no part to nest; close its outline.",
            drawing=drawing,
        )
    for contour in contours.contours:
        if contour.id not in owner and any_part:
            yield Finding(
                "line-outside-parts",
                Severity.TIGHT,
                f"{contour.name} lies outside of every part and is not nested with any; close "
                "its outline or take it off the drawing.",
                contour_id=contour.id,
                drawing=drawing,
            )
