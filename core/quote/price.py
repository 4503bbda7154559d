"""The price of a job: lines that add up, mark-up, the unit price, tax.

Every line is computed to the last digit, rounded once, and carried on as it is shown: overhead and
mark-up are shares of rounded lines, so that each can be checked by hand. What is between their sum
and the unit price times the quantity stands in a line of its own. So the ledger adds up to the
cent, and so does the customer's page.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from core.errors import Finding, PlanError, Severity
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
    """Return the price, or the finding that says why there is none.

    Codes: `price-missing` (of the sheet), `amount-unreadable` (written by the user).
    """
    try:
        drafts = drafts_of(case)
    except PlanError as error:
        return Finding("amount-unreadable", Severity.TIGHT, f"{error}; so no price is given.")
    if isinstance(drafts, Finding):
        return drafts
    per_part = rounded(_sum(drafts) / case.work.quantity, case.step)
    total = per_part * case.work.quantity
    drafts += _rounding(case, total, total - _sum(drafts))
    (tax,) = _rounded(case, [_tax(case, total)])
    return Price(
        lines=tuple(map(_line, drafts)),
        total=total,
        per_part=per_part,
        currency=case.rates.currency,
        cost=_sum([one for one in drafts if one.group not in _ON_TOP]),
        tax=_line(tax),
        gross=total + tax.amount,
    )


_ON_TOP = (Group.OVERHEAD, Group.MARKUP, Group.ROUNDING)


def _sum(drafts: list[Draft]) -> Decimal:
    return sum((one.amount for one in drafts), Decimal(0))


def _rounded(case: Case, drafts: list[Draft]) -> list[Draft]:
    amounts = [rounded(one.amount, case.step) for one in drafts]
    return [
        replace(one, amount=amount, explained=replace(one.explained, value=float(amount)))
        for one, amount in zip(drafts, amounts, strict=True)
    ]


def _line(one: Draft) -> PriceLine:
    return PriceLine(one.name, one.amount, one.reason, one.group, one.explained)


def drafts_of(case: Case) -> list[Draft] | Finding:
    """Return all lines, overhead and mark-up included, each rounded to the case's step.

    Raises
    ------
    PlanError
        If an amount that the user wrote is none.
    """
    sheet_price = case.sheet_price
    if sheet_price is None:
        return Finding(
            "price-missing",
            Severity.NOTE,
            f"There is no price for {case.material.name} {case.thickness_mm:g} mm in the rates "
            f"{case.rates.name!r}, so no price is given; add it to the rates file.",
        )
    drafts = _changed(case, [*cost_lines(case, sheet_price), *service_lines(case)])
    drafts = _rounded(case, drafts)
    drafts += _rounded(case, _overhead(case, _sum(drafts)))
    return drafts + _rounded(case, _markup(case, _sum(drafts)))


def _changed(case: Case, drafts: list[Draft]) -> list[Draft]:
    """Return the lines with the amounts that were set by hand."""
    changes = {change.name: change for change in case.offer.changes}
    out = []
    for one in drafts:
        change = changes.get(one.name)
        if change is not None:
            amount = money_of(change.amount, one.name)
            note = f"set by hand ({change.reason}); computed: {rounded(one.amount, case.step)}"
            one = replace(
                one, amount=amount, reason=note, explained=replace(one.explained, note=note)
            )
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
                ("C", "sum of the lines above", cost, case.rates.currency, Origin.COMPUTED),
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


def _rounding(case: Case, total: Decimal, rest: Decimal) -> list[Draft]:
    if not rest:
        return []
    money = case.rates.currency
    per_part = total / case.work.quantity
    return [
        draft(
            Group.ROUNDING,
            "rounding",
            rest,
            "from the lines to the unit price times the quantity",
            "R = n u - C",
            (
                ("n", "quantity", case.work.quantity, "", Origin.TYPED),
                ("u", "unit price", per_part, money, Origin.COMPUTED),
                ("C", "sum of the lines above", total - rest, money, Origin.COMPUTED),
            ),
            case.rates,
        )
    ]


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
