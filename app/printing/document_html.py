"""A document as HTML for a screen reader: headings, real tables, and every picture in words."""

from __future__ import annotations

from functools import singledispatch
from html import escape
from typing import TYPE_CHECKING

from app.printing.content import (
    Blanks,
    Checks,
    Facts,
    Note,
    PartPicture,
    SheetPicture,
    Table,
    Text,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.printing.content import Column, Document, Row, Section

STATES = {"outside": "Outside", "tight": "Tight", "good": "Good"}

STYLE = """
body { font: 1rem/1.5 system-ui, sans-serif; max-width: 60rem; margin: 2rem auto; padding: 0 1rem;
  color: #14181D; background: #FFFFFF; }
table { border-collapse: collapse; width: 100%; margin: 0.5rem 0 1rem; }
caption { text-align: left; color: #55606B; }
th, td { text-align: left; padding: 0.25rem 0.5rem; border-top: 1px solid #CFD6DD;
  vertical-align: top; }
.number { text-align: right; font-variant-numeric: tabular-nums; }
.note { border-left: 4px solid #55606B; padding-left: 0.75rem; }
.outside { border-color: #A33A12; } .tight { border-color: #8A5A00; }
.muted { color: #55606B; }
"""


def document_html(document: Document) -> str:
    """Return a document as one HTML file without anything outside of it."""
    lines = [
        "<!DOCTYPE html>",
        '<html lang="en">',
        "<head>",
        '<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(document.title)}: {escape(document.kind.lower())}</title>",
        f"<style>{STYLE}</style>",
        "</head>",
        "<body>",
        "<header>",
        f'<p class="muted">{escape(document.kind)}</p>',
        f"<h1>{escape(document.title)}</h1>",
        f"<p>{escape(document.subtitle)}</p>",
        "</header>",
        "<main>",
    ]
    for section in document.sections:
        lines += _section(section)
    lines += ["</main>", f"<footer><p>{escape(document.footer)}</p></footer>", "</body>", "</html>"]
    return "\n".join(lines) + "\n"


def _section(section: Section) -> Iterator[str]:
    yield "<section>"
    if section.title:
        yield f"<h2>{escape(section.title)}</h2>"
    for item in section.items:
        yield from lines_of(item)
    yield "</section>"


@singledispatch
def lines_of(item: object) -> Iterator[str]:
    """Yield an item as lines of HTML."""
    raise TypeError(f"{type(item).__name__} cannot be told")


@lines_of.register(Text)
def _text(item: Text) -> Iterator[str]:
    yield (
        f'<p class="muted">{escape(item.text)}</p>' if item.muted else f"<p>{escape(item.text)}</p>"
    )


@lines_of.register(Facts)
def _facts(item: Facts) -> Iterator[str]:
    yield "<dl>"
    for label, value in item.facts:
        yield f"<dt>{escape(label)}</dt><dd>{escape(value)}</dd>"
    yield "</dl>"


@lines_of.register(Table)
def _table(item: Table) -> Iterator[str]:
    yield "<table>"
    yield f"<caption>{escape(item.caption)}</caption>"
    with_state = any(row.state for row in item.rows)
    heads = [_cell("th", c, c.head, ' scope="col"') for c in item.columns]
    if with_state:
        heads.append('<th scope="col">State</th>')
    yield f"<thead><tr>{''.join(heads)}</tr></thead>"
    yield "<tbody>"
    for row in item.rows:
        yield f"<tr>{''.join(_cells(row, item.columns, with_state))}</tr>"
    yield "</tbody>"
    yield "</table>"


def _cells(row: Row, columns: tuple[Column, ...], with_state: bool) -> Iterator[str]:
    for column, text in zip(columns, row.cells, strict=True):
        yield _cell("td", column, text)
    if with_state:
        yield f"<td>{STATES.get(row.state, '')}</td>"


def _cell(tag: str, column: Column, text: str, scope: str = "") -> str:
    kind = ' class="number"' if column.number else ""
    return f"<{tag}{scope}{kind}>{escape(text)}</{tag}>"


@lines_of.register(Note)
def _note(item: Note) -> Iterator[str]:
    word = STATES.get(item.state, "Note")
    yield f'<p class="note {escape(item.state)}"><strong>{word}: {escape(item.headline)}</strong> '
    yield f"{escape(item.text)}</p>"


@lines_of.register(Checks)
def _checks(item: Checks) -> Iterator[str]:
    yield "<ul>"
    for k, text in enumerate(item.checks):
        box = f'<input type="checkbox" id="check-{k}">'
        yield f'<li>{box} <label for="check-{k}">{escape(text)}</label></li>'
    yield "</ul>"


@lines_of.register(Blanks)
def _blanks(item: Blanks) -> Iterator[str]:
    yield "<ul>"
    for label in item.labels:
        yield f"<li>{escape(label)}: ____________</li>"
    yield "</ul>"


@lines_of.register(PartPicture)
def _part_picture(item: PartPicture) -> Iterator[str]:
    yield f"<p>Drawing: {escape(item.caption)}</p>"


@lines_of.register(SheetPicture)
def _sheet_picture(item: SheetPicture) -> Iterator[str]:
    yield f"<p>Drawing: {escape(item.caption)}</p>"
