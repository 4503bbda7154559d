"""Numbers as a person reads them: the user's units, a real minus, thin spaces in thousands.

The choice between millimetres and inches lives here and never reaches the core.
"""

from __future__ import annotations

import enum
import re

from core.explained import shown

THIN = "\u202f"
MINUS = "\u2212"
NONE = "\u2013"
_INCH_MM = 25.4


class Units(enum.StrEnum):
    """What lengths and speeds are shown in."""

    METRIC = "mm"
    INCH = "inch"


_INCH_OF: dict[str, tuple[str, float]] = {
    "mm": ("in", 1.0 / _INCH_MM),
    "mm/min": ("in/min", 1.0 / _INCH_MM),
    "mm/s": ("in/s", 1.0 / _INCH_MM),
    "m/min": ("ft/min", 1000.0 / _INCH_MM / 12.0),
    "mm2": ("in2", 1.0 / _INCH_MM**2),
    "mm²": ("in²", 1.0 / _INCH_MM**2),
}
_LENGTH = re.compile(r"(\d[\d \u202f]*(?:\.\d+)?)((?: x \d[\d.]*)?)\s(mm/min|mm)\b")
_THOUSANDS = re.compile(r"(?<=\d)[ \u2009\u00a0](?=\d{3}(?:\D|$))")


def shown_unit(unit: str, units: Units) -> str:
    """Return the unit in which a value of `unit` is shown."""
    return _INCH_OF[unit][0] if units is Units.INCH and unit in _INCH_OF else unit


def shown_value(value: float, unit: str, units: Units) -> float:
    """Return a value of `unit` in the unit in which it is shown."""
    return value * _INCH_OF[unit][1] if units is Units.INCH and unit in _INCH_OF else value


def tidy(text: str) -> str:
    """Return text with thin spaces in thousands and real minus signs before digits."""
    text = _THOUSANDS.sub(THIN, text)
    return re.sub(r"(?<![\w.)])-(?=\d)", MINUS, text)


def number(value: float | None) -> str:
    """Return a number with the digits that mean something, or a dash for "not known"."""
    return NONE if value is None else tidy(shown(value))


def amount(value: float | None, unit: str, units: Units) -> str:
    """Return a value without its unit, in the user's units."""
    return NONE if value is None else number(shown_value(value, unit, units))


def quantity(value: float | None, unit: str, units: Units) -> str:
    """Return a value with its unit, in the user's units.

    Examples
    --------
    >>> quantity(2683.0, "mm/min", Units.METRIC)
    '2\u202f683 mm/min'
    >>> quantity(6.35, "mm", Units.INCH)
    '0.250 in'
    """
    text = amount(value, unit, units)
    return text if value is None else f"{text} {shown_unit(unit, units)}".strip()


def signed(value: float | None) -> str:
    """Return a number with its sign."""
    if value is None:
        return NONE
    text = number(abs(value))
    return f"{MINUS if value < 0 else '+'}{text}"


def duration(seconds: float) -> str:
    """Return a time in the words of a shop.

    Examples
    --------
    >>> duration(42.3), duration(168.0), duration(5025.0)
    ('42.3 s', '2 min 48 s', '1 h 24 min')
    """
    if seconds < 59.95:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"


def in_units(text: str, units: Units) -> str:
    """Return a text of the core with its lengths in the user's units.

    Examples
    --------
    >>> in_units("6 mm, one edge", Units.INCH)
    '0.236 in, one edge'
    """
    if units is Units.METRIC:
        return tidy(text)
    return tidy(_LENGTH.sub(_length_in_inches, text))


def _length_in_inches(found: re.Match[str]) -> str:
    value = float(re.sub(r"[ \u202f]", "", found[1]))
    unit = found[3]
    second = found[2]
    if second:
        other = float(second.removeprefix(" x "))
        second = f" x {shown(other / _INCH_MM)}"
    return f"{shown(value / _INCH_MM)}{second} {shown_unit(unit, units=Units.INCH)}"
