"""What is done to the parts besides cutting: the shop's services, and lines the user wrote."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from core.errors import PlanError
from core.explained import Origin
from core.job import Per
from core.quote.cost_lines import HOUR_MIN
from core.quote.drafts import Draft, Group, draft
from core.quote.money import exact
from core.units import convert

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.rate_records import Service
    from core.quote.case import Case

COUNTED = {
    Per.PIECE: "pieces",
    Per.METRE: "m of edge",
    Per.HOLE: "holes",
    Per.SHEET: "sheets",
    Per.JOB: "job",
}
"""What a line is counted by, in words."""


def count_of(case: Case, per: Per) -> Decimal:
    """Return how many pieces, metres, holes, sheets or jobs there are."""
    return {
        Per.PIECE: Decimal(case.work.pieces),
        Per.METRE: exact(case.work.edge_m),
        Per.HOLE: Decimal(case.work.holes),
        Per.SHEET: Decimal(case.work.sheet_count),
        Per.JOB: Decimal(1),
    }[per]


def services_done(case: Case) -> tuple[Service, ...]:
    """Return the services that this job gets: by rule, asked for besides, or left out."""
    return tuple(
        service
        for service in case.rates.services
        if service.name not in case.offer.without
        and (service.name in case.offer.services or (service.included and _by_rule(case, service)))
    )


def _by_rule(case: Case, service: Service) -> bool:
    for_material = not service.materials or case.material.key in service.materials
    return for_material and case.thickness_mm >= service.from_thickness_mm


def service_lines(case: Case) -> Iterator[Draft]:
    """Yield a line for each service, then for each line of the user's own."""
    for service in services_done(case):
        count = count_of(case, service.per)
        if count:
            yield _service(case, service, count)
    for free in case.offer.free_lines:
        yield _free(case, free.name, free.per, money_of(free.amount, free.name), exact(free.count))


def _service(case: Case, service: Service, count: Decimal) -> Draft:
    minutes = Decimal(0)
    if service.minutes is not None:
        minutes = exact(convert(service.minutes.value, service.minutes.unit, "min"))
    minutes *= case.levers.service_time
    price = Decimal(service.price or 0)
    each = minutes / HOUR_MIN * case.labour_rate + price
    return draft(
        Group.SERVICES,
        service.name,
        count * each,
        f"{_counted(count, service.per)}, {_each(minutes, price)}",
        "S = n (t l / 60 + c)",
        (
            ("n", COUNTED[service.per], count, "", Origin.COMPUTED),
            ("t", "labour for each", minutes, "min", Origin.LIBRARY),
            ("l", "labour rate", case.labour_rate, f"{case.rates.currency}/h", Origin.LIBRARY),
            ("c", "price for each", price, case.rates.currency, Origin.LIBRARY),
        ),
        case.rates,
        note=_rule(service),
    )


def _counted(count: Decimal, per: Per) -> str:
    if per is Per.METRE:
        return f"{count:.2f} {COUNTED[per]}"
    return f"{count:f} {per.value if count == 1 else COUNTED[per]}"


def _each(minutes: Decimal, price: Decimal) -> str:
    words = [f"{minutes:.4g} min"] if minutes else []
    words += [f"{price}"] if price else []
    return " and ".join(words) + " each"


def _rule(service: Service) -> str:
    if not service.included:
        return "asked for"
    words = [f"for {', '.join(service.materials)}"] if service.materials else []
    if service.from_thickness_mm:
        words.append(f"from {service.from_thickness_mm:g} mm on")
    return "by the shop's rule" + (f": {' '.join(words)}" if words else ", always")


def _free(case: Case, name: str, per: Per, amount: Decimal, times: Decimal) -> Draft:
    count = count_of(case, per) * times
    return draft(
        Group.FREE,
        name,
        count * amount,
        f"{count:.2f} x {amount}" if count % 1 else f"{count:f} x {amount}",
        "F = n k c",
        (
            ("n", COUNTED[per], count_of(case, per), "", Origin.COMPUTED),
            ("k", "how many on each", times, "", Origin.TYPED),
            ("c", "price for each", amount, case.rates.currency, Origin.TYPED),
        ),
        case.rates,
    )


def money_of(text: str, name: str) -> Decimal:
    """Return an amount that the user wrote.

    Raises
    ------
    PlanError
        If it is none.
    """
    try:
        amount = Decimal(text)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or abs(amount) >= Decimal(10) ** 12:
        raise PlanError(f"{name}: {text!r} is no amount of money; write one like '12.50'")
    return amount
