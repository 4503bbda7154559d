"""The small tables of a quote as rich text: its range, what moves it, and the price by quantity."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from core.units import duration

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from decimal import Decimal

    from app.theme import Palette
    from core.quote.quoting import Quote
    from core.quote.spread import PriceRange, Slope


def range_html(found: PriceRange, money: str) -> str:
    """Return where the price of a part may end up, and what makes the range wide."""
    head = f"<b>{found.low} to {found.high} {money}</b> a part; it is wide because of:"
    rows = [
        (_escape(f"{cause.name}, {cause.reason}"), f"{cause.low:+}", f"{cause.high:+}")
        for cause in found.causes
    ]
    return head + _table(rows)


def slopes_html(found: Sequence[Slope], money: str) -> str:
    """Return what ten per cent more of the inputs that matter most does to the price of a part."""
    return _table(
        (f"10 % more {_escape(slope.name)}", f"{slope.per_part:+} {money}") for slope in found
    )


def breaks_html(made: Quote, money: str, colours: Palette) -> str:
    """Return the price by quantity; the quantity that is asked for in bold."""
    heads = ("parts", "sheets", "used", "machine", f"{money} a part", "in all")
    rows = [tuple(f'<span style="color:{colours.muted}">{head}</span>' for head in heads)]
    for one in made.breaks:
        cells = (
            str(one.quantity),
            str(one.sheet_count),
            f"{100.0 * one.used_ratio:.0f} %",
            duration(one.machine_s).replace(" ", "\u00a0"),
            _money(one.per_part),
            _money(one.total),
        )
        is_asked = one.quantity == made.job.quantity
        rows.append(tuple(f"<b>{cell}</b>" if is_asked else cell for cell in cells))
    return _table(rows, first_right=True)


def plain_rows(lines: Iterable[str]) -> str:
    """Return sentences, one a line."""
    return "<br>".join(map(_escape, lines))


def _money(amount: Decimal) -> str:
    return f"{amount:,}".replace(",", "\u202f")


def _escape(text: str) -> str:
    return html.escape(text, quote=False)


def _table(rows: Iterable[Sequence[str]], *, first_right: bool = False) -> str:
    out = []
    for row in rows:
        cells = [
            f"<td{' align=right' if index or first_right else ''}>{cell}&nbsp;&nbsp;</td>"
            for index, cell in enumerate(row)
        ]
        out.append(f"<tr>{''.join(cells)}</tr>")
    return f'<table cellspacing="0" cellpadding="2" width="100%">{"".join(out)}</table>'
