"""The quote as PDF: the customer's page, and the shop's cost sheet. Neither needs a screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.printing.cost_content import cost_document
from app.printing.document_pdf import document_pdf
from app.printing.quote_content import quote_document
from core.units import UnitSystem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from core.quote.comparing import Column
    from core.quote.quoting import Quote
    from core.quote.sheet_work import Planned


def quote_pdf(
    quote: Quote, planned: Planned, dated: date, system: UnitSystem = UnitSystem.METRIC
) -> bytes:
    """Return the customer's page as the bytes of a PDF.

    Raises
    ------
    PlanError
        If there is no price to write down.
    """
    return document_pdf(quote_document(quote, planned, dated, system))


def cost_pdf(
    quote: Quote,
    planned: Planned,
    dated: date,
    alternatives: Sequence[Column] = (),
    system: UnitSystem = UnitSystem.METRIC,
) -> bytes:
    """Return the shop's cost sheet as the bytes of a PDF.

    Raises
    ------
    PlanError
        If there is no price to write down.
    """
    return document_pdf(cost_document(quote, planned, dated, alternatives, system))
