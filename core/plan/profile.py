"""Toolpaths of rings: their depths, what the cutter engages, the trips at every depth.

Terms: the *levels* of a ring are the depths at which it is run, from the top. A *slot* is what an
earlier step cleared along the wall. A *course* is one step round one contour: its rings at its
levels. A *piece* is a part of a ring between two tabs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.bundle import Bundle, bundle_of
from core.geometry.leads import gentlest_places
from core.library.records import Direction
from core.plan.entries import Wanted, Ways, nowhere, ways_of
from core.plan.records import Engaged, Entry, Toolpath

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path
    from core.library.records import RecipeStep
    from core.plan.rings import Ring
    from core.plan.work import Work


@dataclass(frozen=True, slots=True)
class Slot:
    """What an earlier step left standing, and how far its slot reaches from the wall.

    Parameters
    ----------
    standing_mm, floor_mm : float
        Left on the wall and above the bed. [mm]
    reach_mm : float
        How far from the wall it is cleared. [mm]
    skin_error_mm : float
        By how much a skin may be thicker than that, by errors of bed and depth. [mm]
    """

    standing_mm: float
    floor_mm: float
    reach_mm: float
    skin_error_mm: float = 0.0

    def floor_for(self, bottom_mm: float) -> float:
        """Return where a cut down to some height meets the floor: a skin at its thickest. [mm]."""
        parts = bottom_mm <= 0.0 < self.floor_mm
        return self.floor_mm + self.skin_error_mm if parts else self.floor_mm


@dataclass(frozen=True, slots=True)
class Level:
    """One depth of a step: number from the top, and where it begins and ends to cut. [mm]."""

    number: int
    top_mm: float
    bottom_mm: float


@dataclass(frozen=True, eq=False)
class Course:
    """One step round one contour.

    Parameters
    ----------
    work : Work
        What is cut.
    rings : tuple of Ring
        From the inside out; the last run at the wall.
    levels : tuple of Level
        From the top.
    before : Slot or None
        What the step before left; None where this step cuts fresh sheet.
    """

    work: Work
    rings: tuple[Ring, ...]
    levels: tuple[Level, ...]
    before: Slot | None

    @cached_property
    def bands(self) -> tuple[tuple[tuple[Engaged, ...], ...], ...]:
        """What the cutter engages, by level and ring; nothing where nothing is left to cut."""
        return tuple(
            tuple(
                _bands(
                    ring.mounted.diameter_mm, ring.standing_mm, ring.beside_mm, level, self.before
                )
                for ring in self.rings
            )
            for level in self.levels
        )

    @property
    def is_through(self) -> bool:
        """Whether it goes through the sheet somewhere."""
        return any(
            level.bottom_mm <= 0.0 and any(bands)
            for level, bands in zip(self.levels, self.bands, strict=True)
        )


@lru_cache(maxsize=256)
def depth_levels(top_mm: float, bottom_mm: float, deepest_mm: float) -> tuple[Level, ...]:
    """Return equal depth steps, from the top down.

    Parameters
    ----------
    top_mm, bottom_mm : float
        Where the cut begins and ends. [mm]
    deepest_mm : float
        Deepest single step; 0 for all at once. [mm]

    Examples
    --------
    >>> [level.bottom_mm for level in depth_levels(10.0, 0.5, 6.0)]
    [5.25, 0.5]
    """
    count = math.ceil((top_mm - bottom_mm) / deepest_mm - 1e-9) if deepest_mm > 0.0 else 1
    count = max(count, 1)
    drop = (top_mm - bottom_mm) / count
    edges = (*(top_mm - drop * k for k in range(count)), bottom_mm)
    return tuple(Level(k, edges[k], edges[k + 1]) for k in range(count))


@lru_cache(maxsize=1024)
def _bands(
    diameter_mm: float, standing_mm: float, beside_mm: float, level: Level, before: Slot | None
) -> tuple[Engaged, ...]:
    """Return what the cutter engages, from the top; what lies below the sheet is not counted.

    Remembered, so that rings of one kind share it.
    """
    bottom = max(level.bottom_mm, 0.0)
    fresh_width = beside_mm or diameter_mm
    if before is None:
        return (Engaged(level.top_mm, bottom, fresh_width),)
    stock = max(before.standing_mm - standing_mm, 0.0)
    beyond = max(standing_mm + diameter_mm - before.reach_mm, 0.0)
    floor = min(max(before.floor_for(level.bottom_mm), bottom), level.top_mm)
    bands = []
    if stock + beyond > 1e-9 and level.top_mm > floor:
        bands.append(Engaged(level.top_mm, floor, min(stock + beyond, diameter_mm)))
    if floor > bottom:
        bands.append(Engaged(floor, bottom, min(fresh_width + stock, diameter_mm)))
    return tuple(bands)


@dataclass(frozen=True, eq=False, slots=True)
class Lines:
    """The lines of all rings of some courses, one behind the other, run as they are cut."""

    courses: tuple[Course, ...]
    rings: Bundle

    def trips(self, start_mm: NDArray[np.float64], stages: Sequence[int]) -> list[list[Toolpath]]:
        """Return the trips of each course: level by level, at each from the inside out.

        Parameters
        ----------
        start_mm : array of shape (r,)
            Where on its line each ring is started. [mm]
        stages : sequence of int
            Stage of each course.
        """
        pairs = self._pairs
        ways = iter(self.ways(np.arange(len(pairs)), start_mm))
        pieces = self._pieces(pairs, start_mm)
        found, number = [], 0
        for course, stage in zip(self.courses, stages, strict=True):
            own = [(next(ways), pieces.get(number + k, ())) for k in range(len(course.rings))]
            number += len(own)
            found.append(list(_trips(course, own, stage)))
        return found

    def ways(self, which: NDArray[np.intp], start_mm: NDArray[np.float64]) -> tuple[Ways, ...]:
        """Return the ways of some rings, each started at a place along it. [mm]."""
        pairs = self._pairs
        pairs = [pairs[number] for number in which.tolist()]
        walls = [ring.wall for _, ring in pairs]
        return ways_of(self.rings.subset(which), start_mm, walls, _wanted(pairs))

    @property
    def _pairs(self) -> list[tuple[Course, Ring]]:
        """Every ring with its course."""
        return [(course, ring) for course in self.courses for ring in course.rings]

    def _pieces(
        self, pairs: Sequence[tuple[Course, Ring]], start_mm: NDArray[np.float64]
    ) -> dict[int, list[Path]]:
        """Return what is cut between two tabs each, by the number of the ring."""
        found: dict[int, list[Path]] = {}
        for number, (course, ring) in enumerate(pairs):
            count = ring.step.tab_count
            if not count or ring.is_clearing or not course.work.is_through:
                continue
            # the cutter's own width eats into a tab from both sides
            gap = ring.step.tab_length_mm + ring.mounted.diameter_mm
            length = float(self.rings.length_mm[number]) / count
            if length < 2.0 * gap:
                continue
            begin = start_mm[number] + length * np.arange(count) + gap / 2.0
            which = np.full(count, number)
            found[number] = self.rings.stretches(which, begin, begin + length - gap).paths()
        return found


def lines_of(courses: Sequence[Course]) -> Lines:
    """Return the lines of all rings of some courses, each in its step's direction."""
    rings = [ring for course in courses for ring in course.rings]
    counter_clockwise = [r.inside == (r.step.direction is Direction.CLIMB) for r in rings]
    bundle = bundle_of([ring.path for ring in rings], closed=True)
    return Lines(tuple(courses), bundle.running(np.array(counter_clockwise, dtype=bool)))


def gentlest_starts(lines: Lines) -> NDArray[np.float64]:
    """Return the gentlest place of every ring, shape (r,). [mm]."""
    return gentlest_places(lines.rings)


def _wanted(pairs: Sequence[tuple[Course, Ring]]) -> Wanted:
    """Return how rings are entered: a later step in the slot before it, or beside a neighbour."""
    rows = [
        (
            _off_mm(course, ring),
            _drop_mm(course),
            _side(ring),
            ring.mounted.diameter_mm / 2.0 + ring.standing_mm,
            ring.mounted.diameter_mm,
            ring.step.ramp_angle_deg,
            ring.step.lead_radius_mm,
            ring.step.seam_overlap_mm,
        )
        for course, ring in pairs
    ]
    return Wanted(*np.array(rows, dtype=np.float64).reshape(-1, 8).T)


def _off_mm(course: Course, ring: Ring) -> float:
    stock = course.before.standing_mm - ring.standing_mm if course.before else 0.0
    return stock if stock > 0.0 else ring.beside_mm


def _drop_mm(course: Course) -> float:
    """How deep a trip goes down through the sheet; all levels of a course are equal steps. [mm]."""
    return 0.0 if course.before else course.levels[0].top_mm - course.levels[0].bottom_mm


def _side(ring: Ring) -> int:
    return -1 if ring.step.direction is Direction.CLIMB else 1


def _trips(
    course: Course, own: Sequence[tuple[Ways, Sequence[Path]]], stage: int
) -> Iterator[Toolpath]:
    for level, by_ring in zip(course.levels, course.bands, strict=True):
        for ring, bands, (ways, pieces) in zip(course.rings, by_ring, own, strict=True):
            if not bands:
                continue
            whole = _trip(course, ring, ways, level, bands, stage)
            for piece in pieces:
                down, up = nowhere(piece.points[0]), nowhere(piece.points[-1])
                yield replace(whole, entry=down, cut=piece, exit=up)
            if not pieces:
                yield whole


@lru_cache(maxsize=64)
def _clearing(step: RecipeStep) -> RecipeStep:
    return replace(step, name="clear")


def _trip(
    course: Course,
    ring: Ring,
    ways: Ways,
    level: Level,
    bands: tuple[Engaged, ...],
    stage: int,
) -> Toolpath:
    return Toolpath(
        drawing=course.work.drawing,
        contour_id=course.work.contour.id,
        step=_clearing(ring.step) if ring.is_clearing else ring.step,
        level=level.number,
        mounted=ring.mounted,
        entry=ways.entry,
        cut=ways.cut,
        exit=ways.exit,
        entry_kind=ways.entry_kind,
        entry_from_mm=_entry_from_mm(course, ring, ways, level),
        wall_side=_side(ring),
        wall_inside=ring.inside,
        bands=bands,
        z_top_mm=bands[0].z_top_mm,
        z_bottom_mm=level.bottom_mm,
        wall_stock_mm=ring.standing_mm,
        floor_stock_mm=max(level.bottom_mm, 0.0),
        flagged=ring.flagged,
        clearing=ring.is_clearing,
        stage=stage,
        from_top=not course.work.is_through,
    )


def _entry_from_mm(course: Course, ring: Ring, ways: Ways, level: Level) -> float:
    """Return the height at which a way in begins to cut. [mm]."""
    if ways.entry_kind is not Entry.PLUNGE:
        return level.top_mm
    before = course.before
    beside = before is None or (before.standing_mm <= ring.standing_mm and ring.beside_mm > 0.0)
    # beside a neighbour of the same depth there is nothing left to go down through
    if beside or before is None:
        return level.bottom_mm
    return min(before.floor_for(level.bottom_mm), level.top_mm)
