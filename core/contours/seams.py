"""How two open ends are brought together: trimmed at a crossing, met at a corner, or bridged."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass

import numpy as np

from core.contours.feet import crossings, foot
from core.geometry.path import Path, Segments

SNAP_MM = 0.05
"""Gaps up to this are closed by moving both ends to their middle; wider ones get a line."""


class How(enum.Enum):
    """How a seam is made."""

    TRIMMED = "trimmed"
    CORNER = "corner"
    SNAPPED = "snapped"
    BRIDGED = "bridged"


@dataclass(frozen=True, slots=True)
class Seam:
    """A seam between the last segment of one path and the first of another.

    `at_mm` is where they meet; `gap_mm` how far apart the ends were.
    """

    how: How
    at_mm: tuple[float, float]
    gap_mm: float


def seam(before: Path, after: Path, reach_mm: float) -> Seam:
    """Return how the end of `before` and the start of `after` are best brought together.

    Parameters
    ----------
    before, after : Path
        Open paths; they may be the same one.
    reach_mm : float
        How far an end may be cut back, or drawn on, to a crossing. [mm]
    """
    one, two = before.segments, after.segments
    pair = Segments(
        np.array([one.start[-1], two.start[0]]),
        np.array([one.end[-1], two.end[0]]),
        np.array([one.bulge[-1], two.bulge[0]]),
    )
    end, start = pair.end[0], pair.start[1]
    gap = float(np.hypot(*(end - start)))
    middle = (end + start) / 2.0
    near = [
        point
        for point in crossings(pair, 0, 1)
        if max(_apart(point, end), _apart(point, start)) <= reach_mm
    ]
    if near:
        point = min(near, key=lambda p: _apart(p, middle))
        distance, share = foot(pair, np.array([0, 1]), np.array([point, point]))
        on_both = bool((distance <= 1e-6).all())
        if on_both and share[0] > 0.5 > share[1]:
            return Seam(How.TRIMMED, point, gap)
        if not pair.is_arc.any() and gap > SNAP_MM and _apart(point, middle) <= 2.0 * gap:
            return Seam(How.CORNER, point, gap)
    how = How.SNAPPED if gap <= SNAP_MM else How.BRIDGED
    return Seam(how, (float(middle[0]), float(middle[1])), gap)


def sewn(paths: list[Path], seams: list[Seam], closed: bool) -> Path:
    """Return open paths in a row as one path.

    Parameters
    ----------
    paths : list of Path
        Each begins where the one before it is to be left.
    seams : list of Seam
        One between each two, and a last one back to the first where the result is closed.
    """
    count = len(paths)
    cut = []
    for k, path in enumerate(paths):
        moved = _ended_at(path, seams[k]) if closed or k < count - 1 else path
        if closed or k > 0:
            moved = _ended_at(moved.reversed(), seams[k - 1]).reversed()
        cut.append(moved)
    points, bulges = [], []
    for k, path in enumerate(cut):
        goes_on = closed or k < count - 1
        bridged = goes_on and seams[k].how is How.BRIDGED
        points.append(path.points if bridged or not goes_on else path.points[:-1])
        bulges.append(np.append(path.bulges, 0.0) if bridged else path.bulges)
    return Path(np.concatenate(points), np.concatenate(bulges), closed)


def _ended_at(path: Path, made: Seam) -> Path:
    """Return an open path whose end is moved to a seam."""
    if made.how is How.BRIDGED:
        return path
    points, bulges = path.points.copy(), path.bulges.copy()
    if made.how is How.TRIMMED and bulges[-1] != 0.0:
        seg = path.segments
        last = np.array([len(seg) - 1])
        _, share = foot(seg, last, np.array([made.at_mm]))
        bulges[-1] = math.tan(float(seg.sweep_rad[-1]) * float(share[0]) / 4.0)
    points[-1] = made.at_mm
    return Path(points, bulges, closed=False)


def _apart(a: tuple[float, float], b: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    return math.hypot(a[0] - float(b[0]), a[1] - float(b[1]))
