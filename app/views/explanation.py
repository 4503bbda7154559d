"""A number and its reason as rich text: formula, the values put in as links, range and source."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING

from app.numbers import in_units, quantity, tidy
from core.explained import Origin

if TYPE_CHECKING:
    from app.theme import Palette
    from core.explained import Explained, Input
    from core.units import UnitSystem

MARKS = {
    Origin.TYPED: "\u25c6",
    Origin.DEFAULT: "\u25c7",
    Origin.DRAWING: "\u25ad",
    Origin.LIBRARY: "\u25cf",
    Origin.MEASURED: "\u25ce",
    Origin.COMPUTED: "=",
    Origin.ESTIMATE: "\u2248",
}


def explanation_html(number: Explained, colours: Palette, system: UnitSystem) -> str:
    """Return the reason of a number; each value put in links to `input:INDEX`."""
    parts = [_result(number, system), _formula(number), _put_in(number, colours, system)]
    parts += [_inputs(number, colours, system)]
    small = [
        f"{label}: {html.escape(in_units(text, system))}"
        for label, text in (
            ("holds for", number.valid),
            ("source", number.source),
            ("note", number.note),
            ("a small change", number.slope),
        )
        if text
    ]
    if small:
        lines = "<br>".join(small)
        parts.append(f'<p style="color:{colours.muted};font-size:9pt;margin-top:6px">{lines}</p>')
    return "".join(parts)


def _result(number: Explained, system: UnitSystem) -> str:
    name = html.escape(number.name[:1].upper() + number.name[1:])
    if number.value is None:
        return f"<p><b>{name}</b>: not modelled</p>"
    value = html.escape(quantity(number.value, number.unit, system))
    if not number.in_range:
        value = f"<i>{value}</i>, an estimate: outside the range of the formula"
    limit = ""
    if number.limit is not None:
        limit = f" &nbsp;limit {html.escape(quantity(number.limit, number.unit, system))}"
    return f'<p style="margin-bottom:4px"><b>{name} = {value}</b>{limit}</p>'


def _formula(number: Explained) -> str:
    return f'<p style="margin-bottom:2px">{symbols(number.formula)}</p>'


def symbols(text: str) -> str:
    """Return a formula with its indices set low.

    Examples
    --------
    >>> symbols("v_f = n z f_z")
    'v<sub>f</sub> = n z f<sub>z</sub>'
    """
    return re.sub(r"_(\w+)", r"<sub>\1</sub>", html.escape(text))


def _put_in(number: Explained, colours: Palette, system: UnitSystem) -> str:
    """Return the formula's right side with each symbol replaced by its value."""
    left, _, right = number.formula.partition("=")
    if not right or "=" in right or " " in left.strip():
        return ""  # words, or more than one equation: values put in would mislead
    by_symbol = {one.symbol: index for index, one in enumerate(number.inputs)}
    pattern = "|".join(re.escape(s) for s in sorted(by_symbol, key=len, reverse=True))
    pieces = re.split(rf"(?<![\w])({pattern})(?![\w])", right.strip())
    if not any(piece in by_symbol for piece in pieces):
        return ""
    out = "".join(
        _link(number.inputs[by_symbol[piece]], by_symbol[piece], colours, system)
        if piece in by_symbol
        else (" \u00b7 " if piece.isspace() else symbols(piece))
        for piece in pieces
    )
    return f'<p style="margin-bottom:6px">= {out}</p>'


def _link(one: Input, index: int, colours: Palette, system: UnitSystem) -> str:
    value = html.escape(quantity(one.value, one.unit, system))
    return f'<a href="input:{index}" style="color:{colours.focus}">{value}</a>'


def _inputs(number: Explained, colours: Palette, system: UnitSystem) -> str:
    rows = []
    for index, one in enumerate(number.inputs):
        where = one.origin.value + (f": {one.source}" if one.source else "")
        rows.append(
            f"<tr><td>{MARKS[one.origin]}&nbsp;</td><td>{symbols(one.symbol)}&nbsp;</td>"
            f'<td align="right">{_link(one, index, colours, system)}&nbsp;&nbsp;</td>'
            f"<td>{html.escape(one.name)}"
            f'<br><span style="color:{colours.muted};font-size:9pt">{html.escape(tidy(where))}'
            "</span></td></tr>"
        )
    return f'<table cellspacing="0" cellpadding="1">{"".join(rows)}</table>' if rows else ""


def explanation_text(number: Explained) -> str:
    """Return the reason as plain text, for the clipboard: the same words as on the command line."""
    return "\n".join(number.lines()) + "\n"
