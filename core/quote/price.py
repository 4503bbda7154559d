"""The price of a job: lines that add up, mark-up, the unit price, tax.

Lines are computed to the last digit and rounded once each; what is between their sum and the unit
price times the quantity stands in a line of its own. So the ledger adds up to the cent, and so does
the customer's page.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from core.errors import Finding, PlanError, Severity, UnknownNameError
from core.explained import Origin
from core.quote.cost_lines import cost_lines
from core.quote.drafts import Draft, Group, draft
from core.quote.money import exact, rounded
from core.quote.service_lines import money_of, service_lines

if TYPE_CHECKING:
    from core.explained import Explained
    from core.quote.case import Case


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the price; `amount` is rounded, `reason` says it in a few words."""

    name: str
    amount: Decimal
    reason: str
    group: Group
    explained: Explained


@dataclass(frozen=True, slots=True)
class Price:
    """The price of a job and of one copy of it.

    Parameters
    ----------
    lines : tuple of PriceLine
        They add up to `total`.
    total : Decimal
        Without tax: `per_part` times the quantity.
    per_part : Decimal
        Unit price.
    currency : str
        As the rates write it.
    cost : Decimal
        What the job costs the shop: all lines before overhead and mark-up.
    tax : PriceLine
        What is added for tax.
    gross : Decimal
        With tax.
    """

    lines: tuple[PriceLine, ...]
    total: Decimal
    per_part: Decimal
    currency: str
    cost: Decimal
    tax: PriceLine
    gross: Decimal


def price_of(case: Case) -> Price | Finding:
    """Return the price, or the finding that says which price of a sheet is missing.

    Raises
    ------
    UnknownNameError
        If a service is asked for, or a line changed, that there is not.
    PlanError
        If an amount is no amount.
    """
    drafts = drafts_of(case)
    if isinstance(drafts, Finding):
        return drafts
    step, quantity = case.step, case.work.quantity
    lines = [_line(one, step) for one in drafts]
    per_part = rounded(sum((one.amount for one in drafts), Decimal(0)) / quantity, step)
    total = per_part * quantity
    lines += _rounding(case, lines, total)
    tax = _line(_tax(case, total), step)
    cost = sum((x.amount for x in lines if x.group not in _ON_TOP), Decimal(0))
    return Price(tuple(lines), total, per_part, case.rates.currency, cost, tax, total + tax.amount)


_ON_TOP = (Group.OVERHEAD, Group.MARKUP, Group.ROUNDING)


def drafts_of(case: Case) -> tuple[Draft, ...] | Finding:
    """Return all lines to the last digit, overhead and mark-up included."""
    sheet_price = case.sheet_price
    if sheet_price is None:
        return Finding(
            "price-missing",
            Severity.NOTE,
            f"There is no price for {case.material.name} {case.thickness_mm:g} mm in the rates "
            f"{case.rates.name!r}, so no price is given; add it to the rates file.",
        )
    drafts = _changed(case, [*cost_lines(case, sheet_price), *service_lines(case)])
    drafts += _overhead(case, sum((d.amount for d in drafts), Decimal(0)))
    return (*drafts, *_markup(case, sum((d.amount for d in drafts), Decimal(0))))


def _line(one: Draft, step: Decimal) -> PriceLine:
    return PriceLine(one.name, rounded(one.amount, step), one.reason, one.group, one.explained)


def _changed(case: Case, drafts: list[Draft]) -> list[Draft]:
    """Return the lines with the amounts that were set by hand."""
    changes = {change.name: change for change in case.offer.changes}
    names = [one.name for one in drafts]
    for name in changes:
        if name not in names:
            raise UnknownNameError("line of the price", name, names)
    out = []
    for one in drafts:
        change = changes.get(one.name)
        if change is not None:
            amount = money_of(change.amount, one.name)
            note = f"set by hand ({change.reason}); computed: {rounded(one.amount, case.step)}"
            explained = replace(one.explained, value=float(amount), note=note)
            one = replace(one, amount=amount, reason=note, explained=explained)
        out.append(one)
    return out


def _overhead(case: Case, cost: Decimal) -> list[Draft]:
    share = exact(case.rates.overhead_share) * case.levers.overhead
    if not share:
        return []
    return [
        draft(
            Group.OVERHEAD,
            "overhead",
            cost * share,
            f"{share:.1%} on cost",
            "O = C o",
            (
                ("C", "sum of the lines above", cost, case.rates.currency, Origin.COMPUTED),
                ("o", "overhead", share, "", Origin.LIBRARY),
            ),
            case.rates,
        )
    ]


def _markup(case: Case, cost: Decimal) -> list[Draft]:
    typed = case.offer.markup_share
    share = exact(case.rates.markup_share if typed is None else typed) * case.levers.markup
    if not share:
        return []
    on_price = case.rates.markup_on == "price"
    if on_price and share >= 1:
        raise PlanError(f"a margin of {share:.0%} on the price cannot be; give less than 100 %")
    amount = cost * share / (1 - share) if on_price else cost * share
    return [
        draft(
            Group.MARKUP,
            "margin" if on_price else "mark-up",
            amount,
            f"{share:.1%} of the price" if on_price else f"{share:.1%} on cost",
            "G = C g / (1 - g)" if on_price else "G = C g",
            (
                ("C", "cost with overhead", cost, case.rates.currency, Origin.COMPUTED),
                (
                    "g",
                    "margin on the price" if on_price else "mark-up on cost",
                    share,
                    "",
                    Origin.LIBRARY if typed is None else Origin.TYPED,
                ),
            ),
            case.rates,
        )
    ]


def _rounding(case: Case, lines: list[PriceLine], total: Decimal) -> list[PriceLine]:
    rest = total - sum((line.amount for line in lines), Decimal(0))
    if not rest:
        return []
    one = draft(
        Group.ROUNDING,
        "rounding",
        rest,
        "from the lines to the unit price times the quantity",
        "R = n u - sum of the lines",
        (
            ("n", "quantity", case.work.quantity, "", Origin.TYPED),
            ("u", "unit price", total / case.work.quantity, case.rates.currency, Origin.COMPUTED),
        ),
        case.rates,
    )
    return [_line(one, case.step)]


def _tax(case: Case, total: Decimal) -> Draft:
    share = exact(case.rates.tax_share)
    return draft(
        Group.TAX,
        case.rates.tax_name,
        total * share,
        f"{share:.1%} on {total}",
        "V = P v",
        (
            ("P", "price without tax", total, case.rates.currency, Origin.COMPUTED),
            ("v", case.rates.tax_name, share, "", Origin.LIBRARY),
        ),
        case.rates,
    )
