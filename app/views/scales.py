"""How a number along the path becomes a colour: the four ways of painting, with their legends.

A scale turns samples into *goodness* between 0 (worst) and 1 (best). The colours run from the line
colour of "outside" over "tight" and "fair" to "good"; the limit of a scale, where there is one, is
the step between "tight" and "fair".
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPen

from app.views.strokes import BINS, cosmetic_pen

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from app.theme import Palette
    from core.report.traces import Traces

_STEP = 6.0 / BINS
"""Goodness at the limit of a scale: the border between two colours, not the middle of one."""
_TIGHT_SHARE = 0.1
_STATE_GOODNESS = np.array([1.0, 0.3, 0.0])
"""Goodness of the states good, tight, outside."""


class Paint(enum.StrEnum):
    """What the path is painted by."""

    CHIP = "chip load"
    SPEED = "speed"
    TEMPERATURE = "temperature"
    STATE = "state"


@dataclass(frozen=True, slots=True)
class Scale:
    """One way of painting, made for the passes of a report.

    Parameters
    ----------
    paint : Paint
        What is painted.
    title : str
        What the legend says.
    unit : str
        Unit of the numbers.
    worst, best : float
        The values at goodness 0 and 1; worst may be the greater one.
    limit : float or None
        Where the trouble begins.
    """

    paint: Paint
    title: str
    unit: str
    worst: float
    best: float
    limit: float | None = None

    def goodness(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return 0 (worst) to 1 (best) for values of the scale."""
        if self.worst == self.best:
            return np.where(np.isfinite(values), 1.0, np.nan)
        share = (values - self.worst) / (self.best - self.worst)
        if self.limit is None:
            return np.clip(share, 0.0, 1.0)
        at = (self.limit - self.worst) / (self.best - self.worst)
        below = share / max(at, 1e-9) * _STEP
        above = _STEP + (share - at) / max(1.0 - at, 1e-9) * (1 - _STEP)
        return np.clip(np.where(share < at, below, above), 0.0, 1.0)


def scale_for(paint: Paint, traces: Sequence[Traces], softening_c: float | None) -> Scale:
    """Return the scale that fits the passes of a report.

    Parameters
    ----------
    paint : Paint
        What is painted.
    traces : sequence of Traces
        The passes, those of each drawing together.
    softening_c : float or None
        Where the wall softens, if heat is modelled. [°C]
    """
    if paint is Paint.CHIP:
        top = max((_top(one.planned_feed_per_tooth_mm) for one in traces), default=0.0)
        thin = max((_top(one.thin_below_mm) for one in traces), default=0.0)
        return Scale(paint, "actual chip load", "mm", 0.0, top, thin if 0 < thin < top else None)
    if paint is Paint.SPEED:
        top = max((_top(one.planned_speed_mm_min) for one in traces), default=0.0)
        return Scale(paint, "speed along the path", "mm/min", 0.0, top)
    if paint is Paint.TEMPERATURE:
        return _temperature_scale(traces, softening_c)
    return Scale(paint, "state of the pass", "", 0.0, 1.0)


def _top(values: NDArray[np.float64]) -> float:
    return float(values.max(initial=0.0))


def _temperature_scale(traces: Sequence[Traces], limit: float | None) -> Scale:
    known = [one.wall_c[np.isfinite(one.wall_c)] for one in traces]
    low = min((float(wall.min()) for wall in known if len(wall)), default=0.0)
    high = max((float(wall.max()) for wall in known if len(wall)), default=0.0)
    if limit is None or limit <= low:
        return Scale(Paint.TEMPERATURE, "wall temperature", "°C", high, low)
    warm = limit - _TIGHT_SHARE * (limit - low)
    return Scale(Paint.TEMPERATURE, "wall temperature", "°C", max(high, limit), low, warm)


def values_of(paint: Paint, traces: Traces) -> NDArray[np.float64]:
    """Return the painted number at every sample; nan where it is not modelled."""
    if paint is Paint.CHIP:
        return traces.feed_per_tooth_mm
    if paint is Paint.SPEED:
        return traces.speed_mm_min
    if paint is Paint.TEMPERATURE:
        return traces.wall_c
    return np.repeat(_STATE_GOODNESS[traces.state], np.diff(traces.first))


def ramp(colours: Palette, is_state: bool) -> list[str]:
    """Return the colour of every bin, the worst first, and last the one of "not modelled"."""
    line = colours.line
    if is_state:
        edge = int(0.3 * BINS) + 1
        steps = [line["outside"]] + [line["tight"]] * (edge - 1) + [line["good"]] * (BINS - edge)
        return [*steps, colours.border]
    warm, cold = int(_STEP * BINS), BINS - int(_STEP * BINS)
    return [
        *_between(line["outside"], line["tight"], warm),
        *_between(line["fair"], line["good"], cold),
        colours.border,
    ]


def _between(first: str, last: str, count: int) -> list[str]:
    """Return colours from one to another, mixed in sRGB."""
    one, two = QColor(first), QColor(last)
    mixed = []
    for index in range(count):
        share = index / max(count - 1, 1)
        red, green, blue = (
            round(a + (b - a) * share)
            for a, b in (
                (one.red(), two.red()),
                (one.green(), two.green()),
                (one.blue(), two.blue()),
            )
        )
        mixed.append(QColor(red, green, blue).name())
    return mixed


def pens(paint: Paint, colours: Palette, width: int, ratio: float) -> list[QPen]:
    """Return the pen of every bin, the worst first, and last the one of "not modelled".

    Parameters
    ----------
    paint : Paint
        What is painted; states differ by width and style too, never by colour alone.
    colours : Palette
        The colours in force.
    width : int
        Width that can be afforded; 1 keeps every pen at one pixel of the device.
    ratio : float
        Pixels of the device for one of the window: cosmetic pens count in the former.
    """
    is_state = paint is Paint.STATE
    steps = ramp(colours, is_state)
    if width == 1:
        return [cosmetic_pen(colour, 1) for colour in steps]
    if not is_state:
        return [cosmetic_pen(colour, width * ratio) for colour in steps]
    styles = {
        colours.line["outside"]: (5.0, Qt.PenStyle.SolidLine),
        colours.line["tight"]: (4.0, Qt.PenStyle.DashLine),
    }
    plain = (float(width), Qt.PenStyle.SolidLine)
    chosen = [(colour, *styles.get(colour, plain)) for colour in steps]
    return [cosmetic_pen(colour, wide * ratio, style) for colour, wide, style in chosen]
