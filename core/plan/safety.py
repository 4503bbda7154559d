"""Proves that no cutter enters a part, by another way than the paths were made.

The paths come from our own offsets; here the drawing's outlines become polygons, and a polygon
library answers how near each centre line comes to them. Parts are what lies inside an outer contour
and outside the holes in it; the floor of a pocket may be entered inside the pocket's own outline.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.errors import Finding, Severity
from core.geometry.path import Segments, flattened
from core.job import Task

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.contours.records import Contour, Contours
    from core.plan.records import Toolpath

FLATTEN_MM = 5e-4
"""Chord error of outlines and centre lines here."""

TOLERANCE_MM = 1e-3 + 2.0 * FLATTEN_MM
"""A cutter this far inside a part is a gouge; less may be the flattening."""


def gouges(drawings: tuple[Contours, ...], toolpaths: Sequence[Toolpath]) -> tuple[Finding, ...]:
    """Return a finding for every contour whose trips enter a part; none if all are clear.

    Parameters
    ----------
    drawings : tuple of Contours
        The contours of each drawing.
    toolpaths : sequence of Toolpath
        All trips.
    """
    found: list[Finding] = []
    for index, contours in enumerate(drawings):
        trips = [t for t in toolpaths if t.drawing == index]
        if not trips:
            continue
        tasks = {c.id: c.task for c in contours.contours}
        round_parts = [t for t in trips if tasks[t.contour_id] not in (Task.POCKET, Task.ON_LINE)]
        in_pockets = [t for t in trips if tasks[t.contour_id] is Task.POCKET]
        hit = _too_near(_parts(contours), round_parts)
        for contour in contours.contours:
            mine = [t for t in in_pockets if t.contour_id == contour.id]
            if mine:
                hit |= _too_near([_around(contour, contours)], mine)
        found += [_finding(index, c) for c in contours.contours if c.id in hit]
    return tuple(found)


def _too_near(solids: list[shapely.Geometry], trips: list[Toolpath]) -> set[int]:
    """Return the contours whose trips come nearer to a solid than the cutter's radius."""
    if not solids or not trips:
        return set()
    lines = _centre_lines(trips)
    radius = np.array([trip.mounted.diameter_mm / 2.0 for trip in trips])
    tree = shapely.STRtree(solids)
    which, _ = tree.query(lines, predicate="dwithin", distance=radius - TOLERANCE_MM)
    return {trips[i].contour_id for i in which}


def _centre_lines(trips: list[Toolpath]) -> NDArray[np.object_]:
    """Return the centre line of each trip, entry and exit with it."""
    ways = [[way.segments for way in (t.entry, t.cut, t.exit)] for t in trips]
    parts = [part for way in ways for part in way]
    segments = Segments(
        np.concatenate([part.start for part in parts]),
        np.concatenate([part.end for part in parts]),
        np.concatenate([part.bulge for part in parts]),
    )
    of = np.repeat(np.arange(len(trips)), [sum(map(len, way)) for way in ways])
    points, which = flattened(segments, FLATTEN_MM)
    lines: NDArray[np.object_] = shapely.linestrings(points, indices=of[which])
    return lines


def _polygon(contour: Contour, holes: Sequence[Contour] = ()) -> shapely.Geometry:
    rings = [hole.path.flattened(FLATTEN_MM) for hole in holes]
    return shapely.Polygon(contour.path.flattened(FLATTEN_MM), rings)


def _parts(contours: Contours) -> list[shapely.Geometry]:
    """Return the parts as polygons: outer contours and islands, less the holes in them."""
    children: dict[int | None, list[Contour]] = defaultdict(list)
    for contour in contours.contours:
        children[contour.parent].append(contour)
    return [
        _polygon(c, [h for h in children[c.id] if h.path.closed and h.task is not Task.POCKET])
        for c in contours.contours
        if c.path.closed and c.task is Task.OUTSIDE
    ]


def _around(pocket: Contour, contours: Contours) -> shapely.Geometry:
    """Return what a pocket must leave alone: its outline and the islands in it, as lines."""
    islands = [c for c in contours.contours if c.parent == pocket.id and c.task is not Task.INSIDE]
    rings = [shapely.LinearRing(c.path.flattened(FLATTEN_MM)) for c in (pocket, *islands)]
    return shapely.MultiLineString(rings)


def _finding(drawing: int, contour: Contour) -> Finding:
    x, y = contour.path.points[0]
    return Finding(
        "cutter-enters-part",
        Severity.OUTSIDE,
        f"{contour.name}: a path of its cutter enters a part; it must not be cut like this. Choose "
        "a smaller cutter, or move the neighbouring parts apart.",
        at_mm=(float(x), float(y)),
        contour_id=contour.id,
        drawing=drawing,
    )
