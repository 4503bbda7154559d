"""Proves that no cutter enters a part, by another way than the paths were made.

The paths come from our own offsets; here their distance from the drawing's outlines is measured
anew, by centres and radii (`core.geometry.clearance`), and a polygon library answers whether a
centre line runs through a part. Those polygons are coarse: a centre line that keeps its distance
cannot meet them, and one that dips into a part by less than they are coarse is seen by its
distance. Parts are what lies inside an outer contour and outside the holes in it; the floor of a
pocket may be entered inside the pocket's own outline.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.errors import Finding, Severity
from core.geometry.bundle import Bundle, bundle_of
from core.geometry.clearance import curves_of, near_pairs, nearest_mm
from core.geometry.path import flattened
from core.job import FROM_THE_TOP, Task

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.contours.records import Contour, Contours
    from core.geometry.path import Path
    from core.plan.records import Toolpath

RECESSES = FROM_THE_TOP - {Task.EDGE_BREAK}
"""Tasks that leave a floor in a part, which may be entered inside their own outline."""

HOLES = frozenset({Task.INSIDE, Task.BORE, Task.DRILL})
"""Tasks that go through."""

TOLERANCE_MM = 1e-3
"""A cutter this far inside a part is a gouge."""

COARSE_SHARE = 0.1
"""Chord error of the polygons as a share of the smallest cutter's radius: two of them together stay
well below the distance that a centre line must keep."""


@dataclass(frozen=True, eq=False, slots=True)
class Solids:
    """What must be left alone.

    Parameters
    ----------
    walls : Bundle
        The closed paths round all solids, one solid behind the other, its outer path first.
    first : int array of shape (k + 1,)
        Where the paths of each of k solids begin.
    filled : bool
        Whether the inside of the solids is meant too, or their walls only.
    """

    walls: Bundle
    first: NDArray[np.intp]
    filled: bool

    def coarse(self, chord_error_mm: float) -> NDArray[np.object_]:
        """Return each solid as a polygon, or as lines."""
        points, rings = _drawn(self.walls, chord_error_mm)
        kind = shapely.GeometryType.POLYGON if self.filled else shapely.GeometryType.MULTILINESTRING
        shapes: NDArray[np.object_] = shapely.from_ragged_array(kind, points, (rings, self.first))
        return shapes


def _solids(groups: Sequence[Sequence[Path]], *, filled: bool) -> Solids:
    walls = bundle_of([path for group in groups for path in group], closed=True)
    return Solids(walls, np.concatenate([[0], np.cumsum([*map(len, groups)])]), filled)


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
        tasks = {c.id: c.task for c in contours.contours}
        round_parts: list[Toolpath] = []
        in_recesses: dict[int, list[Toolpath]] = defaultdict(list)
        for trip in toolpaths:
            if trip.drawing != index or tasks[trip.contour_id] is Task.ON_LINE:
                continue
            is_recess = tasks[trip.contour_id] in RECESSES
            (in_recesses[trip.contour_id] if is_recess else round_parts).append(trip)
        hit = _too_near(_parts(contours), round_parts)
        for contour in contours.contours:
            if contour.id in in_recesses:
                hit |= _too_near(_around(contour, contours), in_recesses[contour.id])
        found += [_finding(index, c) for c in contours.contours if c.id in hit]
    return tuple(found)


def _too_near(solids: Solids, trips: list[Toolpath]) -> set[int]:
    """Return the contours whose trips come nearer to a solid than what they cut there."""
    if not len(solids.walls) or not trips:
        return set()
    lines = bundle_of([way for t in trips for way in (t.entry, t.cut, t.exit)], closed=False)
    radius = np.array([trip.reach_mm for trip in trips])
    near = _grazing(solids.walls, lines, np.repeat(radius, 3))
    through = _crossing(solids, lines, COARSE_SHARE * float(radius.min()))
    return {trips[way // 3].contour_id for way in {*near.tolist(), *through.tolist()}}


def _grazing(walls: Bundle, lines: Bundle, radius_mm: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the centre lines that come nearer to a wall than their cutter's radius."""
    reach = radius_mm[lines.of] - TOLERANCE_MM
    one, other = near_pairs(lines.segments, reach, walls.segments)
    distance = nearest_mm(curves_of(lines.segments)[one], curves_of(walls.segments)[other])
    return np.unique(lines.of[one[distance < reach[one]]])


def _crossing(solids: Solids, lines: Bundle, chord_error_mm: float) -> NDArray[np.intp]:
    """Return the centre lines that run through a solid, as chords."""
    points, first = _drawn(lines, chord_error_mm)
    drawn = shapely.from_ragged_array(shapely.GeometryType.LINESTRING, points, (first,))
    shapes = solids.coarse(chord_error_mm)
    shapely.prepare(shapes)
    shape, line = shapely.STRtree(drawn).query(shapes)
    met = shapely.intersects(shapes[shape], drawn[line])
    return np.unique(line[met])


def _drawn(paths: Bundle, chord_error_mm: float) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return points along all paths, their ends too, and where those of each path begin."""
    points, segment = flattened(paths.segments, chord_error_mm)
    begins = np.searchsorted(segment, paths.first)
    last = paths.first[:-1] if paths.closed else paths.first_point[1:] - 1
    whole = np.insert(points, begins[1:], paths.points[last], axis=0)
    return whole, begins + np.arange(len(begins))


def _parts(contours: Contours) -> Solids:
    """Return the parts: outer contours and islands, less the holes in them."""
    by_id = {c.id: c for c in contours.contours}
    children: dict[int | None, list[Path]] = defaultdict(list)
    for c in contours.contours:
        if c.path.closed and c.task not in RECESSES:
            around = c.parent
            # a hole in the floor of a recess goes through the part that the recess is in
            while around is not None and by_id[around].task in RECESSES:
                around = by_id[around].parent
            children[around].append(c.path)
    outers = [c for c in contours.contours if c.path.closed and c.task is Task.OUTSIDE]
    return _solids([(c.path, *children[c.id]) for c in outers], filled=True)


def _around(pocket: Contour, contours: Contours) -> Solids:
    """Return what a pocket must leave alone: its outline and the islands in it, as lines."""
    islands = [c for c in contours.contours if c.parent == pocket.id and c.task not in HOLES]
    return _solids([[c.path for c in (pocket, *islands)]], filled=False)


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
