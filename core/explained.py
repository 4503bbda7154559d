"""A number with its reason: formula, values put in, where they come from, range, source.

One record serves the window, the text, the JSON and the page: what a screen shows of a number
and what `explain` prints are the same words.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass

from core.units import number

DECIMALS = 4
"""Most decimals of a number in an explanation."""


class Origin(enum.StrEnum):
    """Where a value put into a formula comes from."""

    TYPED = "typed"
    DEFAULT = "default"
    DRAWING = "drawing"
    LIBRARY = "library"
    MEASURED = "measured"
    COMPUTED = "computed"
    ESTIMATE = "estimate"


@dataclass(frozen=True, slots=True)
class Input:
    """One value that was put into a formula.

    Parameters
    ----------
    symbol : str
        How the formula writes it ("n", "f_z").
    name : str
        What it is, in words.
    value : float
        The value in `unit`.
    unit : str
        The unit as shown ("rpm", "mm"); empty for a plain number.
    origin : Origin
        Where it comes from.
    source : str
        The library entry, the drawing, or what it was computed from.
    """

    symbol: str
    name: str
    value: float
    unit: str
    origin: Origin
    source: str = ""


@dataclass(frozen=True, slots=True)
class Explained:
    """A number that can say why.

    Parameters
    ----------
    key : str
        Stable name of the number ("heat_margin", "feed_speed").
    name : str
        Name as shown.
    value : float or None
        The result in `unit`; None where it is not modelled.
    unit : str
        Unit as shown.
    formula : str
        The formula in symbols.
    inputs : tuple of Input
        The values put in, in the order in which the formula names them.
    limit : float or None
        The limit that it is held against, in `unit`.
    valid : str
        The range in which the formula holds, in words.
    in_range : bool
        False where the values leave that range: the number is then an estimate.
    source : str
        Where the formula comes from.
    note : str
        What a reader should know besides (band, calibration).
    slope : str
        What a small change does ("1 % more spindle speed: -0.4 K"); empty if unknown.
    """

    key: str
    name: str
    value: float | None
    unit: str
    formula: str
    inputs: tuple[Input, ...] = ()
    limit: float | None = None
    valid: str = ""
    in_range: bool = True
    source: str = ""
    note: str = ""
    slope: str = ""

    def lines(self) -> tuple[str, ...]:
        """Return the explanation as lines of plain text."""
        result = (
            "not modelled"
            if self.value is None
            else f"{number(self.value, DECIMALS)} {self.unit}".strip()
        )
        estimate = "" if self.in_range else " (estimate: outside the range of the formula)"
        out = [f"{self.name} = {result}{estimate}", f"  {self.formula}"]
        out += [
            f"    {i.symbol} = {number(i.value, DECIMALS)} {i.unit}".rstrip()
            + f"   {i.name}, {i.origin.value}"
            + (f": {i.source}" if i.source else "")
            for i in self.inputs
        ]
        if self.limit is not None:
            out.append(f"  limit {number(self.limit, DECIMALS)} {self.unit}".rstrip())
        for label, text in (
            ("holds for", self.valid),
            ("source", self.source),
            ("note", self.note),
            ("slope", self.slope),
        ):
            if text:
                out.append(f"  {label}: {text}")
        return tuple(out)
