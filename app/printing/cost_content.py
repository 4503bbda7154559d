"""What the shop reads of a quote: the ledger with its reasons, what moves it, the nested sheets."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from app.printing.content import (
    Column,
    Document,
    Facts,
    Note,
    Row,
    Section,
    SheetPicture,
    Table,
    Text,
)
from app.printing.quote_content import money, priced, quote_number, title_of
from core.geometry.path import Path
from core.quote.as_text import parts_words
from core.quote.money import shown
from core.units import UnitSystem, duration, in_system, number, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from core.layout.nest_records import NestedSheet
    from core.layout.records import PlacedPart
    from core.quote.comparing import Column as Alternative
    from core.quote.price import Price, PriceLine
    from core.quote.quoting import Quote
    from core.quote.sheet_work import Planned


def cost_document(
    quote: Quote,
    planned: Planned,
    dated: date,
    alternatives: Sequence[Alternative] = (),
    system: UnitSystem = UnitSystem.METRIC,
) -> Document:
    """Return the shop's cost sheet.

    Parameters
    ----------
    quote : Quote
        The quote; it must have a price.
    planned : Planned
        The plan that was quoted.
    dated : date
        The day that it is written.
    alternatives : sequence of Column
        Quotes side by side, this one first; may be empty.
    system : UnitSystem
        Metric or inch, for what is printed.

    Raises
    ------
    PlanError
        If there is no price.
    """
    price, rates = priced(quote), quote.case.rates
    sections = [
        Section("", (Facts(tuple(_facts(quote, price))),)),
        Section("Ledger", (_ledger(quote, price),)),
        Section("What moves the price", tuple(_spread(quote, price))),
        Section("By quantity", (_breaks(quote, price),)),
    ]
    if len(alternatives) > 1:
        sections.append(Section("Side by side", (_alternatives(alternatives),)))
    sections += [
        Section("Sheets", tuple(_sheets(quote, planned, system))),
        Section("How each line was computed", (_formulas(price),)),
    ]
    if quote.findings:
        notes = tuple(Note(f.severity.value, f.message, "") for f in quote.findings)
        sections.insert(1, Section("Noticed", notes))
    dates = f"rates {rates.name}" + (f" of {rates.dated}" if rates.dated else "")
    return Document(
        kind="Cost sheet, for the shop only",
        title=title_of(quote),
        subtitle=f"{quote.case.material.name}, {show(quote.job.thickness_mm, 'mm', system)} · "
        f"{quote.job.quantity} off · {planned.chosen.machine.name}",
        code=f"quote {quote_number(quote, dated)}",
        sections=tuple(sections),
        footer=f"{dates} · a plan's time and price are estimates",
    )


def _facts(quote: Quote, price: Price) -> Iterator[tuple[str, str]]:
    work = quote.work
    yield "Unit price", money(price.per_part, price)
    yield "In all, without tax", money(price.total, price)
    yield "Cost before overhead", money(price.cost, price)
    yield "Machine", duration(work.machine_s)
    yield "Sheets", f"{work.sheet_count}, {work.used_ratio:.0%} used"
    yield "Earned on top of cost", f"{1 - price.cost / price.total:.1%}" if price.total else "none"


def _ledger(quote: Quote, price: Price) -> Table:
    rows = [
        Row((line.name, line.reason, shown(line.amount)), begins=_begins(price.lines, k))
        for k, line in enumerate(price.lines)
    ]
    each = f"{quote.job.quantity} x {shown(price.per_part)}"
    rows.append(Row(("in all, without tax", each, shown(price.total))))
    rows.append(Row((price.tax.name, price.tax.reason, shown(price.tax.amount)), begins=False))
    rows.append(Row(("in all, with tax", "", shown(price.gross)), begins=False))
    columns = (
        Column("Line", 2.6),
        Column("Why", 5.6),
        Column(price.currency, 1.3, number=True),
    )
    return Table("Every line of the price; they add up to the cent", columns, tuple(rows))


def _begins(lines: tuple[PriceLine, ...], index: int) -> bool:
    return index == 0 or lines[index].group is not lines[index - 1].group


def _spread(quote: Quote, price: Price) -> Iterator[Text | Table]:
    moves = "; ".join(
        f"10 % more {slope.name}: {_signed(slope.per_part, price)} a piece"
        for slope in quote.slopes
    )
    yield Text(f"{moves}.")
    if quote.range is None:
        return
    yield Text(
        f"A piece may come to {money(quote.range.low, price)} to "
        f"{money(quote.range.high, price)}; each cause by itself, the whole as the root of the "
        "sum of squares:"
    )
    rows = tuple(
        Row((cause.name, cause.reason, shown(cause.low), shown(cause.high)))
        for cause in quote.range.causes
    )
    columns = (
        Column("Makes it wide", 2.6),
        Column("Why", 4.6),
        Column("at least", 1.2, number=True),
        Column("at most", 1.2, number=True),
    )
    yield Table("What makes the price uncertain, a piece", columns, rows)


def _signed(amount: object, price: Price) -> str:
    text = f"{price.currency} {amount}"
    return text if str(amount).startswith("-") else f"+ {text}"


def _breaks(quote: Quote, price: Price) -> Table:
    rows = tuple(
        Row(
            (
                number(b.quantity, 0),
                shown(b.per_part),
                shown(b.total),
                number(b.sheet_count, 0),
                f"{b.used_ratio:.0%}",
                duration(b.machine_s),
            )
        )
        for b in quote.breaks
    )
    columns = (
        Column("Quantity", 1.0, number=True),
        Column(f"a piece, {price.currency}", 1.4, number=True),
        Column(f"in all, {price.currency}", 1.6, number=True),
        Column("sheets", 1.0, number=True),
        Column("used", 1.0, number=True),
        Column("machine", 1.6, number=True),
    )
    return Table("Price, sheets and time by quantity", columns, rows)


def _alternatives(alternatives: Sequence[Alternative]) -> Table:
    rows = tuple(
        Row(
            (
                one.label,
                "no price" if one.per_part is None else shown(one.per_part),
                "" if one.difference is None else shown(one.difference),
                f"{one.sheet_count}",
                duration(one.machine_s),
            )
        )
        for one in alternatives
    )
    columns = (
        Column("What", 4.0),
        Column("a piece", 1.3, number=True),
        Column("difference", 1.3, number=True),
        Column("sheets", 1.0, number=True),
        Column("machine", 1.6, number=True),
    )
    return Table("The same job otherwise", columns, rows)


def _sheets(quote: Quote, planned: Planned, system: UnitSystem) -> Iterator[Text | SheetPicture]:
    nesting = quote.nesting
    bound = nesting.bound_mm2 / nesting.sheets_area_mm2 if nesting.sheets_area_mm2 else 0.0
    yield Text(
        f"Found by: {nesting.method}. {nesting.used_ratio:.0%} of the sheets, without the offcuts "
        f"kept, becomes parts; no layout could do with less than {bound:.0%} of them."
    )
    for sheet in nesting.sheets:
        yield _sheet_picture(planned, sheet, system)


def _sheet_picture(planned: Planned, sheet: NestedSheet, system: UnitSystem) -> SheetPicture:
    outlines: list[Path] = []
    tags = []
    for place, placed in enumerate(sheet.parts, 1):
        mine = [_on_sheet(path, placed) for path in _paths(planned, placed)]
        outlines += mine
        x0, y0, x1, y1 = mine[0].bounds_mm
        tags.append((f"{place}", ((x0 + x1) / 2.0, (y0 + y1) / 2.0)))
    kept = ", ".join(
        f"{show(x1 - x0, 'mm', system)} × {show(y1 - y0, 'mm', system)}"
        for x0, y0, x1, y1 in sheet.offcuts_mm
    )
    return SheetPicture(
        caption=f"{sheet.stock.name}, {sheet.repeat} of it, {parts_words(len(sheet.parts))} on each"
        + (f"; back on the rack: {kept}." if kept else "; nothing of it is worth keeping."),
        size_mm=sheet.stock.size_mm,
        outlines=tuple(outlines),
        tags=tuple(tags),
        unit=in_system(1.0, "mm", system)[1],
    )


def _paths(planned: Planned, placed: PlacedPart) -> Iterator[Path]:
    """Yield the outline of a part, then everything inside it."""
    contours = {c.id: c for c in planned.contours[placed.drawing].contours}
    yield contours[placed.contour_id].path
    for contour in contours.values():
        around = contour.parent
        while around is not None and around != placed.contour_id:
            around = contours[around].parent
        if around is not None:
            yield contour.path


def _on_sheet(path: Path, placed: PlacedPart) -> Path:
    if placed.mirrored:
        path = Path(path.points * np.array([-1.0, 1.0]), -path.bulges, path.closed)
    return path.moved(placed.at_mm, math.radians(placed.turn_deg))


def _formulas(price: Price) -> Table:
    rows = []
    for line in (*price.lines, price.tax):
        said = line.explained
        values = "; ".join(
            f"{i.symbol} = {number(i.value, 4)} {i.unit}".rstrip() + f" ({i.name})"
            for i in said.inputs
        )
        rows.append(
            Row((line.name, said.formula, values + (f". {said.note}" if said.note else "")))
        )
    columns = (Column("Line", 2.0), Column("Formula", 2.2), Column("Values put in", 6.0))
    return Table("Each line with its formula and values", columns, tuple(rows))
