"""The passes of a drawing as line segments, ready to be painted, coloured and hit.

Terms: a *stroke* is the straight piece between two samples of a trace. Strokes carry a colour
*bin*; bin 0 is the worst and is painted last, so that it lies on top. For every power of two of
the scale, strokes shorter than a pixel are joined (a *level*), keeping the worst bin among them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

import numpy as np
import shiboken6
from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QColor, QPen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from PySide6.QtGui import QPainter

    from core.report.records import Trace

BINS = 16
UNKNOWN = BINS
"""The bin of what is not modelled."""
_FINEST_LEVEL = -6
_THICK_UP_TO = 8000
"""Strokes on view up to which pens are 2 px wide; a 2-px pen costs ten times a 1-px one."""


@dataclass(frozen=True, eq=False, slots=True)
class _Level:
    lines: NDArray[np.float64]
    first: NDArray[np.intp]
    owner: NDArray[np.int32]


class Strokes:
    """All passes of one drawing.

    Parameters
    ----------
    traces : sequence of Trace
        One trace a pass, in drawing coordinates.
    """

    def __init__(self, traces: Sequence[Trace]) -> None:
        self.traces = tuple(traces)
        counts = np.array([len(trace.xy_mm) for trace in traces], dtype=np.intp)
        self.first_sample = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
        xy = np.concatenate([t.xy_mm for t in traces]) if len(traces) else np.zeros((0, 2))
        owner = np.repeat(np.arange(len(counts), dtype=np.int32), counts)
        joined = np.flatnonzero(owner[1:] == owner[:-1])
        self.sample = joined
        self.owner = owner[joined]
        self.lines = np.concatenate([xy[joined], xy[joined + 1]], axis=1)
        self.first_stroke = np.searchsorted(self.owner, np.arange(len(counts) + 1)).astype(np.intp)
        self.boxes = self._boxes()
        self._levels: dict[int, _Level] = {}
        self._sorted: tuple[object, NDArray[np.float64], list[int]] | None = None
        self.bins = np.full(len(self.lines), UNKNOWN, dtype=np.uint8)
        self.revision = 0

    def _boxes(self) -> NDArray[np.float64]:
        boxes = np.full((len(self.traces), 4), np.nan)
        for index in range(len(self.traces)):
            part = self.lines[self.first_stroke[index] : self.first_stroke[index + 1]]
            if len(part):
                x, y = part[:, [0, 2]], part[:, [1, 3]]
                boxes[index] = x.min(), y.min(), x.max(), y.max()
        return boxes

    def shares_geometry(self, traces: Sequence[Trace]) -> bool:
        """Return whether other traces lie on the same points: only colours differ then."""
        return len(traces) == len(self.traces) and all(
            new.xy_mm is old.xy_mm or np.array_equal(new.xy_mm, old.xy_mm)
            for new, old in zip(traces, self.traces, strict=True)
        )

    def set_goodness(self, goodness: NDArray[np.float64]) -> None:
        """Colour the strokes by samples of 0 (worst) to 1 (best); nan is not modelled."""
        worse = np.fmin(goodness[self.sample], goodness[self.sample + 1])
        known = np.isfinite(worse)
        scaled = np.clip(np.where(known, worse, 0.0) * BINS, 0, BINS - 1)
        self.bins = np.where(known, scaled, UNKNOWN).astype(np.uint8)
        self.revision += 1

    def paint(self, painter: QPainter, pens: Sequence[QPen]) -> None:
        """Draw everything with the painter's transform; one call a colour, the worst on top."""
        scale = math.hypot(painter.worldTransform().m11(), painter.worldTransform().m12())
        if not len(self.lines) or scale <= 0.0:
            return
        lines, counts = self._arranged(max(_FINEST_LEVEL, math.floor(math.log2(1.0 / scale))))
        address = lines.ctypes.data
        for bin_number, count in enumerate(counts):
            if count:
                painter.setPen(pens[UNKNOWN - bin_number])
                draw_lines(painter, address, count)
            address += count * lines.strides[0]

    def _arranged(self, level_number: int) -> tuple[NDArray[np.float64], list[int]]:
        """Return the lines of a level sorted by colour, the best first, and how many of each."""
        key = (level_number, self.revision)
        if self._sorted is None or self._sorted[0] != key:
            level = self._level(level_number)
            # the other way round: unknown 0, best 1, worst BINS
            bins = UNKNOWN - np.minimum.reduceat(self.bins, level.first)
            order = np.argsort(bins, kind="stable")
            counts = np.bincount(bins, minlength=BINS + 1).tolist()
            self._sorted = key, np.ascontiguousarray(level.lines[order]), counts
        return self._sorted[1], self._sorted[2]

    def _level(self, number: int) -> _Level:
        if number not in self._levels:
            length = np.hypot(
                self.lines[:, 2] - self.lines[:, 0], self.lines[:, 3] - self.lines[:, 1]
            )
            cell = np.floor(np.cumsum(length) / 2.0**number).astype(np.int64)
            begins = np.ones(len(cell), dtype=bool)
            begins[1:] = (cell[1:] != cell[:-1]) | (self.owner[1:] != self.owner[:-1])
            first = np.flatnonzero(begins)
            last = np.concatenate([first[1:] - 1, [len(cell) - 1]])
            lines = np.concatenate([self.lines[first, :2], self.lines[last, 2:]], axis=1)
            self._levels[number] = _Level(lines, first, self.owner[first])
        return self._levels[number]

    def width_px(self, copies: int = 1) -> int:
        """Return the width of pens that can be afforded."""
        return 2 if len(self.lines) * copies <= _THICK_UP_TO else 1

    def nearest(self, x_mm: float, y_mm: float, within_mm: float) -> tuple[int, int] | None:
        """Return the pass and the sample within it that lie nearest to a place, if any is near."""
        best, found = within_mm, None
        near = (
            (self.boxes[:, 0] - within_mm <= x_mm)
            & (x_mm <= self.boxes[:, 2] + within_mm)
            & (self.boxes[:, 1] - within_mm <= y_mm)
            & (y_mm <= self.boxes[:, 3] + within_mm)
        )
        for index in np.flatnonzero(near).tolist():
            begin, end = self.first_stroke[index], self.first_stroke[index + 1]
            distance, share = _distance(self.lines[begin:end], x_mm, y_mm)
            place = int(np.argmin(distance))
            if distance[place] <= best:
                best = float(distance[place])
                sample = int(self.sample[begin + place] - self.first_sample[index])
                found = index, sample + int(share[place] > 0.5)
        return found


def _distance(
    lines: NDArray[np.float64], x_mm: float, y_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the distance of a place from each line, and the share of the line where it is."""
    delta = lines[:, 2:] - lines[:, :2]
    to = np.array([x_mm, y_mm]) - lines[:, :2]
    square = np.maximum((delta**2).sum(axis=1), 1e-12)
    share = np.clip((to * delta).sum(axis=1) / square, 0.0, 1.0)
    off = to - delta * share[:, None]
    return np.hypot(off[:, 0], off[:, 1]), share


def draw_lines(painter: QPainter, address: int, count: int) -> None:
    """Draw lines that lie in numpy's memory, without copying them into Qt objects."""
    lines = cast("QLineF", shiboken6.wrapInstance(address, QLineF))
    painter.drawLines(lines, count)


def cosmetic_pen(colour: str, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Return a pen whose width is in pixels at every scale; flat caps are the fast ones."""
    pen = QPen(QColor(colour), width, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.BevelJoin)
    pen.setCosmetic(True)
    return pen
