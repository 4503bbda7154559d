"""Numbers as people read them: metric or inch, thin spaces, a real minus, few digits.

The choice between metric and inch belongs to what shows a number; nothing is computed in it.
"""

from __future__ import annotations

import enum
import math

from core.units.words import convert

THIN_SPACE, MINUS = "\u2009", "\u2212"

_INCH = {
    **{"mm": "in", "µm": "thou", "m": "ft", "mm2": "in2", "m2": "ft2", "mm3": "in3"},
    **{"mm/min": "in/min", "mm/s": "in/s", "m/min": "ft/min", "mm3/s": "in3/min"},
}
_MOST_DECIMALS = {
    **{"mm": 3, "in": 4, "µm": 1, "thou": 2, "mm/min": 0, "in/min": 1, "rpm": 0, "mm2": 0},
    **{"°C": 0, "K": 0, "W": 0, "mm/s": 1, "s": 1, "m": 2, "": 3},
}


class UnitSystem(enum.StrEnum):
    """In which units a person reads lengths and speeds."""

    METRIC = "metric"
    INCH = "inch"


def in_system(value: float, unit: str, system: UnitSystem) -> tuple[float, str]:
    """Return a value and its unit word in `system`; what has no inch form stays as it is.

    Examples
    --------
    >>> in_system(25.4, "mm", UnitSystem.INCH)
    (1.0, 'in')
    """
    other = _INCH.get(unit)
    if system is UnitSystem.METRIC or other is None:
        return value, unit
    return convert(value, unit, other), other


def number(value: float, most_decimals: int = 2) -> str:
    """Return a number with at most five digits that count, and thin spaces between thousands.

    Examples
    --------
    >>> number(18000.0), number(-2.5), number(0.000436)
    ('18\u2009000', '\u22122.5', '0.00044')
    """
    if math.isnan(value):
        return "unknown"
    if math.isinf(value):
        return "no limit" if value > 0 else f"{MINUS}no limit"
    size = abs(value)
    before = math.floor(math.log10(size)) + 1 if size > 0.0 else 1
    decimals = min(max(5 - before, 0), most_decimals)
    if 0.0 < size < 0.5 * 10.0**-most_decimals:
        decimals = min(2 - before, 12)
    text = f"{size:,.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    sign = MINUS if value < 0.0 and text != "0" else ""
    return sign + text.replace(",", THIN_SPACE)


def show(value: float, unit: str, system: UnitSystem = UnitSystem.METRIC) -> str:
    """Return a quantity as shown: number, space, unit.

    Parameters
    ----------
    value : float
        The magnitude in `unit`.
    unit : str
        A unit word ("mm", "mm/min", "rpm").
    system : UnitSystem
        Metric, or inch for lengths and speeds.

    Examples
    --------
    >>> show(0.3302, "mm", UnitSystem.INCH), show(5943.6, "mm/min", UnitSystem.INCH)
    ('0.013 in', '234 in/min')
    """
    value, unit = in_system(value, unit, system)
    return f"{number(value, _MOST_DECIMALS.get(unit, 2))} {unit}".rstrip()


def duration(seconds: float) -> str:
    """Return a time as a person says it.

    Examples
    --------
    >>> duration(7.26), duration(168.0), duration(3725.0)
    ('7.3 s', '2 min 48 s', '1 h 2 min')
    """
    if seconds < 59.95:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"
