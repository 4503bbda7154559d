"""The plan over time: which pass of which copy is cut at an instant, where, and how it goes there.

Times are those of the plan's motion, in the order of work. Between two passes nothing is cut; the
cutter is shown on the straight line between them, evenly, as lifts and ramps of the spindle are in
that time too.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.layout.order import placed
from core.report.traces import traces_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.geometry.path import Path
    from core.layout.records import Copy, OrderLine
    from core.pipeline import Results
    from core.plan.records import Toolpath


class Phase(enum.StrEnum):
    """What the cutter does."""

    BETWEEN = "between the passes"
    ENTERING = "on the way in"
    CUTTING = "cutting"
    LEAVING = "on the way out"


@dataclass(frozen=True, eq=False, slots=True)
class PassOverTime:
    """Numbers over the time of one main cut; arrays of n samples.

    Parameters
    ----------
    time_s, speed_mm_min, feed_per_tooth_mm : array of shape (n,)
        Time since the main cut began, speed and chip load reached.
    wall_c : array of shape (n,) or None
        Wall temperature; None where heat is not modelled.
    xy_mm : array of shape (n, 2)
        Cutter centre in the drawing.
    planned_speed_mm_min, planned_feed_per_tooth_mm, thin_below_mm : float
        What was planned, and below which chip load the chip is thin.
    """

    time_s: NDArray[np.float64]
    speed_mm_min: NDArray[np.float64]
    feed_per_tooth_mm: NDArray[np.float64]
    wall_c: NDArray[np.float64] | None
    xy_mm: NDArray[np.float64]
    planned_speed_mm_min: float
    planned_feed_per_tooth_mm: float
    thin_below_mm: float

    @property
    def whole_s(self) -> float:
        """Time of the main cut. [s]."""
        return float(self.time_s[-1]) if len(self.time_s) else 0.0


@dataclass(frozen=True, slots=True)
class Instant:
    """One instant of the plan.

    Parameters
    ----------
    line : int
        Which line of the order of work.
    phase : Phase
        What the cutter does.
    cut_s : float
        Time since the main cut of the line began; below 0 before it.
    at_mm : (float, float)
        Cutter centre on the sheet.
    in_drawing_mm : (float, float)
        The same in the drawing.
    speed_mm_min, feed_per_tooth_mm, wall_c : float or None
        What is reached; None where nothing is cut or it is not modelled.
    """

    line: int
    phase: Phase
    cut_s: float
    at_mm: tuple[float, float]
    in_drawing_mm: tuple[float, float]
    speed_mm_min: float | None = None
    feed_per_tooth_mm: float | None = None
    wall_c: float | None = None


class Timeline:
    """All lines of the order of work, one behind the other.

    Parameters
    ----------
    results : Results
        The plan.
    """

    def __init__(self, results: Results) -> None:
        self.results = results
        self.lines: tuple[OrderLine, ...] = results.order.lines
        which = np.array([line.pass_index for line in self.lines], dtype=np.intp)
        motion, paths = results.motion, [one.toolpath for one in results.plan.passes]
        entry = np.array([path.entry.length_mm for path in paths])
        both = entry + np.array([path.exit.length_mm for path in paths])
        share = np.divide(entry, both, out=np.ones_like(entry), where=both > 0.0)
        self.idle_s = np.asarray(results.between.idle_s)
        self.entry_s = (motion.entering_s * share)[which]
        self.exit_s = (motion.entering_s * (1.0 - share))[which]
        self.cutting_s = motion.cutting_s[which]
        spent = self.idle_s + self.entry_s + self.cutting_s + self.exit_s
        self.end_s = np.cumsum(spent)
        self.begin_s = self.end_s - spent
        contours = results.report.contours
        self._traces = traces_of(contours)
        self.places = {
            contours[row].passes.indices[place]: (row, place) for row, place in self._traces.places
        }
        self._samples = {index: k for k, index in enumerate(self.places)}

    @property
    def whole_s(self) -> float:
        """Time of the whole order. [s]."""
        return float(self.end_s[-1]) if len(self.end_s) else 0.0

    def cut_begins_s(self, line: int) -> float:
        """Return when the main cut of a line begins. [s]."""
        return float(self.begin_s[line] + self.idle_s[line] + self.entry_s[line])

    def path(self, line: int) -> Toolpath:
        """Return the toolpath of a line."""
        return self.results.plan.passes[self.lines[line].pass_index].toolpath

    def copy(self, line: int) -> Copy:
        """Return the copy that a line cuts."""
        one = self.lines[line]
        return self.results.layout.sheets[one.sheet].copies[one.copy]

    def over_time(self, line: int) -> PassOverTime:
        """Return the numbers over the time of a line's main cut."""
        index = self.lines[line].pass_index
        traces, k, along = self._traces, self._samples[index], self.results.motion.along
        part = slice(int(traces.first[k]), int(traces.first[k + 1]))
        mine = slice(int(along.first[index]), int(along.first[index + 1]))
        return PassOverTime(
            time_s=along.time_s[mine],
            speed_mm_min=traces.speed_mm_min[part],
            feed_per_tooth_mm=traces.feed_per_tooth_mm[part],
            wall_c=traces.walls_c[k],
            xy_mm=traces.xy_mm[part],
            planned_speed_mm_min=float(traces.planned_speed_mm_min[k]),
            planned_feed_per_tooth_mm=float(traces.planned_feed_per_tooth_mm[k]),
            thin_below_mm=float(traces.thin_below_mm[k]),
        )

    def line_at(self, time_s: float) -> int:
        """Return the line that is worked on at a time."""
        at = int(np.searchsorted(self.end_s, time_s, side="right"))
        return min(at, len(self.lines) - 1)

    def first_line_of(self, pass_index: int, sheet: int) -> int | None:
        """Return the first line of a pass, on that sheet if it is cut there."""
        lines = [k for k, one in enumerate(self.lines) if one.pass_index == pass_index]
        return next((k for k in lines if self.lines[k].sheet == sheet), lines[0] if lines else None)

    def at(self, time_s: float) -> Instant:
        """Return the instant at a time from the beginning. [s]."""
        line = self.line_at(time_s)
        since = min(max(time_s - float(self.begin_s[line]), 0.0), float(self.end_s[line]))
        cut_s = time_s - self.cut_begins_s(line)
        path, idle = self.path(line), float(self.idle_s[line])
        if since < idle:
            return self._between(line, since / idle, cut_s)
        if cut_s < 0.0:
            way = (since - idle) / float(self.entry_s[line]) * path.entry.length_mm
            at = (
                path.entry.point_and_heading_at(way)[0] if len(path.entry.bulges) else _end(path, 0)
            )
            return self._instant(line, Phase.ENTERING, cut_s, at)
        if cut_s <= float(self.cutting_s[line]):
            return self._cutting(line, cut_s)
        left = cut_s - float(self.cutting_s[line])
        way = left / float(self.exit_s[line]) * path.exit.length_mm if self.exit_s[line] else 0.0
        at = _on(path.exit, way) or _end(path, -1)
        return self._instant(line, Phase.LEAVING, cut_s, at)

    def _instant(
        self, line: int, phase: Phase, cut_s: float, at_mm: tuple[float, float]
    ) -> Instant:
        x, y = placed(np.array(at_mm), self.copy(line)).tolist()
        return Instant(line, phase, cut_s, (x, y), (float(at_mm[0]), float(at_mm[1])))

    def _between(self, line: int, share: float, cut_s: float) -> Instant:
        here = self._instant(line, Phase.BETWEEN, cut_s, _first(self.path(line)))
        if line == 0 or self.lines[line - 1].sheet != self.lines[line].sheet:
            return here
        before = placed(np.array(_end(self.path(line - 1), -1)), self.copy(line - 1))
        x, y = (before + share * (np.array(here.at_mm) - before)).tolist()
        return Instant(line, Phase.BETWEEN, cut_s, (x, y), here.in_drawing_mm)

    def _cutting(self, line: int, cut_s: float) -> Instant:
        one = self.over_time(line)

        def now(values: NDArray[np.float64]) -> float:
            return float(np.interp(cut_s, one.time_s, values))

        at = (now(one.xy_mm[:, 0]), now(one.xy_mm[:, 1]))
        x, y = placed(np.array(at), self.copy(line)).tolist()
        return Instant(
            line=line,
            phase=Phase.CUTTING,
            cut_s=cut_s,
            at_mm=(x, y),
            in_drawing_mm=at,
            speed_mm_min=now(one.speed_mm_min),
            feed_per_tooth_mm=now(one.feed_per_tooth_mm),
            wall_c=None if one.wall_c is None else now(one.wall_c),
        )


def _on(way: Path, s_mm: float) -> tuple[float, float] | None:
    """Return the place on a way in or out; None where there is none."""
    return way.point_and_heading_at(s_mm)[0] if len(way.bulges) else None


def _first(path: Toolpath) -> tuple[float, float]:
    return _end(path, 0) if not len(path.entry.bulges) else _point(path.entry.points[0])


def _end(path: Toolpath, which: int) -> tuple[float, float]:
    """Return where the main cut begins (0), or where the trip ends (-1)."""
    way = path.exit if which and len(path.exit.bulges) else path.cut
    return _point(way.points[0] if way.closed else way.points[which])


def _point(at: NDArray[np.float64]) -> tuple[float, float]:
    return float(at[0]), float(at[1])
