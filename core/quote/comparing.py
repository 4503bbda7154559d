"""Quotes side by side: one material, machine or recipe against another."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from core.quote.drafts import Group

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.quote.price import Price
    from core.quote.quoting import Quote


@dataclass(frozen=True, slots=True)
class Column:
    """One of the quotes side by side.

    Parameters
    ----------
    label : str
        What it is called ("extruded acrylic").
    per_part : Decimal or None
        Unit price; None where it has none.
    difference : Decimal or None
        Against the first.
    groups : tuple of (Group, Decimal)
        Its lines summed by kind, in the order of the ledger.
    sheet_count, machine_s : int, float
        Sheets, and time on the machine. [s]
    """

    label: str
    per_part: Decimal | None
    difference: Decimal | None
    groups: tuple[tuple[Group, Decimal], ...]
    sheet_count: int
    machine_s: float


def side_by_side(quotes: Sequence[tuple[str, Quote]]) -> tuple[Column, ...]:
    """Return quotes side by side; the first is what the others are held against."""
    first = quotes[0][1].price if quotes else None
    columns = []
    for label, one in quotes:
        price = one.price
        columns.append(
            Column(
                label=label,
                per_part=price.per_part if price else None,
                difference=price.per_part - first.per_part if price and first else None,
                groups=by_group(price) if price else (),
                sheet_count=one.work.sheet_count,
                machine_s=one.work.machine_s,
            )
        )
    return tuple(columns)


def by_group(price: Price) -> tuple[tuple[Group, Decimal], ...]:
    """Return the lines of a price summed by kind."""
    sums: dict[Group, Decimal] = {}
    for line in price.lines:
        sums[line.group] = sums.get(line.group, Decimal(0)) + line.amount
    return tuple((group, sums[group]) for group in Group if group in sums)
