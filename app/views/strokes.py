"""The passes of a drawing as line segments, ready to be painted, coloured and hit.

Terms: a *stroke* is the straight piece between two samples of a trace. Strokes carry a colour
*bin*; bin 0 is the worst and is painted last, so that it lies on top. For every power of two of
the scale, strokes shorter than a pixel are joined (a *level*), keeping the worst bin among them.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, cast

import numpy as np
import shiboken6
from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QColor, QPen

from app.views.reach import Reach, arc_pieces

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from PySide6.QtGui import QPainter

    from core.report.traces import Traces

BINS = 16
UNKNOWN = BINS
"""The bin of what is not modelled."""
_FINEST_LEVEL = -6
_REVISIONS = itertools.count(1)
"""Two pictures of different strokes or colours never share a number."""
_TOLERANCE_PX = 0.3
"""How far the pieces of an arc may be off. [px]."""
_THICK_UP_TO = 8000
"""Strokes on view up to which pens are 2 px wide; a 2-px pen costs ten times a 1-px one."""


@dataclass(frozen=True, eq=False, slots=True)
class _Level:
    """Lines of one scale: line i joins pieces from `first[i]` on; piece j is of stroke `of[j]`."""

    lines: NDArray[np.float64]
    first: NDArray[np.intp]
    of: NDArray[np.intp]


class Strokes:
    """All passes of one drawing.

    Parameters
    ----------
    traces : Traces
        The samples of all passes, in drawing coordinates.
    """

    def __init__(self, traces: Traces) -> None:
        self.traces = traces
        count = len(traces.first) - 1
        owner = np.repeat(np.arange(count, dtype=np.int32), np.diff(traces.first))
        self.sample = np.flatnonzero(owner[1:] == owner[:-1])
        self.owner = owner[self.sample]
        self._levels: dict[int, _Level] = {}
        self._sorted: tuple[object, NDArray[np.float64], list[int]] | None = None
        self.bins = np.full(len(self.sample), UNKNOWN, dtype=np.uint8)
        self.revision = next(_REVISIONS)

    def __len__(self) -> int:
        return len(self.sample)

    def set_goodness(self, goodness: NDArray[np.float64]) -> None:
        """Colour the strokes by samples of 0 (worst) to 1 (best); nan is not modelled."""
        worse = np.fmin(goodness[self.sample], goodness[self.sample + 1])
        known = np.isfinite(worse)
        scaled = np.clip(np.where(known, worse, 0.0) * BINS, 0, BINS - 1)
        self.bins = np.where(known, scaled, UNKNOWN).astype(np.uint8)
        self.revision = next(_REVISIONS)

    def paint(self, painter: QPainter, pens: Sequence[QPen]) -> None:
        """Draw everything with the painter's transform; one call a colour, the worst on top."""
        scale = math.hypot(painter.worldTransform().m11(), painter.worldTransform().m12())
        if not len(self) or scale <= 0.0:
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
            bins = UNKNOWN - np.minimum.reduceat(self.bins[level.of], level.first)
            order = np.argsort(bins, kind="stable")
            counts = np.bincount(bins, minlength=BINS + 1).tolist()
            self._sorted = key, np.ascontiguousarray(level.lines[order]), counts
        return self._sorted[1], self._sorted[2]

    def _level(self, number: int) -> _Level:
        if number not in self._levels:
            lines, of = arc_pieces(self.traces, self.sample, _TOLERANCE_PX * 2.0**number)
            length = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
            cell = np.floor(np.cumsum(length) / 2.0**number).astype(np.int64)
            owner = self.owner[of]
            begins = np.ones(len(cell), dtype=bool)
            begins[1:] = (cell[1:] != cell[:-1]) | (owner[1:] != owner[:-1])
            # a piece that shows as more than a pixel keeps its own colour
            shows = length > 2.0**number
            begins[1:] |= shows[1:] | shows[:-1]
            first = np.flatnonzero(begins)
            last = np.concatenate([first[1:] - 1, [len(cell) - 1]])
            joined = np.concatenate([lines[first, :2], lines[last, 2:]], axis=1)
            self._levels[number] = _Level(joined, first, of)
        return self._levels[number]

    def width_px(self, copies: int = 1) -> int:
        """Return the width of pens that can be afforded."""
        return 2 if len(self) * copies <= _THICK_UP_TO else 1

    @cached_property
    def reach(self) -> Reach:
        """Return what finds the stroke under a pointer; made when something is first hovered."""
        return Reach(self)

    def nearest(self, x_mm: float, y_mm: float, within_mm: float) -> tuple[int, int] | None:
        """Return the pass and the sample within it that lie nearest to a place, if any is near."""
        return self.reach.nearest(x_mm, y_mm, within_mm) if len(self) else None


def draw_lines(painter: QPainter, address: int, count: int) -> None:
    """Draw lines that lie in numpy's memory, without copying them into Qt objects."""
    lines = cast("QLineF", shiboken6.wrapInstance(address, QLineF))
    painter.drawLines(lines, count)


def cosmetic_pen(colour: str, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Return a pen whose width is in pixels at every scale; flat caps are the fast ones."""
    pen = QPen(QColor(colour), width, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.BevelJoin)
    pen.setCosmetic(True)
    return pen
