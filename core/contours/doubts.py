"""What a drawing leaves open once it is chained and nested: recognised, named, asked.

Each function looks at the rings for one pitfall and returns findings; nothing is changed here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.contours.meeting import crossing, self_crossing, stroke_outline
from core.contours.records import Shape
from core.contours.scene import is_stepped, stepped_holes
from core.contours.telling import MOST_LISTED, listed
from core.errors import Finding, Severity

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.contours.scene import Scene
    from core.geometry.path import Path

ISO_PAPER = 2.0**0.5
"""Ratio of the sides of a paper sheet of ISO 216."""

FEWEST_LOST_HOLES = 4
LARGEST_LOST_HOLE_MM = 25.0
"""So many circles up to this size with nothing around them look like the holes of a lost plate."""


def all_doubts(scene: Scene) -> list[Finding]:
    """Return every question, the gravest first."""
    return [
        *lost_outline(scene),
        *stroke_outline(scene),
        *self_crossing(scene),
        *crossing(scene),
        *frame(scene),
        *countersinks(scene),
        *islands(scene),
    ]


def lost_outline(scene: Scene) -> list[Finding]:
    """Ask whether rings without anything around them are the holes of an outline that is open."""
    outer = np.flatnonzero(scene.nest.depth == 0)
    if not len(outer):
        return []
    boxes = scene.measures.box[outer]
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2.0
    for path in sorted(scene.opens, key=lambda p: -p.length_mm)[:MOST_LISTED]:
        inside = _count_inside([path], middles, hull=False)
        if inside:
            return [_lost(path, inside, Severity.OUTSIDE)]
    # pieces of an outline, none of them around anything by itself
    bent = [p for p in scene.opens if len(p.bulges) > 1 or p.bulges[0] != 0.0] or scene.opens
    inside = _count_inside(bent, middles, hull=True)
    if inside > 1:
        return [_lost(bent[0], inside, Severity.TIGHT)]
    return _lone_circles(scene, outer)


def _count_inside(paths: Sequence[Path], points: NDArray[np.float64], *, hull: bool) -> int:
    """Return how many points lie inside open paths, closed straight or by their convex hull."""
    import shapely

    corners = np.concatenate([p.flattened(1.0) for p in paths]) if paths else np.zeros((0, 2))
    if len(corners) < 3:
        return 0
    area = shapely.convex_hull(shapely.multipoints(corners))
    if not hull:
        area = shapely.make_valid(shapely.polygons(corners))
    elif sum(p.length_mm for p in paths) < 0.5 * area.length:
        return 0
    return int(shapely.contains_xy(area, points[:, 0], points[:, 1]).sum())


def _lost(path: Path, rings: int, severity: Severity) -> Finding:
    x, y = path.points[-1].tolist()
    whole = "an open outline" if severity is Severity.OUTSIDE else "pieces of an open outline"
    what = "A ring lies" if rings == 1 else f"{rings} rings lie"
    sentence = (
        f"{what} inside {whole}: without it they would be cut as parts, not as holes. "
        "Close the outline first; where it is open is marked."
    )
    return Finding("outline-lost", severity, sentence, (x, y))


def _lone_circles(scene: Scene, outer: NDArray[np.intp]) -> list[Finding]:
    small = [
        scene.forms[k].shape is Shape.CIRCLE and scene.forms[k].sides_mm[0] <= LARGEST_LOST_HOLE_MM
        for k in outer.tolist()
    ]
    if len(outer) < FEWEST_LOST_HOLES or np.mean(small) <= 0.9:
        return []
    sentence = (
        f"{int(np.sum(small))} small circles have no outline around them: as drawn they are "
        "parts. If they are holes, the outline of their plate is missing."
    )
    x, y = scene.rings[int(outer[0])].points[0].tolist()
    return [Finding("outline-lost", Severity.TIGHT, sentence, (x, y))]


def frame(scene: Scene) -> list[Finding]:
    """Ask about a rectangle around everything, and about single lines beside the parts."""
    out = []
    outer = np.flatnonzero(scene.nest.depth == 0)
    deeper = int((scene.nest.depth >= 2).sum())
    words = sum(count for kind, count in scene.left_out.items() if kind in ("TEXT", "MTEXT"))
    for k in outer.tolist():
        form = scene.forms[k]
        if form.shape is not Shape.RECTANGLE or len(scene.rings[k].points) > 6:
            continue
        inside = scene.children(k)
        parts = [c for c in inside.tolist() if len(scene.children(c)) and not is_stepped(scene, c)]
        paper = abs(form.sides_mm[0] / form.sides_mm[1] - ISO_PAPER) < 0.01
        if parts or (len(inside) and paper and (words or len(scene.opens) >= 4)):
            x, y = scene.rings[k].points[0].tolist()
            sentence = (
                "A rectangle lies around everything: if it is a frame or the sheet, leave it out, "
                f"for with it {len(inside)} outlines inside are cut as holes"
            )
            sentence += f" and {deeper} rings in them as islands." if deeper else "."
            out.append(Finding("frame-or-dimension", Severity.TIGHT, sentence, (x, y)))
    return out + _loose_lines(scene)


def _loose_lines(scene: Scene) -> list[Finding]:
    single = [p for p in scene.opens if len(p.bulges) == 1 and p.bulges[0] == 0.0]
    if len(single) < 3:
        return []
    return [
        Finding(
            "frame-or-dimension",
            Severity.TIGHT,
            f"{len(single)} single lines belong to no outline: dimension lines, centre lines or a "
            "title block drawn as plain lines? They are not cut.",
            (float(single[0].points[0][0]), float(single[0].points[0][1])),
        )
    ]


def countersinks(scene: Scene) -> list[Finding]:
    """Ask whether a circle in a circular hole means a countersink or a counterbore."""
    found = stepped_holes(scene)
    places = [tuple(scene.rings[inner].points[0].tolist()) for _, inner in found]
    return listed(
        "countersink",
        Severity.TIGHT,
        "Two circles about one middle: a countersink or a counterbore? The inner one is cut "
        "through, the outer one is left until you give it a task.",
        places,
    )


def islands(scene: Scene) -> list[Finding]:
    """Ask about rings inside holes that are no countersinks."""
    stepped = {inner for _, inner in stepped_holes(scene)}
    islands = np.flatnonzero((scene.nest.depth >= 2) & (scene.nest.depth % 2 == 0)).tolist()
    places = [tuple(scene.rings[k].points[0].tolist()) for k in islands if k not in stepped]
    return listed(
        "island",
        Severity.TIGHT,
        "A ring lies in a hole: a part in the waste, a letter, a mark? It is not cut until you "
        "give it a task.",
        places,
    )
