"""From items of a page to pieces that are not broken, and the pieces put onto pages.

Terms: a *piece* has a height and can draw itself. A piece that is *kept* stays on the page of
the one after it (a heading); a row of a table has the table's *head*, which is drawn again at the
top of the next page.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import singledispatch
from typing import TYPE_CHECKING

from app.printing.content import (
    Blanks,
    Checks,
    Column,
    Facts,
    Note,
    PartPicture,
    Row,
    SheetPicture,
    Table,
    Text,
)
from app.printing.paper import Align
from app.printing.pictures import (
    draw_part,
    draw_sheet,
    part_height_mm,
    sheet_height_mm,
)
from app.printing.signs import draw_state

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.printing.content import Section
    from app.printing.paper import Paper

BODY_PT, SMALL_PT, HEAD_PT = 8.0, 6.8, 9.5
CELL_GAP_MM, ROW_GAP_MM = 2.2, 0.9
FACTS_A_ROW = 3

Draw = "Callable[[Paper, float, float], None]"


@dataclass(frozen=True, slots=True)
class Piece:
    """Something that stands on one page."""

    height_mm: float
    draw: Callable[[Paper, float, float], None]
    keep: bool = False
    head: Piece | None = None


def section_pieces(section: Section, paper: Paper, width_mm: float) -> list[Piece]:
    """Return a section's heading and items as pieces."""
    title = section.title
    height = paper.text_height_mm(title, width_mm, HEAD_PT, bold=True)

    def heading(to: Paper, x: float, y: float) -> None:
        to.text(x, y + 2.6, width_mm, title, HEAD_PT, bold=True)

    out = [Piece(height + 3.8, heading, keep=True)] if title else []
    for item in section.items:
        out += pieces(item, paper, width_mm)
    return out


@singledispatch
def pieces(item: object, paper: Paper, width_mm: float) -> list[Piece]:
    """Return an item as pieces for a width. [mm]."""
    raise TypeError(f"{type(item).__name__} cannot be printed")


@pieces.register(Text)
def _text(item: Text, paper: Paper, width_mm: float) -> list[Piece]:
    points = SMALL_PT if item.muted else BODY_PT
    height = paper.text_height_mm(item.text, width_mm, points)

    def draw(to: Paper, x: float, y: float) -> None:
        to.text(x, y, width_mm, item.text, points, colour="muted" if item.muted else "ink")

    return [Piece(height + 1.4, draw)]


@pieces.register(Facts)
def _facts(item: Facts, paper: Paper, width_mm: float) -> list[Piece]:
    column = width_mm / FACTS_A_ROW
    rows = [item.facts[i : i + FACTS_A_ROW] for i in range(0, len(item.facts), FACTS_A_ROW)]
    return [_fact_row(row, paper, column) for row in rows]


def _fact_row(row: tuple[tuple[str, str], ...], paper: Paper, column_mm: float) -> Piece:
    inner = column_mm - 4.0
    below = paper.text_height_mm("x", inner, SMALL_PT) + 0.4
    height = max(paper.text_height_mm(value, inner, BODY_PT, bold=True) for _, value in row)

    def draw(to: Paper, x: float, y: float) -> None:
        for k, (label, value) in enumerate(row):
            left = x + k * column_mm
            to.text(left, y, inner, label, SMALL_PT, colour="muted")
            to.text(left, y + below, inner, value, BODY_PT, bold=True)

    return Piece(height + below + 2.0, draw)


@pieces.register(Table)
def _table(item: Table, paper: Paper, width_mm: float) -> list[Piece]:
    total = sum(c.share for c in item.columns)
    widths = [c.share / total * width_mm for c in item.columns]
    heads = tuple(c.head for c in item.columns)
    head = _row(Row(heads), item.columns, widths, paper, head=True)
    if not item.rows:
        return [head]
    rows = [_row(row, item.columns, widths, paper, top=head) for row in item.rows]
    gap = Piece(2.0, lambda _to, _x, _y: None)
    return [Piece(head.height_mm, head.draw, keep=True), *rows, gap]


def _row(
    row: Row,
    columns: tuple[Column, ...],
    widths_mm: list[float],
    paper: Paper,
    *,
    head: bool = False,
    top: Piece | None = None,
) -> Piece:
    points = SMALL_PT if head else BODY_PT - 0.4
    inner = [w - CELL_GAP_MM for w in widths_mm]
    sign_mm = 3.2 if row.state else 0.0
    room = [w - (sign_mm if k == len(inner) - 1 else 0.0) for k, w in enumerate(inner)]
    cells = tuple(zip(row.cells, room, strict=True))
    height = max(paper.text_height_mm(text or " ", w, points) for text, w in cells)

    def draw(to: Paper, x: float, y: float) -> None:
        if row.begins and not head:
            to.line((x, y), (x + sum(widths_mm), y))
        left = x
        for k, (text, width) in enumerate(cells):
            align = Align.AlignRight if columns[k].number else Align.AlignLeft
            colour = "muted" if head else "ink"
            to.text(left, y + ROW_GAP_MM, width, text, points, colour=colour, align=align)
            left += widths_mm[k]
        if row.state:
            draw_state(to, left - CELL_GAP_MM - 1.1, y + ROW_GAP_MM + 1.5, row.state)

    return Piece(height + 2.0 * ROW_GAP_MM, draw, head=top)


@pieces.register(Note)
def _note(item: Note, paper: Paper, width_mm: float) -> list[Piece]:
    inner = width_mm - 6.0
    top = paper.text_height_mm(item.headline, inner, BODY_PT, bold=True)
    below = paper.text_height_mm(item.text, inner, BODY_PT) if item.text else 0.0
    colour = item.state if item.state in {"outside", "tight"} else "muted"

    def draw(to: Paper, x: float, y: float) -> None:
        to.painter.fillRect(to.box(x, y, 0.7, top + below + 0.6), to.colour(colour))
        draw_state(to, x + 3.2, y + 1.7, item.state)
        to.text(x + 6.0, y, inner, item.headline, BODY_PT, bold=True)
        to.text(x + 6.0, y + top + 0.4, inner, item.text, BODY_PT)

    return [Piece(top + below + 3.0, draw)]


@pieces.register(Checks)
def _checks(item: Checks, paper: Paper, width_mm: float) -> list[Piece]:
    column = width_mm / 2.0
    rows = [item.checks[i : i + 2] for i in range(0, len(item.checks), 2)]
    return [_check_row(row, paper, column) for row in rows]


def _check_row(row: tuple[str, ...], paper: Paper, column_mm: float) -> Piece:
    inner = column_mm - 8.0
    height = max(paper.text_height_mm(text, inner, BODY_PT) for text in row)

    def draw(to: Paper, x: float, y: float) -> None:
        for k, text in enumerate(row):
            left = x + k * column_mm
            to.frame(left, y + 0.1, 3.0, 3.0)
            to.text(left + 4.8, y, inner, text, BODY_PT)

    return Piece(max(height, 3.0) + 1.8, draw)


@pieces.register(Blanks)
def _blanks(item: Blanks, paper: Paper, width_mm: float) -> list[Piece]:
    column = width_mm / FACTS_A_ROW
    rows = [item.labels[i : i + FACTS_A_ROW] for i in range(0, len(item.labels), FACTS_A_ROW)]
    return [_blank_row(row, paper, column) for row in rows]


def _blank_row(row: tuple[str, ...], paper: Paper, column_mm: float) -> Piece:
    inner = column_mm - 6.0
    height = max(paper.text_height_mm(label, inner, SMALL_PT) for label in row)

    def draw(to: Paper, x: float, y: float) -> None:
        for k, label in enumerate(row):
            left = x + k * column_mm
            to.line((left, y + 8.0), (left + inner, y + 8.0), colour="border")
            to.text(left, y + 8.6, inner, label, SMALL_PT, colour="muted")

    return Piece(height + 10.0, draw)


@pieces.register(PartPicture)
def _part_picture(item: PartPicture, paper: Paper, width_mm: float) -> list[Piece]:
    return _picture(
        part_height_mm(item, width_mm),
        lambda to, x, y: draw_part(to, item, (x, y), width_mm),
        item.caption,
        paper,
        width_mm,
    )


@pieces.register(SheetPicture)
def _sheet_picture(item: SheetPicture, paper: Paper, width_mm: float) -> list[Piece]:
    return _picture(
        sheet_height_mm(item, width_mm),
        lambda to, x, y: draw_sheet(to, item, (x, y), width_mm),
        item.caption,
        paper,
        width_mm,
    )


def _picture(
    height_mm: float,
    inside: Callable[[Paper, float, float], str],
    caption: str,
    paper: Paper,
    width_mm: float,
) -> list[Piece]:
    """Return a picture with its scale and caption below it."""
    below = paper.text_height_mm(f"Scale 1 : 10.0. {caption}", width_mm, SMALL_PT)

    def draw(to: Paper, x: float, y: float) -> None:
        scale = inside(to, x, y)
        to.text(x, y + height_mm + 1.0, width_mm, f"{scale} {caption}", SMALL_PT, colour="muted")

    return [Piece(height_mm + below + 3.0, draw)]


def onto_pages(
    sections: list[list[Piece]], room_mm: tuple[float, float], own_page: list[bool]
) -> list[list[tuple[float, Piece]]]:
    """Return pages, each a list of (height from the top, piece).

    Parameters
    ----------
    sections : list of lists of Piece
        In order.
    room_mm : (float, float)
        Room on the first page and on the others. [mm]
    own_page : list of bool
        Which sections begin a new page.
    """
    pages: list[list[tuple[float, Piece]]] = [[]]
    y = 0.0
    for section, alone in zip(sections, own_page, strict=True):
        if alone and pages[-1]:
            pages.append([])
            y = 0.0
        for index, piece in enumerate(section):
            needed = _kept_height(section, index)
            room = room_mm[0] if len(pages) == 1 else room_mm[1]
            if pages[-1] and y + needed > room:
                pages.append([])
                y = 0.0
                if piece.head is not None:
                    pages[-1].append((y, piece.head))
                    y += piece.head.height_mm
            pages[-1].append((y, piece))
            y += piece.height_mm
    return pages


def _kept_height(section: list[Piece], index: int) -> float:
    """Return the height of a piece with all those that it is kept with. [mm]."""
    height = 0.0
    for piece in section[index:]:
        height += piece.height_mm
        if not piece.keep:
            break
    return height
