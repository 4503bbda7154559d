"""What goes to the clipboard: a number plain or with its reasoning, a table as TSV and HTML."""

from __future__ import annotations

import html
from dataclasses import dataclass

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication

from app.numbers import NONE

_PLAIN = str.maketrans({"\u2009": "", "\u202f": "", "\u2212": "-", "\t": " "})


@dataclass(frozen=True, slots=True)
class Table:
    """A table of texts."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def tsv(self) -> str:
        """Return tab-separated lines, as spreadsheets take them: plain minus, no thin spaces."""
        lines = (self.heads, *self.rows)
        return "\n".join("\t".join(map(plain, line)) for line in lines) + "\n"

    def html(self) -> str:
        """Return the table as HTML, as word processors take it."""
        head = "".join(f"<th>{html.escape(cell)}</th>" for cell in self.heads)
        body = "".join(
            "<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>"
            for row in self.rows
        )
        return f"<table><tr>{head}</tr>{body}</table>"


class TableData(QMimeData):
    """The data of a table, known again when the program ends."""


def plain(text: str) -> str:
    """Return a text that a spreadsheet reads: no thin spaces, an ASCII minus, no tabs."""
    return text.translate(_PLAIN).strip(NONE)


def copy_text(text: str) -> None:
    """Put text on the clipboard."""
    QGuiApplication.clipboard().setText(text)


def copy_table(table: Table) -> None:
    """Put a table on the clipboard, as TSV and as HTML."""
    data = TableData()
    data.setText(table.tsv())
    data.setHtml(table.html())
    QGuiApplication.clipboard().setMimeData(data)


def leave_clipboard() -> None:
    """Leave on the clipboard only what Qt itself made; call before the interpreter ends.

    A table's data is an object of Python's. Where the clipboard outlives the interpreter, taking
    that object apart crashes the program at its very end (seen: exit code 139 after a copy).
    """
    clipboard = QGuiApplication.clipboard()
    if isinstance(clipboard.mimeData(), TableData):
        clipboard.setText(clipboard.text())
