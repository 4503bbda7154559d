"""The quote as text for the shop: ledger, breaks, what moves it, sheets, what was noticed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.quote.money import shown
from core.units import number

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.quote.comparing import Column
    from core.quote.price import Price
    from core.quote.quoting import Quote


def quote_text(quote: Quote, alternatives: Sequence[Column] = ()) -> str:
    """Return the quote as text."""
    return "\n".join(_lines(quote, alternatives)) + "\n"


def _lines(quote: Quote, alternatives: Sequence[Column]) -> Iterator[str]:
    rates = quote.case.rates
    dated = f" of {rates.dated}" if rates.dated else ""
    yield f"{quote.job.name or 'Quote'}: {number(quote.job.quantity, 0)} off"
    yield f"  {quote.case.material.name}, {quote.job.thickness_mm:g} mm; rates {rates.name}{dated}"
    yield ""
    if quote.price is not None:
        yield from _ledger(quote, quote.price)
        yield ""
        yield from _spread(quote, quote.price)
        yield ""
    yield from _breaks(quote)
    yield from _sheets(quote)
    if len(alternatives) > 1:
        yield ""
        yield from _alternatives(alternatives)
    if quote.findings:
        yield ""
        yield "What was noticed"
        yield from (f"  {f.severity.value}: {f.message}" for f in quote.findings)


def _ledger(quote: Quote, price: Price) -> Iterator[str]:
    wide = max(len(line.name) for line in price.lines)
    yield f"Price, {price.currency}"
    for line in price.lines:
        yield f"  {line.name:<{wide}}  {shown(line.amount):>12}   {line.reason}"
    for name, amount in (
        ("in all, without tax", price.total),
        (price.tax.name, price.tax.amount),
        ("in all, with tax", price.gross),
        ("unit price", price.per_part),
    ):
        yield f"  {name:<{wide}}  {shown(amount):>12}"


def _spread(quote: Quote, price: Price) -> Iterator[str]:
    yield "What moves the price of one"
    for slope in quote.slopes:
        yield f"  10 % more {slope.name}: {slope.per_part:+} {price.currency}"
    if quote.range is None:
        return
    yield f"It may come to {shown(quote.range.low)} to {shown(quote.range.high)}, because of"
    for cause in quote.range.causes:
        yield f"  {cause.name}: {cause.low:+} to {cause.high:+} ({cause.reason})"


def _breaks(quote: Quote) -> Iterator[str]:
    if len(quote.breaks) < 2:
        return
    yield "By quantity      each        in all   sheets   used   machine min"
    for one in quote.breaks:
        yield (
            f"  {number(one.quantity, 0):>7}{shown(one.per_part):>12}{shown(one.total):>14}"
            f"{number(one.sheet_count, 0):>9}{one.used_ratio:>7.0%}"
            f"{number(one.machine_s / 60.0, 1):>14}"
        )
    yield ""


def _sheets(quote: Quote) -> Iterator[str]:
    nesting = quote.nesting
    yield f"Sheets: {nesting.sheet_count}, {nesting.used_ratio:.0%} used; found by {nesting.method}"
    for sheet in nesting.sheets:
        kept = "; ".join(f"{x1 - x0:.0f} x {y1 - y0:.0f} mm" for x0, y0, x1, y1 in sheet.offcuts_mm)
        yield (
            f"  {sheet.repeat} x {sheet.stock.name}, {parts_words(len(sheet.parts))} on each"
            + (f"; back on the rack: {kept}" if kept else "")
        )


def parts_words(count: int) -> str:
    """Return how many parts there are, in words."""
    return f"{count} part" if count == 1 else f"{count} parts"


def _alternatives(alternatives: Sequence[Column]) -> Iterator[str]:
    wide = max(len(one.label) for one in alternatives)
    yield "Side by side"
    for one in alternatives:
        each = "no price" if one.per_part is None else shown(one.per_part)
        more = "" if one.difference is None else f"{one.difference:+}"
        minutes = number(one.machine_s / 60.0, 1)
        sheets = f"{one.sheet_count:>8} sheets"
        yield f"  {one.label:<{wide}}{each:>12}{more:>10}{sheets}{minutes:>8} min"
