"""Where rings may be started instead, and toolpaths made again for other starts.

A ring is first started at its gentlest place. Others are as good; which one makes the rapid moves
short is known when the order of work is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import groupby
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.leads import gentle_places
from core.plan.entries import ends_on_wall, is_nowhere
from core.plan.records import Entry

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.plan.entries import Ways
    from core.plan.records import Toolpath
    from core.plan.toolpaths import FreeRing, Toolpaths

PLACES = 8
"""Places at which a ring may be started."""


@dataclass(frozen=True, eq=False, slots=True)
class Starts:
    """The places at which f rings may be started, k each; the first is where they are now.

    Parameters
    ----------
    rings : tuple of FreeRing
        The rings.
    s_mm : array of shape (f, k)
        Way along the ring. [mm]
    enter_mm, leave_mm : array of shape (f, k, 2)
        Where the cutter would go down and come up, but for the leads. [mm]
    """

    rings: tuple[FreeRing, ...]
    s_mm: NDArray[np.float64]
    enter_mm: NDArray[np.float64]
    leave_mm: NDArray[np.float64]


def free_starts(paths: Toolpaths) -> Starts:
    """Return where the rings of some toolpaths may be started."""
    parts = [_starts(list(own), paths.toolpaths) for _, own in groupby(paths.free, _lines_of)]
    empty = np.zeros((0, PLACES, 2))
    return Starts(
        paths.free,
        np.concatenate([*(s for s, _, _ in parts), empty[..., 0]]),
        np.concatenate([*(enter for _, enter, _ in parts), empty]),
        np.concatenate([*(leave for _, _, leave in parts), empty]),
    )


def _lines_of(ring: FreeRing) -> int:
    return id(ring.lines)


def _starts(
    free: Sequence[FreeRing], toolpaths: Sequence[Toolpath]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    rings = free[0].lines.rings.subset(np.array([ring.number for ring in free]))
    places = gentle_places(rings, PLACES)
    now = [toolpaths[ring.trips[0]] for ring in free]
    # a ramp ends where the cut begins; the seam overlap runs on behind it
    down = [t.entry.length_mm if t.entry_kind is not Entry.PLUNGE else 0.0 for t in now]
    seam = np.array([t.step.seam_overlap_mm for t in now])
    which = np.repeat(np.arange(len(free)), PLACES)
    shape = (*places.shape, 2)
    s_enter, s_leave = places - np.array(down)[:, None], places + seam[:, None]
    enter = rings.points_at(rings.places(which, s_enter.ravel())).reshape(shape)
    leave = rings.points_at(rings.places(which, s_leave.ravel())).reshape(shape)
    enter[:, 0] = [t.entry.points[0] for t in now]
    leave[:, 0] = [t.exit.points[-1] for t in now]
    return places, enter, leave


def restarted(paths: Toolpaths, starts: Starts, place: tuple[int, ...]) -> Toolpaths:
    """Return toolpaths whose rings are started at the chosen places.

    Parameters
    ----------
    paths, starts : Toolpaths, Starts
        The toolpaths, and where their rings may be started.
    place : tuple of int, f in number
        Number of the place of each ring; 0 leaves it. A ring that would lose a lead is left too.
    """
    toolpaths = list(paths.toolpaths)
    moved = [number for number, chosen in enumerate(place) if chosen]
    for _, own in groupby(moved, lambda number: id(starts.rings[number].lines)):
        numbers = list(own)
        rings = [starts.rings[number] for number in numbers]
        s_mm = np.array([starts.s_mm[number, place[number]] for number in numbers])
        ways = rings[0].lines.ways(np.array([ring.number for ring in rings]), s_mm)
        for ring, way in zip(rings, ways, strict=True):
            for index, trip in _again(toolpaths, ring, way):
                toolpaths[index] = trip
    return replace(paths, toolpaths=tuple(toolpaths))


def _again(
    toolpaths: Sequence[Toolpath], ring: FreeRing, way: Ways
) -> Iterator[tuple[int, Toolpath]]:
    now = toolpaths[ring.trips[0]]
    loses = is_nowhere(way.entry) and not is_nowhere(now.entry)
    loses |= ends_on_wall(way.exit) and not ends_on_wall(now.exit)
    for index in () if loses else ring.trips:
        trip = toolpaths[index]
        yield index, replace(trip, entry=way.entry, cut=way.cut, exit=way.exit)
