"""What keeps a panel by numbers from being made: one clear line a fault, naming the feature.

Sizes are looked at first, then how many openings there are, then places: a fault of a later kind
often follows from one of an earlier. Openings are compared as polygons whose chords keep within
`CHORD_MM` of their arcs.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.drawing.panel import BoltCircle, Corner, Edge, Grid, Row
from core.drawing.panel_outline import (
    cut_out_path,
    edge_length_mm,
    notch_span_mm,
    outline,
    slot_path,
)
from core.geometry.path import circle

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import NDArray

    from core.drawing.panel import CutOut, Holes, Notch, Panel, Slot
    from core.geometry.path import Path

LARGEST_MM = 20_000.0
"""No sheet is longer."""

SMALLEST_MM = 0.1
"""A radius or a width below this is a slip: no cutter makes it, and the reader drops specks."""

MOST_OPENINGS = 5_000
"""So many are drawn and compared in about a second."""

CHORD_MM, TOUCH_MM = 0.005, 0.02
"""Openings nearer than the second, seen with chords of the first, run into each other."""

_LEAST = f"{SMALLEST_MM:g} mm or more"

MOST_TOLD = 10
"""Faults of place that are told; the rest mostly follows from the same slip."""

Named = tuple[str, "Path"]


def panel_faults(panel: Panel) -> tuple[str, ...]:
    """Return what keeps the panel from being made, one line each; empty if nothing does."""
    stages: tuple[Callable[[Panel], Iterator[str]], ...] = (_sizes, _count, _edges, _places)
    for stage in stages:
        faults = tuple(stage(panel))
        if faults:
            return faults
    return ()


def _sizes(panel: Panel) -> Iterator[str]:
    width, height = panel.size_mm
    if not (_meant(width) and _meant(height)):
        yield (
            f"a panel of {width:g} x {height:g} mm cannot be cut; both sides need "
            f"{SMALLEST_MM:g} to {LARGEST_MM:g} mm"
        )
    if panel.quantity < 1:
        yield f"a quantity of {panel.quantity} cannot be cut; give 1 or more"
    for cut in panel.corners:
        if cut.size_mm != 0.0 and not _meant(cut.size_mm):
            yield (
                f"{cut.label or 'corner'}: {cut.size_mm:g} mm cannot be cut; give 0, or "
                f"{SMALLEST_MM:g} mm and more"
            )
    for holes in panel.holes:
        if not _meant(holes.diameter_mm):
            yield f"{_hole_name(holes)}: a hole needs a diameter of {_LEAST}"
    for slot in panel.slots:
        yield from _slot_sizes(slot)
    for opening in panel.cut_outs:
        yield from _cut_out_sizes(opening)
    for notch in panel.notches:
        yield from _notch_sizes(notch)


def _meant(length_mm: float) -> bool:
    return SMALLEST_MM <= length_mm <= LARGEST_MM


def _radius_fits(radius_mm: float, largest_mm: float) -> bool:
    return radius_mm == 0.0 or SMALLEST_MM <= radius_mm <= largest_mm


def _hole_name(holes: Holes) -> str:
    return holes.label or f"hole ø {holes.diameter_mm:g}"


def _slot_name(slot: Slot) -> str:
    return slot.label or f"slot {slot.length_mm:g} x {slot.width_mm:g}"


def _cut_out_name(cut: CutOut) -> str:
    return cut.label or f"cut-out {cut.size_mm[0]:g} x {cut.size_mm[1]:g}"


def _notch_name(notch: Notch) -> str:
    return notch.label or f"notch {notch.width_mm:g} x {notch.depth_mm:g}"


def _slot_sizes(slot: Slot) -> Iterator[str]:
    if not (_meant(slot.length_mm) and _meant(slot.width_mm)):
        yield f"{_slot_name(slot)}: length and width must be {_LEAST}"
    elif slot.length_mm <= slot.width_mm:
        yield (
            f"{_slot_name(slot)}: a slot is longer than wide; as long as wide it is a round hole"
        )


def _cut_out_sizes(cut: CutOut) -> Iterator[str]:
    if not (_meant(cut.size_mm[0]) and _meant(cut.size_mm[1])):
        yield f"{_cut_out_name(cut)}: both sides must be {_LEAST}"
    elif not _radius_fits(cut.radius_mm, min(cut.size_mm) / 2.0):
        yield (
            f"{_cut_out_name(cut)}: a corner radius of {cut.radius_mm:g} mm does not fit; give 0, "
            f"or {SMALLEST_MM:g} to {min(cut.size_mm) / 2.0:g} mm, half the shorter side"
        )


def _notch_sizes(notch: Notch) -> Iterator[str]:
    if not (_meant(notch.width_mm) and _meant(notch.depth_mm)):
        yield f"{_notch_name(notch)}: width and depth must be {_LEAST}"
        return
    largest = min(notch.width_mm / 2.0, notch.depth_mm)
    if not _radius_fits(notch.radius_mm, largest):
        yield (
            f"{_notch_name(notch)}: an inner radius of {notch.radius_mm:g} mm does not fit; "
            f"give 0, or {SMALLEST_MM:g} to {largest:g} mm"
        )


def _count(panel: Panel) -> Iterator[str]:
    total = len(panel.slots) + len(panel.cut_outs) + len(panel.notches)
    for holes in panel.holes:
        count = _hole_count(holes)
        if count < 1:
            yield f"{_hole_name(holes)}: counts must be 1 or more"
        total += count
    if total > MOST_OPENINGS:
        yield f"a panel with {total} openings is too much here; at most {MOST_OPENINGS} are made"


def _hole_count(holes: Holes) -> int:
    """Return how many holes a pattern asks for, without making them."""
    pattern = holes.pattern
    if isinstance(pattern, Grid):
        return pattern.columns * pattern.rows if min(pattern.columns, pattern.rows) > 0 else 0
    return pattern.count if isinstance(pattern, Row | BoltCircle) else 1


def _edges(panel: Panel) -> Iterator[str]:
    """Look whether corners and notches fit on their edges and leave each other room."""
    for k, edge in enumerate(Edge):
        begin, end = panel.corners[k], panel.corners[(k + 1) % 4]
        length = edge_length_mm(panel, edge)
        if begin.size_mm + end.size_mm > length:
            larger = max(begin, end, key=lambda cut: cut.size_mm)
            first, second = list(Corner)[k], list(Corner)[(k + 1) % 4]
            yield (
                f"{larger.label or 'corner'}: {begin.size_mm:g} mm at {first} and "
                f"{end.size_mm:g} mm at {second} do not fit on the {length:g} mm of the "
                f"{edge} edge"
            )
            return
        yield from _notches(panel, edge, begin.size_mm, length - end.size_mm)
    if not shapely.is_valid(_polygon(outline(panel))):
        names = ", ".join(_notch_name(notch) for notch in panel.notches)
        yield f"{names}: notches run into each other or across a corner; make them less deep"


def _notches(panel: Panel, edge: Edge, first_mm: float, last_mm: float) -> Iterator[str]:
    across = edge_length_mm(panel, Edge.RIGHT if edge in (Edge.BOTTOM, Edge.TOP) else Edge.BOTTOM)
    spans = sorted(
        (*notch_span_mm(panel, notch), _notch_name(notch))
        for notch in panel.notches
        if notch.edge is edge
    )
    for start, stop, name in spans:
        if start < first_mm or stop > last_mm:
            yield (
                f"{name}: does not lie on the straight part of the {edge} edge, which is "
                f"{last_mm - first_mm:g} mm long"
            )
    for (_, stop, name), (start, _, other) in pairwise(spans):
        if start - stop < TOUCH_MM:
            yield f"{other}: runs into {name}; move one of them"
    for notch in panel.notches:
        if notch.edge is edge and notch.depth_mm >= across:
            yield (
                f"{_notch_name(notch)}: {notch.depth_mm:g} mm deep cuts the panel apart, which "
                f"is {across:g} mm there"
            )


def _openings(panel: Panel) -> Iterator[Named]:
    for holes in panel.holes:
        for x, y in holes.pattern.places_mm(panel.size_mm):
            place = "" if holes.label and _hole_count(holes) == 1 else f", at {x:g}, {y:g}"
            yield _hole_name(holes) + place, circle((x, y), holes.diameter_mm / 2.0)
    for slot in panel.slots:
        yield _slot_name(slot), slot_path(slot)
    for cut in panel.cut_outs:
        yield _cut_out_name(cut), cut_out_path(cut)


def _places(panel: Panel) -> Iterator[str]:
    """Look whether every opening lies inside the panel and clear of the others."""
    named = list(_openings(panel))
    shapes = np.array([_polygon(path) for _, path in named], dtype=object)
    told = [*_outside(panel, named, shapes), *_overlaps(named, shapes)]
    yield from told[:MOST_TOLD]
    if len(told) > MOST_TOLD:
        yield f"and {len(told) - MOST_TOLD} more of the same kind"


def _outside(panel: Panel, named: list[Named], shapes: NDArray[np.object_]) -> Iterator[str]:
    body = _polygon(outline(panel))
    inside = shapely.contains_properly(body, shapes)
    near = shapely.dwithin(shapely.boundary(body), shapes, TOUCH_MM)
    width, height = panel.size_mm
    for k in np.flatnonzero(~inside | near).tolist():
        yield (
            f"{named[k][0]}: is not wholly inside the panel of {width:g} x {height:g} mm, its "
            "corners and notches taken off; move it or make it smaller"
        )


def _overlaps(named: list[Named], shapes: NDArray[np.object_]) -> Iterator[str]:
    tree = shapely.STRtree(shapes)
    pairs = tree.query(shapes, predicate="dwithin", distance=TOUCH_MM).T.tolist()
    for a, b in sorted((a, b) for a, b in pairs if a < b):
        yield f"{named[b][0]}: runs into {named[a][0]}; move one of them"


def _polygon(path: Path) -> shapely.Polygon:
    return shapely.polygons(path.flattened(CHORD_MM))
