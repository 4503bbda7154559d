"""The quantity grammar: what people type, as a float. Bounded in time, and never anything else.

Never pint's own reader: it takes "1,5 mm" for 15 mm and "1 1/4 in" for a quarter of an inch.

    sum      := term (("+" | "-") term)*
    term     := quantity (("x" | "*" | "×") quantity | "/" quantity)*
    quantity := sign? number unit?
    number   := mixed | fraction | decimal        "1 1/4", "3/8", "6.35", "6,35", "18 000"

Bare numbers of a sum take the unit of its last term; where no term has one, the unit that is
wanted. One factor of a product has a unit, and no divisor has.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from core.errors import UnitError
from core.units.words import WORDS, convert, kind_of

_UNIT = re.compile(
    "|".join(
        re.escape(word) + (r"(?![^\W\d_])" if word[-1].isalnum() else "")
        for word in sorted(filter(None, WORDS), key=len, reverse=True)
    )
)
_SPACE = "[ \u00a0\u2009\u202f]"
_NUMBER = re.compile(
    rf"""(?: (?P<whole>\d{{1,15}}){_SPACE}+ (?=[1-9]\d*\s*/\s*\d) )?
         (?: (?P<top>\d{{1,15}})\s*/\s*(?P<bottom>\d{{1,15}}) (?![\d.,]|/min)
           | (?P<groups>\d{{1,3}} (?:{_SPACE}\d{{3}})+ (?:[.,]\d+)?) (?![\d.,])
           | (?P<decimal>[\d.,]{{1,24}}) )""",
    re.VERBOSE | re.ASCII,
)
_GROUPED = re.compile(r"(?P<whole>[1-9]\d{0,2}(?:([.,])\d{3})(?:\2\d{3})*)(?P<rest>[.,]\d*)?")
_PLAIN = re.compile(r"\d+\.?|\d*[.,]\d+", re.ASCII)
_LONGEST, _LARGEST, _MOST_STEPS = 200, 1e12, 16
_MINUS = str.maketrans({"−": "-", "\t": " "})


@dataclass(frozen=True, slots=True)
class _Quantity:
    value: float
    word: str | None


def _decimal(text: str) -> float:
    """Read digits with one kind of decimal mark; refuse what can be read two ways."""
    grouped = _GROUPED.fullmatch(text)
    if grouped is not None:
        whole, rest, mark = grouped["whole"], grouped["rest"] or "", grouped[2]
        marks = whole.count(mark)
        if rest[:1] != mark and (marks > 1 or (rest and marks == 1)):
            return float(whole.replace(mark, "") + rest.replace(",", "."))
        if mark == "," and marks == 1 and not rest:
            tidy = whole.replace(",", "")
            raise UnitError(
                f"{text!r} can be read two ways; write {float(tidy) / 1000:g} or {tidy}"
            )
    if not _PLAIN.fullmatch(text):
        raise UnitError(f"cannot read {text!r} as a number")
    return float(text.replace(",", "."))


class _Reader:
    """Reads one text from left to right; every step moves on, so the time is bounded."""

    def __init__(self, text: str) -> None:
        if len(text) > _LONGEST:
            raise UnitError(f"{text[:20]!r}... is too long for a quantity")
        self.text = text.translate(_MINUS).strip()
        self.at = 0
        self.steps = 0

    def fail(self) -> UnitError:
        """Return the error that says where reading stopped."""
        rest = self.text[self.at :]
        if not self.text:
            return UnitError("a quantity is missing")
        if not rest:
            return UnitError(f"{self.text!r} ends too early")
        if rest == self.text:
            return UnitError(f"cannot read {self.text!r} as a quantity")
        return UnitError(f"cannot read {self.text!r}: {rest!r} is not understood")

    def skip_space(self) -> None:
        while self.text[self.at : self.at + 1].isspace():
            self.at += 1

    def take(self, marks: str) -> str:
        """Take one of `marks` if it comes next, else return an empty text."""
        self.skip_space()
        mark = self.text[self.at : self.at + 1]
        if not mark or mark not in marks:
            return ""
        self.at += 1
        self.steps += 1
        if self.steps > _MOST_STEPS:
            raise UnitError(f"{self.text[:20]!r}... has too many terms")
        return mark

    def number(self) -> float:
        self.skip_space()
        found = _NUMBER.match(self.text, self.at)
        if found is None:
            raise self.fail()
        self.at = found.end()
        if found["bottom"] is not None:
            return self.fraction(found["whole"], int(found["top"]), int(found["bottom"]))
        if found["groups"] is not None:
            return float(re.sub(_SPACE, "", found["groups"]).replace(",", "."))
        return _decimal(found["decimal"])

    def fraction(self, whole: str | None, top: int, bottom: int) -> float:
        if bottom == 0:
            raise UnitError(f"{self.text!r} divides by zero")
        if whole is not None and top >= bottom:
            raise UnitError(f"cannot read {self.text!r}: {top}/{bottom} is no part of a whole")
        return int(whole or 0) + top / bottom

    def quantity(self) -> _Quantity:
        sign = -1.0 if self.take("+-") == "-" else 1.0
        value = sign * self.number()
        self.skip_space()
        found = _UNIT.match(self.text, self.at)
        if found is None:
            return _Quantity(value, None)
        self.at = found.end()
        return _Quantity(value, found[0])

    def term(self) -> _Quantity:
        result = self.quantity()
        while mark := self.take("x*×/"):
            other = self.quantity()
            if other.word is not None and (mark == "/" or result.word is not None):
                raise UnitError(f"{self.text!r}: only one factor of a product has a unit")
            if mark == "/" and other.value == 0.0:
                raise UnitError(f"{self.text!r} divides by zero")
            value = result.value / other.value if mark == "/" else result.value * other.value
            result = _Quantity(value, result.word or other.word)
        return result

    def terms(self) -> list[_Quantity]:
        result = [self.term()]
        while mark := self.take("+-"):
            term = self.term()
            result.append(_Quantity(-term.value if mark == "-" else term.value, term.word))
        if self.at < len(self.text):
            raise self.fail()
        return result


def parse(text: str, unit: str) -> float:
    """Read a quantity that a person typed and return its magnitude in `unit`.

    Parameters
    ----------
    text : str
        What was typed; a bare number is taken to be in `unit`.
    unit : str
        The wanted unit, a word of `KINDS`.

    Returns
    -------
    float
        The magnitude in `unit`, a finite number.

    Raises
    ------
    UnitError
        If the text is not a quantity, is ambiguous, or measures something else.

    Examples
    --------
    >>> parse("6,35", "mm"), parse("1 1/4 in", "mm"), parse("2 x 30 mm", "mm")
    (6.35, 31.75, 60.0)
    >>> parse("1,500", "mm")
    Traceback (most recent call last):
    core.errors.UnitError: '1,500' can be read two ways; write 1.5 or 1500
    """
    terms = _Reader(text).terms()
    last = terms[-1].word
    if last is None and any(term.word for term in terms):
        raise UnitError(f"{text.strip()!r}: say the unit of every term")
    if len(terms) > 1 and kind_of(unit) == "temperature":
        raise UnitError(f"{text.strip()!r}: temperatures are not added here")
    total = sum(convert(term.value, term.word or last or unit, unit) for term in terms)
    if not math.isfinite(total) or abs(total) > _LARGEST:
        raise UnitError(f"{text.strip()!r} is too large")
    return total


def parse_list(text: str, unit: str) -> tuple[float, ...]:
    """Read quantities with commas or semicolons between them; the last unit serves the bare ones.

    Examples
    --------
    >>> parse_list("5.9, 6.0, 5.8 mm", "mm")
    (5.9, 6.0, 5.8)
    >>> parse_list("5,9; 6,0 mm", "mm")
    (5.9, 6.0)
    """
    if len(text) > 10 * _LONGEST:
        raise UnitError(f"{text[:20]!r}... is too long for a list of quantities")
    if ";" in text:
        items = text.split(";")
    elif re.search(r",\s", text.strip()):
        items = re.split(r",\s+", text.strip())
    elif "." in text:
        items = text.split(",")
    elif text.count(",") > 1:
        raise UnitError(f"{text!r} can be read several ways; put '; ' between the values")
    else:
        items = [text]
    return _each(items, unit)


def _each(items: list[str], unit: str) -> tuple[float, ...]:
    """Read every item; the unit of the last serves those that have none."""
    words = [_Reader(item).terms()[-1].word for item in items]
    return tuple(
        parse(item if word else f"{item} {words[-1] or unit}", unit)
        for item, word in zip(items, words, strict=True)
    )


def parse_size(text: str, unit: str) -> tuple[float, float]:
    """Read "900x600", "900 x 600 mm" or "36 in x 600 mm" as two lengths above zero.

    Examples
    --------
    >>> parse_size("900 x 600", "mm")
    (900.0, 600.0)
    """
    items = re.split(r"[x×*]", text)
    if len(items) != 2:
        raise UnitError(f"{text[:40]!r} is not a size; write one like 900 x 600 {unit}")
    first, second = _each(items, unit)
    if min(first, second) <= 0.0:
        raise UnitError(f"{text.strip()!r}: both sides of a size must be more than zero")
    return first, second
