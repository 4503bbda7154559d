"""The ledger as tables of plain cells, and as CSV.

A text that a spreadsheet would take for a formula gets an apostrophe in front: a line's name comes
from a drawing or a rates file, and must never be run. Numbers stay numbers.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.quote.comparing import Column
    from core.quote.quoting import Quote

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


def neutral(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula.

    Examples
    --------
    >>> neutral("=1+1"), neutral("deburr")
    ("'=1+1", 'deburr')
    """
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_STARTS) else text


def csv_text(quote: Quote, alternatives: Sequence[Column] = ()) -> str:
    """Return ledger, breaks and alternatives as CSV: commas, points, a blank line in between."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for row in _rows(quote, alternatives):
        writer.writerow([neutral(c) if isinstance(c, str) else c for c in row])
    return out.getvalue()


def _rows(quote: Quote, alternatives: Sequence[Column]) -> Iterator[tuple[object, ...]]:
    yield ("job", quote.job.name)
    yield ("quantity", quote.job.quantity)
    yield ("currency", quote.case.rates.currency)
    yield ()
    yield from ledger_rows(quote)
    yield ()
    yield from break_rows(quote)
    if len(alternatives) > 1:
        yield ()
        yield from alternative_rows(alternatives)


def ledger_rows(quote: Quote) -> Iterator[tuple[object, ...]]:
    """Yield the ledger's head, its lines and its totals."""
    yield ("line", "kind", "amount", "why")
    price = quote.price
    if price is None:
        return
    for line in price.lines:
        yield (line.name, line.group.value, line.amount, line.reason)
    yield ("in all, without tax", "", price.total, "")
    yield (price.tax.name, price.tax.group.value, price.tax.amount, price.tax.reason)
    yield ("in all, with tax", "", price.gross, "")
    yield ("unit price", "", price.per_part, "")


def break_rows(quote: Quote) -> Iterator[tuple[object, ...]]:
    """Yield the breaks' head and a row a quantity; the time in minutes."""
    yield ("quantity", "unit price", "in all", "sheets", "used", "machine min")
    for one in quote.breaks:
        yield (
            one.quantity,
            one.per_part,
            one.total,
            one.sheet_count,
            round(one.used_ratio, 4),
            round(one.machine_s / 60.0, 2),
        )


def alternative_rows(alternatives: Sequence[Column]) -> Iterator[tuple[object, ...]]:
    """Yield the head and a row an alternative."""
    yield ("what", "unit price", "difference", "sheets", "machine min")
    for one in alternatives:
        yield (
            one.label,
            "" if one.per_part is None else one.per_part,
            "" if one.difference is None else one.difference,
            one.sheet_count,
            round(one.machine_s / 60.0, 2),
        )
