"""What a round cutter cannot reach along a closed path: the material left in its corners.

A cutter that runs inside a path sweeps its *opening* by the cutter's disc: the path offset in by
the radius, and the result out again with rolled corners. What is left of the inside are *places*,
each bounded by a stretch of the path and by arcs of the cutter's radius. Outside a path it is the
same with the directions turned round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.distance import distance_to, way_to
from core.geometry.offset import offset, offset_together
from core.geometry.path import SAME_POINT_MM, Path, joined, points_on

if TYPE_CHECKING:
    from collections.abc import Sequence

OFF_PATH_MM = 1e-4
"""A piece of the opening whose middle lies this far off the path bridges a place. A corner that
deviates less from a straight run is reached for every purpose."""

LEAST_AREA_MM2 = 1e-6
"""A place smaller than this is rounding."""


@dataclass(frozen=True, eq=False, slots=True)
class Place:
    """One place that a cutter cannot reach.

    Parameters
    ----------
    outline : Path
        Its boundary.
    area_mm2 : float
        Its area.
    at_mm : (float, float)
        A point of the path at it: the middle of the stretch that is missed. [mm]
    """

    outline: Path
    area_mm2: float
    at_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Bridge:
    """A stretch of the opening off the path, and the ways along the path where it meets it."""

    span: Path
    leaves_mm: float
    returns_mm: float


def unreached(path: Path, cutter_radius_mm: float, inside: bool) -> tuple[float, tuple[Place, ...]]:
    """Return what a cutter that touches a path from one side leaves uncut at it.

    Parameters
    ----------
    path : Path
        Closed path.
    cutter_radius_mm : float
        Radius of the cutter. [mm]
    inside : bool
        Whether the cutter runs inside the path, else outside.

    Returns
    -------
    area_mm2 : float
        Area left. [mm2]
    places : tuple of Place
        Where, in the order of the path.
    """
    return unreached_of([path], cutter_radius_mm, [inside])[0]


def unreached_of(
    paths: Sequence[Path], cutter_radius_mm: float, inside: Sequence[bool]
) -> list[tuple[float, tuple[Place, ...]]]:
    """Do the work of `unreached` for many paths, the offsets in one pass."""
    left = [path if path.area_mm2 > 0.0 else path.reversed() for path in paths]
    away = [-cutter_radius_mm if within else cutter_radius_mm for within in inside]
    return [
        _missed(path, found.paths, distance)
        for path, found, distance in zip(left, offset(left, away), away, strict=True)
    ]


def opening(path: Path, cutter_radius_mm: float, inside: bool) -> tuple[Path, ...]:
    """Return the edges of what a cutter sweeps beside a path; none where it does not fit.

    They have the inside of the path on their left.
    """
    left = path if path.area_mm2 > 0.0 else path.reversed()
    away = -cutter_radius_mm if inside else cutter_radius_mm
    return offset_together(offset([left], away)[0].paths, -away).paths


def _missed(path: Path, centres: Sequence[Path], away_mm: float) -> tuple[float, tuple[Place, ...]]:
    """Return what is left of a counter-clockwise path by a cutter on its offset."""
    # a cutter that reaches everywhere runs longer than the path by a full turn; else shorter
    run = sum(ring.length_mm for ring in centres) - path.length_mm
    if centres and abs(run - 2.0 * math.pi * away_mm) <= SAME_POINT_MM * path.length_mm:
        return 0.0, ()
    swept = offset_together(centres, -away_mm).paths
    if not swept:
        middle = path.point_and_heading_at(path.length_mm / 2.0)[0]
        return path.area_mm2, (Place(path, path.area_mm2, middle),)
    bridges = [bridge for ring in swept for bridge in _bridges(path, ring)]
    places = [Place(line, abs(line.area_mm2), at_mm) for line, at_mm in _outlines(path, bridges)]
    kept = tuple(place for place in places if place.area_mm2 > LEAST_AREA_MM2)
    return sum((place.area_mm2 for place in kept), 0.0), kept


def _bridges(path: Path, ring: Path) -> list[_Bridge]:
    """Return the stretches of a ring of the opening that do not lie on the path."""
    count = len(ring.bulges)
    middle = points_on(ring.segments, np.arange(count), np.full(count, 0.5))
    off = distance_to(path, middle) > OFF_PATH_MM
    on_path = distance_to(path, ring.points) <= OFF_PATH_MM
    first = np.flatnonzero(off & (~np.roll(off, 1) | on_path))
    last = np.flatnonzero(off & (~np.roll(off, -1) | np.roll(on_path, -1)))
    ends = ring.ends_mm
    if not len(first):
        return []
    last = last if last[0] >= first[0] else np.roll(last, -1)
    stretches = [
        ring.cut(ends[i], ends[j + 1] + (ring.length_mm if j < i else 0.0))
        for i, j in zip(first.tolist(), last.tolist(), strict=True)
    ]
    begin = way_to(path, np.array([s.points[0] for s in stretches]))
    stop = way_to(path, np.array([s.points[-1] for s in stretches]))
    return [_Bridge(*found) for found in zip(stretches, begin.tolist(), stop.tolist(), strict=True)]


def _outlines(path: Path, bridges: Sequence[_Bridge]) -> list[tuple[Path, tuple[float, float]]]:
    """Chain stretches of the path and bridges run backwards to closed outlines."""
    waiting = {bridge.leaves_mm: bridge for bridge in bridges}
    found = []
    while waiting:
        start = at = min(waiting)
        parts, middle = [], None
        while at in waiting:
            del waiting[at]
            # from where the path leaves the opening it goes on to where it first comes back
            ways = [_ahead(path, at, bridge.returns_mm) for bridge in bridges]
            way, back = min(zip(ways, bridges, strict=True), key=lambda pair: pair[0])
            middle = middle or path.point_and_heading_at(at + way / 2.0)[0]
            parts += [path.cut(at, at + way), back.span.reversed()]
            at = back.leaves_mm
        if at == start and middle is not None:
            run = joined(parts)
            found.append((Path(run.points[:-1], run.bulges), middle))
    return found


def _ahead(path: Path, from_mm: float, to_mm: float) -> float:
    """Way ahead from one place of the path to another; a whole lap if they are the same."""
    return (to_mm - from_mm - OFF_PATH_MM) % path.length_mm + OFF_PATH_MM
