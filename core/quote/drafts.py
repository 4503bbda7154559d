"""Lines of the price before they are rounded, and how a line is explained."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.explained import Explained, Input, Origin

if TYPE_CHECKING:
    from decimal import Decimal

    from core.library.rate_records import Rates


class Group(enum.StrEnum):
    """What kind of line it is, in the order in which they are added up."""

    MATERIAL = "material"
    MACHINE = "machine"
    LABOUR = "labour"
    CUTTERS = "cutters"
    SERVICES = "services"
    FREE = "free lines"
    OVERHEAD = "overhead"
    MARKUP = "mark-up"
    ROUNDING = "rounding"
    TAX = "tax"


@dataclass(frozen=True, slots=True)
class Draft:
    """One line: its amount to the last digit, its reason in a few words, and its explanation."""

    key: str
    name: str
    group: Group
    amount: Decimal
    reason: str
    explained: Explained


Value = tuple[str, str, "float | Decimal", str, Origin]
"""Symbol, name, value, unit, origin of what is put into a line's formula."""


def draft(
    group: Group,
    name: str,
    amount: Decimal,
    reason: str,
    formula: str,
    values: tuple[Value, ...],
    rates: Rates,
    note: str = "",
) -> Draft:
    """Return a line with its explanation; values from the library name the shop's rates."""
    inputs = tuple(
        Input(symbol, label, float(value), unit, origin, _source(origin, rates))
        for symbol, label, value, unit, origin in values
    )
    key = name.replace(",", "").replace(" ", "_").lower()
    explained = Explained(
        key=key,
        name=name,
        value=float(amount),
        unit=rates.currency,
        formula=formula,
        inputs=inputs,
        source="this program's ledger; the rates are the shop's",
        note=note,
    )
    return Draft(key, name, group, amount, reason, explained)


def _source(origin: Origin, rates: Rates) -> str:
    if origin is not Origin.LIBRARY:
        return ""
    return f"rates {rates.name}, {rates.dated}" if rates.dated else f"rates {rates.name}"
