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
from PySide6.QtGui import QColor

from app.views.strokes import BINS
from core.report.records import State

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from app.theme import Palette
    from core.report.records import PassReport

_STEP = 6.0 / BINS
"""Goodness at the limit of a scale: the border between two colours, not the middle of one."""
_TIGHT_SHARE = 0.1
_STATE_GOODNESS = {State.OUTSIDE: 0.0, State.TIGHT: 0.3, State.GOOD: 1.0}


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


def scale_for(paint: Paint, passes: Sequence[PassReport]) -> Scale:
    """Return the scale that fits the passes of a report."""
    if paint is Paint.CHIP:
        top = max((p.feed_per_tooth_mm for p in passes), default=0.0)
        thin = max((p.thin.below_mm for p in passes), default=0.0)
        return Scale(paint, "actual chip load", "mm", 0.0, top, thin if 0 < thin < top else None)
    if paint is Paint.SPEED:
        top = max((p.feed_speed_mm_min for p in passes), default=0.0)
        return Scale(paint, "speed along the path", "mm/min", 0.0, top)
    if paint is Paint.TEMPERATURE:
        return _temperature_scale(passes)
    return Scale(paint, "state of the pass", "", 0.0, 1.0)


def _temperature_scale(passes: Sequence[PassReport]) -> Scale:
    walls = [p.trace.wall_c for p in passes if p.trace.wall_c is not None and len(p.trace.wall_c)]
    low = min((float(np.nanmin(wall)) for wall in walls), default=0.0)
    high = max((float(np.nanmax(wall)) for wall in walls), default=0.0)
    heat = [x for p in passes for x in p.limits if x.name == "heat" and x.unit == "°C"]
    limit = min((x.limit for x in heat), default=None)
    if limit is None or limit <= low:
        return Scale(Paint.TEMPERATURE, "wall temperature", "°C", high, low)
    warm = limit - _TIGHT_SHARE * (limit - low)
    return Scale(Paint.TEMPERATURE, "wall temperature", "°C", max(high, limit), low, warm)


def values_of(paint: Paint, cut_pass: PassReport) -> NDArray[np.float64]:
    """Return the painted number at every sample of a pass; nan where it is not modelled."""
    trace = cut_pass.trace
    if paint is Paint.CHIP:
        return trace.feed_per_tooth_mm
    if paint is Paint.SPEED:
        return trace.speed_mm_min
    count = len(trace.xy_mm)
    if paint is Paint.TEMPERATURE:
        return np.full(count, np.nan) if trace.wall_c is None else trace.wall_c
    return np.full(count, _STATE_GOODNESS[cut_pass.state])


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
