"""What the customer reads: the parts, what is included, the price by quantity, the terms.

Nothing here shows what the shop's minutes, sheets or cutters cost.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from app.printing.content import Column, Document, Facts, PartPicture, Row, Section, Table, Text
from core.errors import PlanError
from core.job.digest import job_digest
from core.quote.money import shown
from core.report.pass_text import bare_name
from core.units import UnitSystem, in_system, number, show

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

    from core.layout.nest_records import Part
    from core.quote.price import Price
    from core.quote.quoting import Quote
    from core.quote.sheet_work import Planned

SHORT_DIGEST = 8


def quote_document(
    quote: Quote, planned: Planned, dated: date, system: UnitSystem = UnitSystem.METRIC
) -> Document:
    """Return the customer's page.

    Parameters
    ----------
    quote : Quote
        The quote; it must have a price.
    planned : Planned
        The plan that was quoted.
    dated : date
        The day that it is written.
    system : UnitSystem
        Metric or inch, for what is printed.

    Raises
    ------
    PlanError
        If there is no price to write down.
    """
    price, rates = priced(quote), quote.case.rates
    until = dated + timedelta(days=rates.valid_days)
    sender = rates.address or (rates.name,)
    return Document(
        kind=f"Quote from {sender[0]}",
        title=title_of(quote),
        subtitle=_subtitle(quote, system),
        code=f"quote {quote_number(quote, dated)}",
        sections=(
            Section("", (Facts(tuple(_facts(quote, price, dated, until))),)),
            Section("Price by quantity", (_breaks(quote, price),)),
            Section("Included in the price", (Text(f"{'; '.join(_included(quote))}."),)),
            Section("Parts", (*_pictures(quote, planned, system), _part_table(quote, system))),
            Section("Terms", tuple(map(Text, rates.terms))),
        ),
        footer=" · ".join((*sender, f"quote {quote_number(quote, dated)}")),
    )


def priced(quote: Quote) -> Price:
    """Return the price; PlanError where there is none, with the reason."""
    if quote.price is None:
        reasons = " ".join(f.message for f in quote.findings) or "a part found no place"
        raise PlanError(f"there is no price to write down: {reasons}")
    return quote.price


def title_of(quote: Quote) -> str:
    """Return what the job is called, as a title."""
    name = quote.job.name or " and ".join(d.name for d in quote.job.drawings)
    return name[:1].upper() + name[1:]


def quote_number(quote: Quote, dated: date) -> str:
    """Return what identifies a quote: its day and a short digest of the job."""
    return f"{dated:%Y%m%d}-{job_digest(quote.job)[:SHORT_DIGEST]}"


def money(amount: Decimal, price: Price) -> str:
    """Return an amount with its currency."""
    return f"{price.currency} {shown(amount)}"


def _subtitle(quote: Quote, system: UnitSystem) -> str:
    material = f"{quote.case.material.name}, {show(quote.job.thickness_mm, 'mm', system)}"
    words = [material, f"{quote.job.quantity} off"]
    customer = quote.job.offer.customer
    return " · ".join([f"For {customer}", *words] if customer else words)


def _facts(quote: Quote, price: Price, dated: date, until: date) -> Iterator[tuple[str, str]]:
    rates = quote.case.rates
    yield "Unit price", money(price.per_part, price)
    yield "Quantity", number(quote.job.quantity, 0)
    yield "In all, without tax", money(price.total, price)
    if rates.tax_share:
        yield f"{rates.tax_name} {rates.tax_share:.1%}", money(price.tax.amount, price)
        yield "In all, with tax", money(price.gross, price)
    yield "Date, valid until", f"{dated.isoformat()}, {until.isoformat()}"


def _pictures(quote: Quote, planned: Planned, system: UnitSystem) -> Iterator[PartPicture]:
    unit = in_system(1.0, "mm", system)[1]
    for contours, drawing in zip(planned.contours, quote.job.drawings, strict=True):
        wide, high = (show(side, "mm", system) for side in contours.size_mm)
        yield PartPicture(
            caption=f"{drawing.name}, {wide} by {high}; dimensions in {unit}.",
            outlines=tuple(("", c.path) for c in contours.contours),
            trips=(),
            bounds_mm=contours.bounds_mm,
            unit=unit,
        )


def _part_table(quote: Quote, system: UnitSystem) -> Table:
    rows = []
    for part in quote.task.parts:
        holes = len(part.members) - 1
        rows.append(
            Row(
                (
                    quote.job.drawings[part.drawing].name,
                    bare_name(part.name),
                    size_words(part, system),
                    f"{holes}",
                    number(part.quantity, 0),
                )
            )
        )
    columns = (
        Column("Drawing", 3.0),
        Column("Part", 2.4),
        Column("Size", 2.4),
        Column("Holes and cut-outs", 1.8, number=True),
        Column("Pieces", 1.0, number=True),
    )
    return Table("The parts of this quote", columns, tuple(rows))


def size_words(part: Part, system: UnitSystem) -> str:
    """Return the size of a part as drawn."""
    x0, y0, x1, y1 = part.solid.bounds
    return f"{show(x1 - x0, 'mm', system)} × {show(y1 - y0, 'mm', system)}"


def _included(quote: Quote) -> Iterator[str]:
    yield f"{quote.case.material.name} sheet, cut to the drawing on a router"
    yield from quote.included
    yield from (line.name for line in quote.job.offer.free_lines)


def _breaks(quote: Quote, price: Price) -> Table:
    rows = tuple(
        Row((number(b.quantity, 0), money(b.per_part, price), money(b.total, price)))
        for b in quote.breaks
    )
    columns = (
        Column("Quantity", 1.0, number=True),
        Column("Unit price", 2.0, number=True),
        Column("In all, without tax", 2.4, number=True),
    )
    return Table("Prices without tax; each quantity is cut in one batch", columns, rows)
