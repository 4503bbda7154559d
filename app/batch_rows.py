"""The table of a batch: one row a file, as CSV, as JSON, and as text for the terminal."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING

from core.report.as_json import FORMAT
from core.units import duration

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.report.records import Report

FORMULA_MARKS = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet would run a cell that begins so; file names come from strangers."""


@dataclass(frozen=True, slots=True)
class Row:
    """What came of one file.

    Parameters
    ----------
    file : str
        Its name without folders.
    problem : str
        Why there is no plan, in one line; empty if there is one.
    cleanly : str or None
        The answer to "will it cut cleanly": yes, tight, no. The fields below are None as well
        where there is no plan, and the money where no price is given.
    outside, tight : int or None
        How many limits and findings are so.
    width_mm, height_mm : float or None
        Size of the first drawing.
    outer_contours, holes : int or None
        Of all drawings.
    quantity, sheets : int or None
        How many of everything drawn, and the sheets that they take.
    cycle_time_s : float or None
        Time on the machine, all copies. [s]
    price_per_part, price_total, currency : str or None
        Price of a copy and of all, as in the report.
    """

    file: str
    problem: str = ""
    cleanly: str | None = None
    outside: int | None = None
    tight: int | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    outer_contours: int | None = None
    holes: int | None = None
    quantity: int | None = None
    sheets: int | None = None
    cycle_time_s: float | None = None
    price_per_part: str | None = None
    price_total: str | None = None
    currency: str | None = None


def row_of(file: str, report: Report, quantity: int) -> Row:
    """Return the row of a file that was planned."""
    width, height = report.drawings[0].size_mm if report.drawings else (None, None)
    price = report.price
    return Row(
        file=file,
        cleanly=report.answer.cleanly,
        outside=report.answer.outside,
        tight=report.answer.tight,
        width_mm=_rounded(width, 3),
        height_mm=_rounded(height, 3),
        outer_contours=sum(d.outer_contours for d in report.drawings),
        holes=sum(d.holes for d in report.drawings),
        quantity=quantity,
        sheets=len(report.sheets),
        cycle_time_s=_rounded(report.totals.cycle_time_s, 1),
        price_per_part=str(price.per_part) if price else None,
        price_total=str(price.total) if price else None,
        currency=price.currency if price else None,
    )


def _rounded(value: float | None, places: int) -> float | None:
    return None if value is None else round(value, places)


def rows_csv(rows: Sequence[Row]) -> str:
    """Return the rows as CSV with a head; what is not known is an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out)
    names = [field.name for field in fields(Row)]
    writer.writerow(names)
    for row in rows:
        writer.writerow([_cell(getattr(row, name)) for name in names])
    return out.getvalue()


def _cell(value: str | float | None) -> str:
    text = "" if value is None else str(value)
    return f"'{text}" if isinstance(value, str) and text.startswith(FORMULA_MARKS) else text


def rows_json(rows: Sequence[Row], version: str) -> str:
    """Return the rows as JSON of format 1."""
    document = {
        "format": FORMAT,
        "program": "panewright",
        "version": version,
        "rows": [asdict(row) for row in rows],
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False)


def rows_text(rows: Sequence[Row]) -> str:
    """Return the rows as text: file, size, time, price, answer; or the problem."""
    wide = max((len(row.file) for row in rows), default=0)
    return "".join(f"{row.file:<{wide}}  {_said(row)}\n" for row in rows)


def _said(row: Row) -> str:
    if row.problem or row.cycle_time_s is None:
        return f"no plan: {row.problem}"
    size = "" if row.width_mm is None else f"{row.width_mm:g} x {row.height_mm:g} mm"
    price = f"{row.currency} {row.price_per_part} a copy" if row.price_per_part else "no price"
    answer = {"yes": "cuts cleanly", "tight": f"{row.tight} tight", "no": f"{row.outside} outside"}
    clean = answer[row.cleanly or "no"]
    return f"{size:>20}  {duration(row.cycle_time_s):>14}  {price:>22}  {clean}"
