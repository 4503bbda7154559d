"""A document as PDF: vector, selectable, page by page, with the page's number of how many."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.printing.paper import Align, Paper
from app.printing.pieces import onto_pages, section_pieces

if TYPE_CHECKING:
    from app.printing.content import Document

LEFT_MM, TOP_MM, FOOT_MM = 14.0, 12.0, 13.0
CREATOR = "Panewright"


def document_pdf(document: Document) -> bytes:
    """Return a document as the bytes of a PDF; needs no screen."""
    with Paper(f"{document.title}: {document.kind.lower()}", CREATOR) as paper:
        width = paper.width_mm - 2.0 * LEFT_MM
        below = _heading_height(document, paper, width)
        room = paper.height_mm - TOP_MM - FOOT_MM - 2.0
        sections = [section_pieces(section, paper, width) for section in document.sections]
        own_page = [section.own_page for section in document.sections]
        pages = onto_pages(sections, (room - below, room - 6.0), own_page)
        for number, page in enumerate(pages, 1):
            if number > 1:
                paper.new_page()
            top = TOP_MM + (below if number == 1 else 6.0)
            if number == 1:
                _heading(document, paper, width)
            else:
                _running_head(document, paper, width)
            for y, piece in page:
                piece.draw(paper, LEFT_MM, top + y)
            _foot(document, paper, width, number, len(pages))
    return paper.content()


def _heading_height(document: Document, paper: Paper, width_mm: float) -> float:
    title = paper.text_height_mm(document.title, width_mm - 50.0, 16.0, bold=True)
    return 4.0 + title + paper.text_height_mm(document.subtitle, width_mm, 8.5) + 5.0


def _heading(document: Document, paper: Paper, width_mm: float) -> None:
    height = _heading_height(document, paper, width_mm)
    paper.text(LEFT_MM, TOP_MM, width_mm, document.kind, 8.0, colour="muted")
    paper.text(LEFT_MM, TOP_MM + 3.6, width_mm - 50.0, document.title, 16.0, bold=True)
    paper.text(
        LEFT_MM + width_mm - 60.0,
        TOP_MM,
        60.0,
        document.code,
        6.8,
        colour="muted",
        align=Align.AlignRight,
    )
    below = paper.text_height_mm(document.subtitle, width_mm, 8.5)
    paper.text(LEFT_MM, TOP_MM + height - below - 3.6, width_mm, document.subtitle, 8.5)
    y = TOP_MM + height - 2.2
    paper.line((LEFT_MM, y), (LEFT_MM + width_mm, y), 0.35, "ink")


def _running_head(document: Document, paper: Paper, width_mm: float) -> None:
    paper.text(
        LEFT_MM, TOP_MM - 2.0, width_mm, f"{document.kind} · {document.title}", 6.8, colour="muted"
    )
    y = TOP_MM + 2.2
    paper.line((LEFT_MM, y), (LEFT_MM + width_mm, y))


def _foot(document: Document, paper: Paper, width_mm: float, number: int, count: int) -> None:
    y = paper.height_mm - FOOT_MM
    paper.line((LEFT_MM, y), (LEFT_MM + width_mm, y))
    paper.text(LEFT_MM, y + 1.2, width_mm - 30.0, document.footer, 6.5, colour="muted")
    paper.text(
        LEFT_MM + width_mm - 30.0,
        y + 1.2,
        30.0,
        f"page {number} of {count}",
        6.5,
        colour="muted",
        align=Align.AlignRight,
    )
