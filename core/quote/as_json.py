"""The quote as JSON: the field `quote` of format 1. Lengths mm, times s, money as text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.layout.nest_records import NestedSheet
    from core.quote.comparing import Column
    from core.quote.price import Price
    from core.quote.quoting import Quote


def quote_fields(quote: Quote, alternatives: Sequence[Column] = ()) -> dict[str, Any]:
    """Return the quote as plain dictionaries and lists; what is not computed is None."""
    work, nesting, price = quote.work, quote.nesting, quote.price
    return {
        "quantity": quote.job.quantity,
        "customer": quote.job.offer.customer or None,
        "currency": quote.case.rates.currency,
        "per_part": str(price.per_part) if price else None,
        "total": str(price.total) if price else None,
        "cost": str(price.cost) if price else None,
        "tax": _tax(price) if price else None,
        "lines": [
            {
                "name": line.name,
                "group": line.group.value,
                "amount": str(line.amount),
                "reason": line.reason,
                "formula": line.explained.formula,
            }
            for line in (price.lines if price else ())
        ],
        "sheets": [_sheet(sheet) for sheet in nesting.sheets],
        "sheet_count": nesting.sheet_count,
        "used_ratio": round(nesting.used_ratio, 9),
        "least_sheet_mm2": round(nesting.bound_mm2, 3),
        "method": nesting.method,
        "machine_s": round(work.machine_s, 6),
        "edge_m": round(work.edge_m, 6),
        "pieces": work.pieces,
        "stops": work.stops,
        "breaks": [
            {
                "quantity": one.quantity,
                "per_part": str(one.per_part),
                "total": str(one.total),
                "sheets": one.sheet_count,
                "used_ratio": round(one.used_ratio, 9),
                "machine_s": round(one.machine_s, 6),
            }
            for one in quote.breaks
        ],
        "slopes": [
            {"name": s.name, "change": "10 % more", "per_part": str(s.per_part)}
            for s in quote.slopes
        ],
        "range": _range(quote),
        "alternatives": [_alternative(one) for one in alternatives],
        "included": list(quote.included),
        "findings": [
            {"code": f.code, "severity": f.severity.value, "message": f.message}
            for f in quote.findings
        ],
    }


def _tax(price: Price) -> dict[str, str]:
    return {
        "name": price.tax.name,
        "amount": str(price.tax.amount),
        "with_tax": str(price.gross),
    }


def _sheet(sheet: NestedSheet) -> dict[str, Any]:
    return {
        "sheet": sheet.stock.key,
        "size_mm": list(sheet.stock.size_mm),
        "repeat": sheet.repeat,
        "offcuts_mm": [[round(side, 6) for side in strip] for strip in sheet.offcuts_mm],
        "parts": [
            {
                "drawing": part.drawing,
                "contour": part.contour_id,
                "at_mm": [round(side, 6) for side in part.at_mm],
                "turn_deg": round(part.turn_deg, 9),
                "mirrored": part.mirrored,
            }
            for part in sheet.parts
        ],
    }


def _range(quote: Quote) -> dict[str, Any] | None:
    if quote.range is None:
        return None
    return {
        "low": str(quote.range.low),
        "high": str(quote.range.high),
        "causes": [
            {"name": c.name, "low": str(c.low), "high": str(c.high), "reason": c.reason}
            for c in quote.range.causes
        ],
    }


def _alternative(one: Column) -> dict[str, Any]:
    return {
        "label": one.label,
        "per_part": None if one.per_part is None else str(one.per_part),
        "difference": None if one.difference is None else str(one.difference),
        "groups": {group.value: str(amount) for group, amount in one.groups},
        "sheets": one.sheet_count,
        "machine_s": round(one.machine_s, 6),
    }
