"""From loose segments to contours: gather ends, clean, chain, mend, nest, name, ask."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.contours.alike import copies_in_place, same_parts
from core.contours.doubts import all_doubts
from core.contours.joining import asked_about, joined_pieces, told_of_the_rest
from core.contours.layer_rules import layers_left_out, rule_findings, with_tasks_by_rule
from core.contours.measures import measures_of, polygons_of
from core.contours.outlines import outlines_of
from core.contours.records import Contour, Contours, Kind, Shape
from core.contours.rings import nesting
from core.contours.scene import Scene, stepped_holes
from core.contours.shapes import Form, form_of, names_of
from core.contours.telling import mended
from core.geometry.path import Segments
from core.job.job import Task
from core.library.layer_rules import NO_RULES

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.contours.pieces import Piece
    from core.drawing.records import Drawing, Layer
    from core.errors import Finding
    from core.job.job import DrawingFile
    from core.library.layer_rules import LayerRules

TASK_OF_KIND = {
    Kind.OUTER: Task.OUTSIDE,
    Kind.HOLE: Task.INSIDE,
    Kind.ISLAND: Task.NONE,
    Kind.OPEN: Task.NONE,
}
"""What is done without a word from the user; what is doubtful is not cut."""


def find_contours(
    drawing: Drawing, file: DrawingFile, index: int = 0, rules: LayerRules = NO_RULES
) -> Contours:
    """Return the contours of a drawing.

    Parameters
    ----------
    drawing : Drawing
        As read.
    file : DrawingFile
        The user's choices: layers left out, repairs refused, tasks by hand.
    index : int
        Number of the drawing in the job, for the findings.
    rules : LayerRules
        What the shop's layer names mean where the user has not said anything.

    Notes
    -----
    Closed contours come out counter-clockwise. Ids follow the order of entities in the drawing,
    so a choice made for an id holds as long as the drawing does.
    """
    by_rule = layers_left_out(drawing.layers, file, rules)
    segments, layer, entity = _cut_segments(drawing, file, by_rule)
    found = outlines_of(segments, layer, entity, file.refused_repairs)
    joined, opens = joined_pieces(found.opens, file.refused_repairs)
    closed, told = _without_copies([*found.closed, *joined], file.refused_repairs)
    opens = asked_about(opens)
    closed.sort(key=lambda piece: piece.entity)
    opens.sort(key=lambda piece: piece.entity)
    told = [*told_of_the_rest(opens), *found.told, *told]
    every = _contours(drawing, file, index, segments, closed, opens, told)
    contours, given = with_tasks_by_rule(every.contours, file, rules)
    return replace(
        every,
        contours=contours,
        findings=(*every.findings, *rule_findings(by_rule, given, rules, index)),
        layers_left_out=tuple(layer.name for layer in by_rule),
    )


def _cut_segments(
    drawing: Drawing, file: DrawingFile, by_rule: tuple[Layer, ...]
) -> tuple[Segments, NDArray[np.intp], NDArray[np.intp]]:
    off = {name.lower() for name in (*file.layers_left_out, *(la.name for la in by_rule))}
    cut = np.array(
        [not (la.left_out or la.name.lower() in off) for la in drawing.layers], dtype=bool
    )
    which = np.flatnonzero(cut[drawing.layer_index]) if len(cut) else np.zeros(0, dtype=np.intp)
    seg = drawing.segments
    chosen = Segments(seg.start[which], seg.end[which], seg.bulge[which])
    return chosen, drawing.layer_index[which], drawing.entity_index[which]


def _without_copies(
    closed: list[Piece], refused: frozenset[str]
) -> tuple[list[Piece], list[Finding]]:
    """Return the rings without those that lie on an earlier one."""
    twin = copies_in_place([piece.path for piece in closed])
    places = [
        (float(piece.path.points[0][0]), float(piece.path.points[0][1]))
        for piece, other in zip(closed, twin.tolist(), strict=True)
        if other >= 0
    ]
    told = mended(
        "duplicate-removed",
        refused,
        "An outline drawn twice was dropped once: it would have been cut twice.",
        "An outline is drawn twice and, as you wish, kept twice: it is cut twice.",
        places,
    )
    if "duplicate-removed" in refused:
        return closed, told
    return [p for p, other in zip(closed, twin.tolist(), strict=True) if other < 0], told


def _contours(
    drawing: Drawing,
    file: DrawingFile,
    index: int,
    segments: Segments,
    closed: list[Piece],
    opens: list[Piece],
    told: list[Finding],
) -> Contours:
    measures = measures_of([piece.path for piece in closed])
    clockwise = (measures.area < 0.0).tolist()
    rings = [
        p.path.reversed() if turn else p.path for p, turn in zip(closed, clockwise, strict=True)
    ]
    closed = [replace(piece, path=ring) for piece, ring in zip(closed, rings, strict=True)]
    polygons = polygons_of(rings)
    area = np.abs(measures.area)
    nest = nesting(rings, polygons, area)
    forms = [form_of(ring) for ring in rings]
    scene = Scene(rings, [p.path for p in opens], nest, forms, polygons, measures, drawing.left_out)
    contours = _numbered(drawing, file, closed, opens, scene)
    bounds = segments.bounds_mm if len(segments) else (0.0, 0.0, 0.0, 0.0)
    told = [*all_doubts(scene), *_along_contours(closed, opens), *told]
    even = int((nest.depth % 2 == 0).sum())
    return Contours(
        contours=contours,
        findings=tuple(replace(finding, drawing=index) for finding in told),
        bounds_mm=bounds,
        size_mm=(bounds[2] - bounds[0], bounds[3] - bounds[1]),
        outer_count=even,
        hole_count=len(rings) - even,
        open_count=len(opens),
        area_mm2=float((area * np.where(nest.depth % 2, -1.0, 1.0)).sum()),
        groups=tuple(tuple(k + 1 for k in group) for group in same_parts(rings, nest)),
    )


def _numbered(
    drawing: Drawing, file: DrawingFile, closed: list[Piece], opens: list[Piece], scene: Scene
) -> tuple[Contour, ...]:
    """Return rings, then open lines, with their ids, names and tasks."""
    kinds = [_kind(depth) for depth in scene.nest.depth.tolist()] + [Kind.OPEN] * len(opens)
    forms = [*scene.forms, *[Form(Shape.OTHER)] * len(opens)]
    depths = [*scene.nest.depth.tolist(), *[0] * len(opens)]
    parents = [*scene.nest.parent.tolist(), *[-1] * len(opens)]
    names = names_of(kinds, forms)
    tasks = [TASK_OF_KIND[kind] for kind in kinds]
    for hole, inner in stepped_holes(scene):
        # cut too small, a hole can still be opened; cut too large, the part is lost
        tasks[hole], tasks[inner] = Task.NONE, Task.INSIDE
    chosen = {choice.contour_id: choice.task for choice in file.contours}
    return tuple(
        Contour(
            id=k + 1,
            path=piece.path,
            kind=kinds[k],
            parent=parents[k] + 1 if parents[k] >= 0 else None,
            depth=depths[k],
            layer=drawing.layers[piece.layer].name,
            name=names[k],
            shape=forms[k].shape,
            circle_diameter_mm=forms[k].sides_mm[0] if forms[k].shape is Shape.CIRCLE else None,
            task=chosen.get(k + 1) or tasks[k],
        )
        for k, piece in enumerate([*closed, *opens])
    )


def _kind(depth: int) -> Kind:
    if depth == 0:
        return Kind.OUTER
    return Kind.HOLE if depth % 2 else Kind.ISLAND


def _along_contours(closed: list[Piece], opens: list[Piece]) -> list[Finding]:
    """Return what was told along each outline, with the contour's id."""
    return [
        replace(finding, contour_id=k + 1)
        for k, piece in enumerate([*closed, *opens])
        for finding in piece.told
    ]
