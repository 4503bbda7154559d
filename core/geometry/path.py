"""A path of lines and arcs, as arrays.

Terms: a *path* is a run of segments that follow each other, closed or open. A *segment* runs from
one point to the next and is a line (bulge 0) or an arc. The *bulge* of an arc is
tan(sweep / 4), positive when it turns left, as in the DXF reference for polylines. A segment sweeps
at most half a turn (|bulge| <= 1), so a full circle is two arcs. *Loose segments* (`Segments`)
are the same without an order. Lengths in mm, angles in rad; left is positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

STRAIGHT_BULGE = 1e-12
"""Below this a segment is a line: on a chord of 10 m the arc's height would be 5e-9 mm."""

SAME_POINT_MM = 1e-9
"""Points closer than this are one point; a thousand times finer than any machine moves."""


def frozen(values: ArrayLike) -> NDArray[np.float64]:
    """Return a read-only array of float64, copied only where it was writable."""
    array = np.asarray(values, dtype=np.float64)
    if array.flags.writeable:
        array = array.copy()
        array.flags.writeable = False
    return array


@dataclass(frozen=True, eq=False)
class Segments:
    """Loose lines and arcs.

    Parameters
    ----------
    start, end : array of shape (n, 2)
        End points. [mm]
    bulge : array of shape (n,)
        tan(sweep / 4); 0 for a line.
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    bulge: NDArray[np.float64]

    def __post_init__(self) -> None:
        for name in ("start", "end", "bulge"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    def __len__(self) -> int:
        return len(self.bulge)

    @cached_property
    def chord_mm(self) -> NDArray[np.float64]:
        """Distance between the ends, shape (n,). [mm]."""
        delta = self.end - self.start
        return np.hypot(delta[:, 0], delta[:, 1])

    @cached_property
    def sweep_rad(self) -> NDArray[np.float64]:
        """Turn from the start to the end of each segment, left positive, shape (n,). [rad]."""
        return 4.0 * np.arctan(self.bulge)

    @cached_property
    def curvature_per_mm(self) -> NDArray[np.float64]:
        """Signed curvature, left positive, 0 for a line, shape (n,). [1/mm]."""
        chord = np.maximum(self.chord_mm, 1e-300)
        return np.where(self.is_arc, 4.0 * self.bulge / ((1.0 + self.bulge**2) * chord), 0.0)

    @cached_property
    def is_arc(self) -> NDArray[np.bool_]:
        """Which segments are arcs, shape (n,)."""
        return np.abs(self.bulge) > STRAIGHT_BULGE

    @cached_property
    def length_mm(self) -> NDArray[np.float64]:
        """Length of each segment, shape (n,). [mm]."""
        half = np.abs(self.sweep_rad) / 2.0
        # chord = 2 r sin(half), length = 2 r half; sinc keeps the ratio finite for lines
        return self.chord_mm / np.sinc(half / math.pi)

    @cached_property
    def heading_rad(self) -> NDArray[np.float64]:
        """Heading at the start of each segment, shape (n,). [rad]."""
        delta = self.end - self.start
        return np.arctan2(delta[:, 1], delta[:, 0]) - self.sweep_rad / 2.0

    @cached_property
    def centre_mm(self) -> NDArray[np.float64]:
        """Centre of each arc, shape (n, 2); nan for lines. [mm]."""
        bulge = np.where(self.is_arc, self.bulge, np.nan)
        middle = (self.start + self.end) / 2.0
        delta = self.end - self.start
        left = np.column_stack([-delta[:, 1], delta[:, 0]])
        return middle + left * ((1.0 - bulge**2) / (4.0 * bulge))[:, None]

    @cached_property
    def radius_mm(self) -> NDArray[np.float64]:
        """Radius of each arc, shape (n,); inf for lines. [mm]."""
        with np.errstate(divide="ignore"):
            return 1.0 / np.abs(self.curvature_per_mm)

    @cached_property
    def boxes_mm(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Low and high corner of each segment's box, arcs included, two of shape (n, 2). [mm]."""
        low, high = np.minimum(self.start, self.end), np.maximum(self.start, self.end)
        rise = (np.abs(self.bulge) * self.chord_mm / 2.0)[:, None]
        least, most = low - rise, high + rise
        arcs = np.flatnonzero(self.is_arc)
        for quarter in range(4) if len(arcs) else ():
            angle = quarter * math.pi / 2.0
            begin = self.heading_rad[arcs] - np.copysign(math.pi / 2.0, self.sweep_rad[arcs])
            turn = np.copysign(1.0, self.sweep_rad[arcs]) * (angle - begin)
            met = arcs[np.mod(turn, 2.0 * math.pi) <= np.abs(self.sweep_rad[arcs])]
            reach = self.radius_mm[met][:, None] * np.array([math.cos(angle), math.sin(angle)])
            # no arc rises higher than its chord's: holds the digits of one that is nearly flat
            extreme = np.clip(self.centre_mm[met] + reach, least[met], most[met])
            low[met], high[met] = np.minimum(low[met], extreme), np.maximum(high[met], extreme)
        return low, high

    @cached_property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Exact bounding box (x_min, y_min, x_max, y_max), arcs included. [mm]."""
        low, high = self.boxes_mm[0].min(axis=0), self.boxes_mm[1].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])


@dataclass(frozen=True, eq=False)
class Path:
    """Lines and arcs that follow each other.

    Parameters
    ----------
    points : array of shape (n, 2)
        Corner points; a closed path does not repeat the first. [mm]
    bulges : array of shape (n,) if closed, else (n - 1,)
        Bulge of the segment that leaves each point.
    closed : bool
        Whether the last point runs back to the first.
    """

    points: NDArray[np.float64]
    bulges: NDArray[np.float64]
    closed: bool = True

    def __post_init__(self) -> None:
        points = frozen(self.points)
        if points.ndim != 2:
            points = points.reshape(-1, 2)
        object.__setattr__(self, "points", points)
        object.__setattr__(self, "bulges", frozen(self.bulges))
        if len(self.bulges) != len(self.points) - (0 if self.closed else 1):
            raise ValueError("a path needs one bulge a segment")

    @cached_property
    def segments(self) -> Segments:
        """The segments in order."""
        after = np.roll(self.points, -1, axis=0) if self.closed else self.points[1:]
        return Segments(self.points[: len(self.bulges)], after, self.bulges)

    @cached_property
    def length_mm(self) -> float:
        """Length along the path. [mm]."""
        return float(self.segments.length_mm.sum())

    @cached_property
    def area_mm2(self) -> float:
        """Enclosed area, positive when run counter-clockwise; 0 for an open path. [mm2]."""
        if not self.closed or not len(self.points):
            return 0.0
        seg = self.segments
        # measured from the first point: far from the origin the products would lose digits
        start, end = seg.start - self.points[0], seg.end - self.points[0]
        shoelace = float((start[:, 0] * end[:, 1] - end[:, 0] * start[:, 1]).sum()) / 2.0
        arc = seg.is_arc
        sweep, radius = seg.sweep_rad[arc], seg.radius_mm[arc]
        return shoelace + float((radius**2 * (sweep - np.sin(sweep))).sum()) / 2.0

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Exact bounding box (x_min, y_min, x_max, y_max). [mm]."""
        return self.segments.bounds_mm

    def reversed(self) -> Path:
        """Return the same path run the other way."""
        points = self.points[::-1]
        if self.closed:
            points = np.roll(points, 1, axis=0)
        return Path(points, -self.bulges[::-1], self.closed)

    def moved(self, by_mm: tuple[float, float], turn_rad: float = 0.0) -> Path:
        """Return the path turned about the origin and then shifted."""
        cos, sin = math.cos(turn_rad), math.sin(turn_rad)
        turn = np.array([[cos, sin], [-sin, cos]])
        return Path(self.points @ turn + np.asarray(by_mm), self.bulges, self.closed)

    @cached_property
    def ends_mm(self) -> NDArray[np.float64]:
        """Way along the path to each segment's start, and to the end, shape (n + 1,). [mm]."""
        return np.concatenate([[0.0], np.cumsum(self.segments.length_mm)])

    def place(self, s_mm: float) -> tuple[int, float]:
        """Return which segment lies at `s_mm` along the path, and the share of it passed.

        A closed path counts on, lap after lap: segment n is the first one again. On an open path
        the way is held between its ends.
        """
        ends, count, lap = self.ends_mm, len(self.bulges), 0
        if self.closed and ends[-1] > 0.0:
            lap = math.floor(s_mm / ends[-1])
            s_mm -= lap * ends[-1]
        which = min(max(int(np.searchsorted(ends, s_mm, side="right")) - 1, 0), count - 1)
        long = ends[which + 1] - ends[which]
        share = min(max((s_mm - ends[which]) / long, 0.0), 1.0) if long > 0.0 else 0.0
        return which + lap * count, share

    def point_and_heading_at(self, s_mm: float) -> tuple[tuple[float, float], float]:
        """Return the point at `s_mm` along the path and the heading there. [mm], [rad].

        At a corner the heading is that of the segment that leaves it. `s_mm` as in `place`.
        """
        which, share = self.place(s_mm)
        which %= len(self.bulges)
        x, y = points_on(self.segments, np.array([which]), np.array([share]))[0]
        turned = self.segments.heading_rad[which] + share * self.segments.sweep_rad[which]
        return (float(x), float(y)), math.remainder(float(turned), 2.0 * math.pi)

    def cut(self, start_mm: float, stop_mm: float) -> Path:
        """Return the stretch from `start_mm` to `stop_mm` along the path, as an open path.

        On a closed path the stretch may pass the seam, and may be longer than one lap. Ends that
        fall within 1e-9 mm of a corner fall on it.
        """
        if stop_mm < start_mm:
            raise ValueError("a stretch runs forwards")
        (first, passed), (last, reached) = self.place(start_mm), self.place(stop_mm)
        laps = np.arange(first, last + 1)
        which = laps % len(self.bulges)
        begin, end = np.zeros(len(which)), np.ones(len(which))
        begin[0], end[-1] = passed, reached
        keep = (end - begin) * self.segments.length_mm[which] > SAME_POINT_MM
        which, begin, end = which[keep], begin[keep], end[keep]
        if not len(which):
            return Path(np.array([self.point_and_heading_at(start_mm)[0]]), np.zeros(0), False)
        points = points_on(self.segments, which, begin)
        final = points_on(self.segments, which[-1:], end[-1:])
        # whole segments keep their bulge to the last digit
        part = np.tan(self.segments.sweep_rad[which] * (end - begin) / 4.0)
        bulges = np.where((begin == 0.0) & (end == 1.0), self.bulges[which], part)
        return Path(np.vstack([points, final]), bulges, closed=False)

    def with_start(self, s_mm: float) -> Path:
        """Return the closed path begun at `s_mm` along it, running the same way."""
        if not self.closed:
            raise ValueError("only a closed path can begin elsewhere")
        lap = self.cut(s_mm, s_mm + self.length_mm)
        return Path(lap.points[:-1], lap.bulges)

    def flattened(self, tolerance_mm: float) -> NDArray[np.float64]:
        """Return points along the path whose chords stay within `tolerance_mm` of its arcs.

        Returns
        -------
        array of shape (m, 2)
            Points; a closed path does not repeat the first. [mm]
        """
        points, _ = flattened(self.segments, tolerance_mm)
        return points if self.closed else np.vstack([points, self.points[-1:]])


def flattened(
    segments: Segments, tolerance_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return points along segments whose chords stay within `tolerance_mm` of the arcs.

    Parameters
    ----------
    segments : Segments
        Any segments, those of many paths one behind the other too.
    tolerance_mm : float
        Chord error. [mm]

    Returns
    -------
    points : array of shape (m, 2)
        From the start of each segment on; the end of a segment is not among its points. [mm]
    which : int array of shape (m,)
        The segment of each point.
    """
    radius = np.where(segments.is_arc, segments.radius_mm, np.inf)
    ratio = np.clip(1.0 - tolerance_mm / radius, -1.0, 1.0)
    step = np.where(segments.is_arc, 2.0 * np.arccos(ratio), np.inf)
    count = np.maximum(np.ceil(np.abs(segments.sweep_rad) / step - 1e-9), 1).astype(np.intp)
    which = np.repeat(np.arange(len(segments)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(which)) - first) / count[which]
    return points_on(segments, which, share), which


def points_on(
    segments: Segments, which: NDArray[np.intp], share: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return points at a share (0 to 1) of the length of chosen segments, shape (m, 2). [mm]."""
    start, end = segments.start[which], segments.end[which]
    sweep = segments.sweep_rad[which]
    # the chord to the wanted point turns by half of the sweep still to come, and shrinks with it
    part = np.sinc(sweep * share / (2.0 * math.pi)) / np.sinc(sweep / (2.0 * math.pi)) * share
    turn = -sweep * (1.0 - share) / 2.0
    delta = end - start
    cos, sin = np.cos(turn) * part, np.sin(turn) * part
    turned = np.column_stack(
        [delta[:, 0] * cos - delta[:, 1] * sin, delta[:, 0] * sin + delta[:, 1] * cos]
    )
    return start + turned


def circle(centre_mm: tuple[float, float], radius_mm: float) -> Path:
    """Return a circle as two arcs, counter-clockwise, from its rightmost point."""
    x, y = centre_mm
    return Path(np.array([[x + radius_mm, y], [x - radius_mm, y]]), np.array([1.0, 1.0]))


def joined(paths: list[Path]) -> Path:
    """Return open paths that meet end to start as one open path."""
    points = np.vstack([paths[0].points[:1], *(p.points[1:] for p in paths)])
    return Path(points, np.concatenate([p.bulges for p in paths]), closed=False)
