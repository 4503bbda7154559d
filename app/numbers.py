"""Numbers as the window shows them, over core's own: the user's units, signs, times.

The choice between metric and inch lives in the window and never reaches the computation.
"""

from __future__ import annotations

import re

from core.units import UnitSystem, in_system, show

NONE = "\u2013"
_MINUS = "\u2212"
_NARROW = "\u202f"
"""A thin space that no line is broken at."""
_LENGTH = re.compile(r"(\d[\d \u2009\u202f]*(?:\.\d+)?)\s(mm/min|mm)\b")
_POWER = re.compile(r"\b(mm|cm|m|in|ft)([23])\b")
_THOUSANDS = re.compile(r"(?<=\d) (?=\d{3}(?:\D|$))")


def tidy(text: str) -> str:
    """Return text with thin spaces in thousands, real minus signs and raised powers of units."""
    text = _THOUSANDS.sub(_NARROW, text).replace("\u2009", _NARROW)
    text = _POWER.sub(_raised, text)
    return re.sub(r"(?<![\w.)\-])-(?=\d)", _MINUS, text)


def _raised(found: re.Match[str]) -> str:
    return found[1] + {"2": "\u00b2", "3": "\u00b3"}[found[2]]


def shown_unit(unit: str, system: UnitSystem) -> str:
    """Return the unit in which a value of `unit` is shown."""
    return in_system(0.0, unit, system)[1]


def quantity(value: float | None, unit: str, system: UnitSystem) -> str:
    """Return a value with its unit, or a dash for "not known"."""
    return NONE if value is None else tidy(show(value, unit, system))


def amount(value: float | None, unit: str, system: UnitSystem) -> str:
    """Return a value without its unit, for columns whose head names it."""
    return quantity(value, unit, system).removesuffix(tidy(shown_unit(unit, system))).strip()


def signed(value: float | None, unit: str, system: UnitSystem) -> str:
    """Return a change with its sign and unit."""
    if value is None:
        return NONE
    return f"{_MINUS if value < 0 else '+'}{tidy(show(abs(value), unit, system))}"


def clock(seconds: float) -> str:
    """Return a time as minutes and seconds, for columns.

    Examples
    --------
    >>> clock(770.4), clock(7.6)
    ('12:50', '0:08')
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def in_units(text: str, system: UnitSystem) -> str:
    """Return a text of the core with its lengths and speeds in the user's units.

    Examples
    --------
    >>> in_units("6 mm, one edge", UnitSystem.INCH)
    '0.2362 in, one edge'
    """
    if system is UnitSystem.METRIC:
        return tidy(text)
    return tidy(_LENGTH.sub(_length_in_inches, text))


def _length_in_inches(found: re.Match[str]) -> str:
    value = float(re.sub(r"[ \u2009\u202f]", "", found[1]))
    return show(value, found[2], UnitSystem.INCH)
