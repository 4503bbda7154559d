"""The setup sheet as files: PDF for the machine, HTML for a screen reader."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.printing.document_html import document_html
from app.printing.document_pdf import document_pdf
from app.printing.setup_content import setup_document
from core.units import UnitSystem

if TYPE_CHECKING:
    from core.pipeline import Results


def setup_sheet_pdf(
    results: Results, version: str, system: UnitSystem = UnitSystem.METRIC, proof: str = ""
) -> bytes:
    """Return the setup sheet as the bytes of a PDF; needs no screen."""
    return document_pdf(setup_document(results, version, system, proof))


def setup_sheet_html(
    results: Results, version: str, system: UnitSystem = UnitSystem.METRIC, proof: str = ""
) -> str:
    """Return the setup sheet as HTML."""
    return document_html(setup_document(results, version, system, proof))
