"""What one drawing unit is: what the file says, weighed against what it shows.

Each candidate unit is scored in natural-log odds: the file's own statement, the overall size, the
diameters of full circles (most are screw holes), and how round the numbers are in mm and in inch.
A statement is usually right; but of 76 public drawings that state a unit 4 state a wrong one, so a
statement that makes every hole as big as a plate is overruled, and asked about.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.records import DrawingUnit
from core.errors import Finding, Severity

if TYPE_CHECKING:
    from numpy.typing import NDArray

MM_PER_INSUNITS = {
    1: (25.4, "inch"),
    2: (304.8, "foot"),
    4: (1.0, "mm"),
    5: (10.0, "cm"),
    6: (1000.0, "m"),
    8: (25.4e-6, "microinch"),
    9: (0.0254, "mil"),
    10: (914.4, "yard"),
    13: (0.001, "micrometre"),
    14: (100.0, "dm"),
}
"""$INSUNITS of the published DXF reference: mm per unit, and the unit's name."""

UNSTATED = {1.0: 2.0, 25.4: 0.0, 10.0: -4.0, 1000.0: -5.0}
"""Log odds without a statement: of 41 public drawings that state none 36 are mm and 5 inch."""

STATED = 4.0
"""Log odds of a stated unit: 72 of 76 public drawings state the right one, and e^3 is 20."""

OVERRULED = 3.0
"""The shown has to beat the stated by this much to be preferred."""

CLEAR = 2.0
"""Less than this between the best two is worth asking about."""

LARGEST_SHEET_MM = 3300.0
SMALLEST_PART_MM = 5.0
"""Beyond these an overall size is asked about (common practice, no source)."""

NAMES = dict(MM_PER_INSUNITS.values())


@dataclass(frozen=True, eq=False)
class Shown:
    """What a drawing shows, in drawing units.

    Parameters
    ----------
    size : (float, float)
        Width and height of everything.
    diameters : array of shape (k,)
        Diameters of full circles.
    insunits, measurement : int or None
        $INSUNITS and $MEASUREMENT as the file itself states them.
    """

    size: tuple[float, float]
    diameters: NDArray[np.float64]
    insunits: int | None
    measurement: int | None


def unit_of(
    shown: Shown, user_mm_per_unit: float | None
) -> tuple[DrawingUnit, tuple[Finding, ...]]:
    """Return the unit, with its reason, and what has to be asked."""
    if user_mm_per_unit is not None:
        unit = DrawingUnit(user_mm_per_unit, "user", "given by you")
        return unit, _size_findings(shown, unit)
    stated = MM_PER_INSUNITS.get(shown.insunits or 0)
    scores = _scores(shown, stated[0] if stated else None)
    best = max(scores, key=lambda scale: scores[scale])
    if stated is None:
        unit, findings = _guessed(shown, scores, best)
    else:
        unit, findings = _weighed(shown, scores, best, stated)
    return unit, findings + _size_findings(shown, unit)


def _scores(shown: Shown, stated: float | None) -> dict[float, float]:
    """Return the log odds of each candidate."""
    scores = dict(UNSTATED)
    if stated is not None:
        scores[stated] = scores.get(stated, -5.0) + STATED
    if shown.measurement in (0, 1):
        scores[25.4 if shown.measurement == 0 else 1.0] += 0.7
    for scale in scores:
        scores[scale] += _size_odds(max(shown.size) * scale) + _hole_odds(shown.diameters * scale)
    for_mm, for_inch = _roundness(shown)
    scores[1.0] += for_mm
    scores[25.4] += for_inch
    return scores


def _size_odds(size_mm: float) -> float:
    """Return how likely a drawing is this large: most lie between 30 mm and a sheet."""
    if size_mm <= 0.0:
        return 0.0
    off = math.log(size_mm / 300.0) / (1.3 if size_mm < 300.0 else 0.9)
    return max(-0.5 * off * off, -6.0)


def _hole_odds(diameters_mm: NDArray[np.float64]) -> float:
    """Return how likely holes are this large: most take screws and pins around 6 mm."""
    if not len(diameters_mm):
        return 0.0
    different = np.unique(np.round(diameters_mm, 3))
    off = np.log(np.maximum(different, 1e-9) / 6.0) / 1.1
    typical = float(np.maximum(-0.5 * off * off, -3.0).mean())
    return typical * min(len(different), 3)


def _roundness(shown: Shown) -> tuple[float, float]:
    """Return log odds for mm and for inch from numbers that are round in one and not the other."""
    values = np.unique(np.round(np.concatenate([shown.size, shown.diameters]), 6))
    values = values[(values > 1e-3) & (values < 1e5)][:50]
    if not len(values):
        return 0.0, 0.0
    plain = _multiple(values, 0.01)
    # 16.1417 is 410 mm written in inch; 114.3 is 4.5 inch written in mm
    metric_in_inch = ~plain & _multiple(values * 25.4, 0.5)
    inch_in_metric = ~_multiple(values, 0.5) & _multiple(values / 25.4, 1.0 / 32.0)
    fraction = (values < 50.0) & ~_multiple(values, 0.1) & _multiple(values, 1.0 / 16.0)
    for_inch = float((metric_in_inch | fraction).mean())
    for_mm = float((inch_in_metric & ~fraction).mean())
    return 2.0 * for_mm, 2.0 * for_inch


def _multiple(values: NDArray[np.float64], of: float) -> NDArray[np.bool_]:
    return np.abs(values / of - np.round(values / of)) * of < 2e-4


def _guessed(
    shown: Shown, scores: dict[float, float], best: float
) -> tuple[DrawingUnit, tuple[Finding, ...]]:
    reason = f"the file states no unit; in {NAMES[best]} {_looks(shown, best)}"
    unit = DrawingUnit(best, "guess", reason)
    second = sorted(scores.values())[-2]
    sure = "" if scores[best] - second > CLEAR else " It could well be another."
    return unit, (
        Finding(
            "unit-missing",
            Severity.TIGHT,
            f"The drawing states no unit. Read in {NAMES[best]}: {_looks(shown, best)}.{sure} "
            "Compare the overall size, or give the unit.",
        ),
    )


def _weighed(
    shown: Shown, scores: dict[float, float], best: float, stated: tuple[float, str]
) -> tuple[DrawingUnit, tuple[Finding, ...]]:
    scale, name = stated
    lead = scores[best] - scores[scale]
    if lead > OVERRULED:
        reason = f"the file says {name}, but then {_looks(shown, scale)}; in {NAMES[best]} "
        reason += _looks(shown, best)
        return DrawingUnit(best, "guess", reason), (_doubtful(Severity.TIGHT, reason),)
    others = max(score for other, score in scores.items() if other != scale)
    reason = f"the file says {name}: {_looks(shown, scale)}"
    unit = DrawingUnit(scale, "header", reason)
    if scores[scale] - others < CLEAR:
        return unit, (_doubtful(Severity.TIGHT, reason),)
    metric = {1.0: 1, 10.0: 1, 100.0: 1, 1000.0: 1, 25.4: 0, 304.8: 0, 914.4: 0}.get(scale)
    if shown.measurement in (0, 1) and metric is not None and metric != shown.measurement:
        system = "metric" if shown.measurement else "inch"
        return unit, (_doubtful(Severity.NOTE, f"{reason}, though its defaults are {system}"),)
    return unit, ()


def _doubtful(severity: Severity, reason: str) -> Finding:
    return Finding(
        "unit-doubtful",
        severity,
        f"The unit is in doubt: {reason}. Compare the overall size, or give the unit.",
    )


def _looks(shown: Shown, scale: float) -> str:
    """Return in words what the drawing looks like at a scale."""
    width, height = (f"{side * scale:.4g}" for side in shown.size)
    words = f"it is {width} × {height} mm"
    if len(shown.diameters):
        middle = float(np.median(shown.diameters)) * scale
        words += f" and its middle hole is ø {middle:.3g} mm"
    return words


def _size_findings(shown: Shown, unit: DrawingUnit) -> tuple[Finding, ...]:
    width, height = (side * unit.mm_per_unit for side in shown.size)
    largest = max(width, height)
    if largest <= 0.0 or SMALLEST_PART_MM <= largest <= LARGEST_SHEET_MM:
        return ()
    what = "larger than any sheet" if largest > LARGEST_SHEET_MM else "smaller than a fingernail"
    return (
        Finding(
            "size-doubtful",
            Severity.TIGHT,
            f"Overall {width:.4g} × {height:.4g} mm is {what}: "
            "check the unit, and whether something lies far from the part.",
        ),
    )
