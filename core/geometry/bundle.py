"""Many paths as one set of arrays, so that one numpy call cuts the ways of a whole job.

A *bundle* holds paths one behind the other, all closed or all open. A *place* on it is a path and
the way along that path; on a closed path the way counts on, lap after lap, and back below zero. A
*stretch* is what lies between two places of one path.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import SAME_POINT_MM, Path, Segments, points_on
from core.geometry.rings import cap_share

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]


@dataclass(frozen=True, eq=False, slots=True)
class Places:
    """m places: `segment` and its `path` (m,), the `share` of it passed, and in which `lap`."""

    path: Index
    segment: Index
    share: Array
    lap: Index


@dataclass(frozen=True, eq=False)
class Bundle:
    """Paths, p in number, with n segments in all.

    Parameters
    ----------
    points : array of shape (n, 2) if closed, else (n + p, 2)
        Corner points; closed paths do not repeat their first. [mm]
    bulges : array of shape (n,)
        tan(sweep / 4) of each segment.
    first : int array of shape (p + 1,)
        Where the segments of each path begin.
    closed : bool
        Whether the paths run back to their beginnings.
    """

    points: Array
    bulges: Array
    first: Index
    closed: bool

    def __len__(self) -> int:
        return len(self.first) - 1

    @cached_property
    def count(self) -> Index:
        """Segments of each path, shape (p,)."""
        return np.diff(self.first)

    @cached_property
    def of(self) -> Index:
        """Path of each segment, shape (n,)."""
        return np.repeat(np.arange(len(self)), self.count)

    @cached_property
    def first_point(self) -> Index:
        """Where the points of each path begin, shape (p + 1,)."""
        return self.first if self.closed else self.first + np.arange(len(self.first))

    @cached_property
    def segments(self) -> Segments:
        """All segments."""
        start = np.arange(len(self.bulges)) if self.closed else np.arange(len(self.of)) + self.of
        end = start + 1
        if self.closed:
            full = self.count > 0
            end[self.first[1:][full] - 1] = self.first[:-1][full]
        return Segments(self.points[start], self.points[end], self.bulges)

    @cached_property
    def begins_mm(self) -> Array:
        """Way along its path to the start of each segment, shape (n,). [mm]."""
        # in long doubles where there are any: the sum runs over all paths
        total = np.cumsum(self.segments.length_mm, dtype=np.longdouble)
        before = np.concatenate([[np.longdouble(0.0)], total])
        own = before[:-1] - np.repeat(before[self.first[:-1]], self.count)
        return np.asarray(own, np.float64)

    @cached_property
    def length_mm(self) -> Array:
        """Length of each path, shape (p,). [mm]."""
        total = np.bincount(self.of, self.segments.length_mm, len(self))
        return np.asarray(total, np.float64)

    @cached_property
    def area_mm2(self) -> Array:
        """Area that each closed path encloses, counter-clockwise positive, shape (p,). [mm2]."""
        # measured from the first point: far from the origin the products would lose digits
        origin = self.points[self.first[self.of]]
        seg = self.segments
        (x0, y0), (x1, y1) = (seg.start - origin).T, (seg.end - origin).T
        each = (x0 * y1 - x1 * y0) / 2.0 + seg.chord_mm**2 * cap_share(self.bulges)
        return np.asarray(np.bincount(self.of, each, len(self)), np.float64)

    def running(self, counter_clockwise: Bools) -> Bundle:
        """Return the closed paths, each run the way that is asked for, from its own first point."""
        turned = ((self.area_mm2 > 0.0) != counter_clockwise)[self.of]
        begin, count = self.first[self.of], self.count[self.of]
        every = np.arange(len(self.of))
        back = begin + (count - (every - begin)) % count
        points = self.points[np.where(turned, back, every)]
        last = begin + count - 1 - (every - begin)
        bulges = np.where(turned, -self.bulges[last], self.bulges)
        return Bundle(points, bulges, self.first, closed=True)

    def subset(self, which: Index) -> Bundle:
        """Return some of the closed paths."""
        count = self.count[which]
        first = np.concatenate([[0], np.cumsum(count)])
        every = np.arange(first[-1]) + np.repeat(self.first[which] - first[:-1], count)
        return Bundle(self.points[every], self.bulges[every], first, closed=True)

    def places(self, path: Index, s_mm: Array) -> Places:
        """Return places at `s_mm` along paths, both of shape (m,)."""
        length = self.length_mm[path]
        lap = np.zeros(len(path), dtype=np.intp)
        if self.closed:
            lap = np.floor(s_mm / length).astype(np.intp)
            s_mm = s_mm - lap * length
        segment = np.searchsorted(self._line_mm, s_mm + self._base_mm[path], side="right") - 1
        segment = np.clip(segment, self.first[path], self.first[path + 1] - 1)
        long = np.maximum(self.segments.length_mm[segment], 1e-300)
        share = np.clip((s_mm - self.begins_mm[segment]) / long, 0.0, 1.0)
        return Places(path, segment, share, lap)

    @cached_property
    def _base_mm(self) -> Array:
        """Where each path begins when all stand in line, a millimetre apart. [mm]."""
        return np.concatenate([[0.0], np.cumsum(self.length_mm + 1.0)[:-1]])

    @cached_property
    def _line_mm(self) -> Array:
        return self.begins_mm + self._base_mm[self.of]

    def points_at(self, places: Places) -> Array:
        """Return the points at some places, shape (m, 2). [mm]."""
        at = self.segments.start[places.segment]
        inner = np.flatnonzero(places.share)
        at[inner] = points_on(self.segments, places.segment[inner], places.share[inner])
        return at

    def headings_at(self, places: Places) -> Array:
        """Return the headings at some places, shape (m,); behind a corner that of it. [rad]."""
        heading, sweep = self.segments.heading_rad, self.segments.sweep_rad
        return heading[places.segment] + places.share * sweep[places.segment]

    def stretches(self, path: Index, start_mm: Array, stop_mm: Array) -> Bundle:
        """Return the stretch from start to stop of each of m paths, as open paths.

        Parameters
        ----------
        path : int array of shape (m,)
            Paths; one may come several times.
        start_mm, stop_mm : array of shape (m,)
            Where they begin and end, forwards; on closed paths several laps may lie between. [mm]

        Notes
        -----
        As `Path.cut`: ends that fall within 1e-9 mm of a corner fall on it.
        """
        begin, end = self.places(path, start_mm), self.places(path, stop_mm)
        laps = (end.lap - begin.lap) * self.count[path]
        many = end.segment - begin.segment + laps + 1
        stretch = np.repeat(np.arange(len(path)), many)
        head = np.cumsum(many) - many
        onward = np.arange(len(stretch)) - head[stretch]
        base, around = self.first[path][stretch], self.count[path][stretch]
        segment = base + (begin.segment[stretch] - base + onward) % around
        low, high = np.zeros(len(segment)), np.ones(len(segment))
        low[head], high[head + many - 1] = begin.share, end.share
        keep = (high - low) * self.segments.length_mm[segment] > SAME_POINT_MM
        kept = _Kept(stretch[keep], segment[keep], low[keep], high[keep])
        return self._stretched(begin, kept)

    def _stretched(self, begin: Places, kept: _Kept) -> Bundle:
        count = np.bincount(kept.stretch, minlength=len(begin.path))
        first = np.concatenate([[0], np.cumsum(count)])
        last = first[1:] - 1
        some = count > 0
        # the last point of a stretch is the end of its last segment; one of no length stands still
        final, share = begin.segment.copy(), begin.share.copy()
        final[some], share[some] = kept.segment[last[some]], kept.high[last[some]]
        points = np.empty((len(kept.stretch) + len(count), 2))
        starts = Places(kept.stretch, kept.segment, kept.low, kept.stretch)
        points[np.arange(len(kept.stretch)) + kept.stretch] = self.points_at(starts)
        points[first[1:] + np.arange(len(count))] = self.points_at(
            Places(begin.path, final, share, begin.lap)
        )
        # whole segments keep their bulge to the last digit
        bulges = self.bulges[kept.segment]
        part = np.flatnonzero((kept.low > 0.0) | (kept.high < 1.0))
        sweep = self.segments.sweep_rad[kept.segment[part]]
        bulges[part] = np.tan(sweep * (kept.high[part] - kept.low[part]) / 4.0)
        return Bundle(points, bulges, first, closed=False)

    def laps_from(self, s_mm: Array) -> Bundle:
        """Return each closed path once round from a place, as open paths that end there again."""
        every = np.arange(len(self))
        laps = self.stretches(every, s_mm, s_mm + self.length_mm)
        ends = laps.first_point
        laps.points[ends[1:] - 1] = laps.points[ends[:-1]]
        return laps

    def with_ends(self, path: Index, points: Array, bulges: Array) -> Bundle:
        """Return the open paths, some of them (ascending) with one more segment at their end."""
        more = np.zeros(len(self), dtype=np.intp)
        more[path] = 1
        first = self.first + np.concatenate([[0], np.cumsum(more)])
        behind = self.first_point[1:][path]
        longer = np.insert(self.points, behind, points, axis=0)
        return Bundle(longer, np.insert(self.bulges, self.first[1:][path], bulges), first, False)

    def paths(self) -> list[Path]:
        """Return every path by itself."""
        self.points.flags.writeable = self.bulges.flags.writeable = False
        return [
            Path(self.points[a:b], self.bulges[i:j], self.closed)
            for (a, b), (i, j) in zip(
                pairwise(self.first_point.tolist()), pairwise(self.first.tolist()), strict=True
            )
        ]


@dataclass(frozen=True, eq=False, slots=True)
class _Kept:
    """Segments of stretches that are long enough to keep, from the share `low` to `high`."""

    stretch: Index
    segment: Index
    low: Array
    high: Array


def bundle_of(paths: Sequence[Path], *, closed: bool) -> Bundle:
    """Return paths, all closed or all open, as a bundle."""
    count = np.array([len(path.bulges) for path in paths], dtype=np.intp)
    first = np.concatenate([[0], np.cumsum(count)])
    points = np.concatenate([*(path.points for path in paths), np.zeros((0, 2))])
    bulges = np.concatenate([*(path.bulges for path in paths), np.zeros(0)])
    return Bundle(points, bulges, first, closed)
