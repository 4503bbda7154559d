"""The quote as a workbook: every amount is a formula over the values beside it.

The formulas are those of the explanations ("W = L / (L_e s) c"), with a cell in place of each
symbol, and carry the value that the ledger has, so that a viewer that does not compute shows the
same. Sums are sums of cells.
"""

from __future__ import annotations

import io
import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from core.quote.drafts import Group
from core.quote.tables import alternative_rows, break_rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from xlsxwriter.worksheet import Worksheet

    from core.quote.comparing import Column
    from core.quote.price import Price, PriceLine
    from core.quote.quoting import Quote

MOST_INPUTS = 4
FIRST_ROW = 4
"""Row of the first line of the ledger, counted from 0."""

AMOUNT, INPUTS = 2, 4
"""Columns of the amount and of the first value that is put in."""

_TOKEN = re.compile(r"[A-Za-z_]+|\d+(?:\.\d+)?|[()+\-/*]")


def cell(row: int, column: int) -> str:
    """Return a cell's name, rows and columns counted from 0.

    Examples
    --------
    >>> cell(0, 2), cell(9, 26)
    ('C1', 'AA10')
    """
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return f"{name}{row + 1}"


def spoken_to_cells(formula: str, cells: dict[str, str]) -> str:
    """Return the right side of a formula with cells for symbols, products written out.

    Examples
    --------
    >>> spoken_to_cells("W = L / (L_e s) c", {"L": "F5", "L_e": "H5", "s": "J5", "c": "L5"})
    'F5/(H5*J5)*L5'
    """
    out: list[str] = []
    for token in _TOKEN.findall(formula.partition("=")[2]):
        operand = token[0].isalnum() or token == "("
        if operand and out and (out[-1][-1].isalnum() or out[-1] == ")"):
            out.append("*")
        out.append(cells.get(token, token))
    return "".join(out)


def workbook_bytes(quote: Quote, price: Price, alternatives: Sequence[Column] = ()) -> bytes:
    """Return the workbook as the bytes of an XLSX file.

    Parameters
    ----------
    quote : Quote
        The quote.
    price : Price
        Its price.
    alternatives : sequence of Column
        Quotes side by side; may be empty.
    """
    import xlsxwriter

    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(out, options) as book:
        places = max(0, -int(Decimal(quote.case.rates.smallest_amount).as_tuple().exponent))
        looks = {
            "money": book.add_format(
                {"num_format": "#,##0" + ("." + "0" * places if places else "")}
            ),
            "bold": book.add_format({"bold": True}),
            "wrap": book.add_format({"text_wrap": True, "valign": "top"}),
        }
        _Ledger(book.add_worksheet("Price"), quote, price, looks).write()
        _table(book.add_worksheet("By quantity"), break_rows(quote), looks)
        if len(alternatives) > 1:
            _table(book.add_worksheet("Side by side"), alternative_rows(alternatives), looks)
    return out.getvalue()


class _Ledger:
    """Writes the ledger: name, kind, amount as a formula, why, then each value with its symbol."""

    def __init__(self, sheet: Worksheet, quote: Quote, price: Price, looks: dict[str, Any]) -> None:
        self._sheet, self._quote, self._price, self._looks = sheet, quote, price, looks
        self._step = Decimal(quote.case.rates.smallest_amount)

    def write(self) -> None:
        """Write everything."""
        sheet, job, rates = self._sheet, self._quote.job, self._quote.case.rates
        sheet.set_column(0, 0, 26)
        sheet.set_column(1, 2, 12)
        sheet.set_column(3, 3, 60)
        sheet.write_string(0, 0, job.name or "quote", self._looks["bold"])
        sheet.write_string(1, 0, f"rates {rates.name} {rates.dated}, {rates.currency}")
        heads = ["line", "kind", rates.currency, "why"]
        for k in range(MOST_INPUTS):
            heads += [f"value {k + 1}", "what it is"]
        for column, head in enumerate(heads):
            sheet.write_string(FIRST_ROW - 1, column, head, self._looks["bold"])
        row = FIRST_ROW
        for line in self._price.lines:
            self._line(row, line)
            row += 1
        self._totals(row)

    def _line(self, row: int, line: PriceLine) -> None:
        sheet = self._sheet
        sheet.write_string(row, 0, line.name)
        sheet.write_string(row, 1, line.group.value)
        sheet.write_string(row, 3, line.reason)
        by_hand = line.reason.startswith("set by hand")
        if by_hand:
            sheet.write_number(row, AMOUNT, float(line.amount), self._looks["money"])
            return
        cells = {}
        for k, value in enumerate(line.explained.inputs):
            column = INPUTS + 2 * k
            cells[value.symbol] = cell(row, column)
            unit = f" [{value.unit}]" if value.unit else ""
            sheet.write_string(row, column + 1, f"{value.symbol}: {value.name}{unit}")
            if value.symbol == "C" and line.group in (Group.OVERHEAD, Group.MARKUP, Group.ROUNDING):
                self._formula(row, column, self._sum(row), Decimal(repr(value.value)))
            else:
                sheet.write_number(row, column, value.value)
        formula = spoken_to_cells(line.explained.formula, cells)
        self._formula(row, AMOUNT, self._rounded(formula), line.amount)

    def _rounded(self, formula: str) -> str:
        return f"ROUND(({formula})/{self._step},0)*{self._step}"

    def _sum(self, before_row: int) -> str:
        return f"SUM({cell(FIRST_ROW, AMOUNT)}:{cell(before_row - 1, AMOUNT)})"

    def _formula(self, row: int, column: int, formula: str, value: Decimal) -> None:
        money = self._looks["money"]
        self._sheet.write_formula(row, column, f"={formula}", money, float(value))

    def _totals(self, row: int) -> None:
        price, sheet, bold = self._price, self._sheet, self._looks["bold"]
        share = self._quote.case.rates.tax_share
        total, tax = cell(row, AMOUNT), cell(row + 1, AMOUNT)
        sheet.write_string(row, 0, "in all, without tax", bold)
        self._formula(row, AMOUNT, self._sum(row), price.total)
        sheet.write_string(row + 1, 0, price.tax.name)
        sheet.write_number(row + 1, INPUTS, share)
        sheet.write_string(row + 1, INPUTS + 1, f"v: {price.tax.name}")
        self._formula(
            row + 1, AMOUNT, self._rounded(f"{total}*{cell(row + 1, INPUTS)}"), price.tax.amount
        )
        sheet.write_string(row + 2, 0, "in all, with tax", bold)
        self._formula(row + 2, AMOUNT, f"{total}+{tax}", price.gross)
        sheet.write_string(row + 3, 0, "unit price", bold)
        sheet.write_number(row + 3, INPUTS, self._quote.job.quantity)
        sheet.write_string(row + 3, INPUTS + 1, "n: quantity")
        self._formula(row + 3, AMOUNT, f"{total}/{cell(row + 3, INPUTS)}", price.per_part)


def _table(sheet: Worksheet, rows: Iterable[tuple[object, ...]], looks: dict[str, Any]) -> None:
    sheet.set_column(0, 6, 16)
    for number, row in enumerate(rows):
        for column, value in enumerate(row):
            if isinstance(value, str):
                sheet.write_string(number, column, value, looks["bold"] if number == 0 else None)
            elif isinstance(value, Decimal):
                sheet.write_number(number, column, float(value), looks["money"])
            elif isinstance(value, int | float):
                sheet.write_number(number, column, value)
