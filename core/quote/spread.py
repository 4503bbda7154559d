"""What moves the price: slopes of its inputs, and how far it may lie from what was computed.

A slope is the price with one input ten per cent higher, less the price. The range takes each
uncertain input to its low and high end, one at a time, and adds the differences as squares: they
are taken as independent.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from core.errors import Finding
from core.quote.case import Levers
from core.quote.cost_lines import edge_life
from core.quote.money import exact, rounded
from core.quote.price import drafts_of
from core.quote.service_lines import count_of, services_done
from core.units import convert

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.records import Sourced
    from core.quote.case import Case

Minutes = tuple[Decimal, Decimal, Decimal]
"""Low end, value and high end of a time. [min]"""

TEN_PERCENT = Decimal("1.1")
MOST_SLOPES = 3

LAST_DIGIT = "0.000000000001"
"""Money is rounded to this where a small difference is wanted."""

NAMES = {
    "sheet_price": "price of the sheet",
    "machine_time": "time on the machine",
    "machine_rate": "machine rate",
    "labour_rate": "labour rate",
    "setup_time": "set-up and first part",
    "handling_time": "loading, unloading, stops",
    "service_time": "work by hand on the parts",
    "edge_life": "life of the cutters",
    "overhead": "overhead",
    "markup": "mark-up",
}
"""The levers, in words."""


@dataclass(frozen=True, slots=True)
class Slope:
    """What ten per cent more of an input does to the price of one copy."""

    lever: str
    name: str
    per_part: Decimal


@dataclass(frozen=True, slots=True)
class Cause:
    """An uncertain input: what its low and high end do to the price of one copy, and why."""

    lever: str
    name: str
    low: Decimal
    high: Decimal
    reason: str


@dataclass(frozen=True, slots=True)
class PriceRange:
    """Where the price of one copy may end up, and what makes the range wide, widest first."""

    low: Decimal
    high: Decimal
    causes: tuple[Cause, ...]


def exact_per_part(case: Case) -> Decimal:
    """Return the price of one copy to the last digit; the case must have a price."""
    drafts = drafts_of(replace(case, rates=replace(case.rates, smallest_amount=LAST_DIGIT)))
    assert not isinstance(drafts, Finding)
    return sum((one.amount for one in drafts), Decimal(0)) / case.work.quantity


def slopes(case: Case, most: int = MOST_SLOPES) -> tuple[Slope, ...]:
    """Return the inputs that move the price most, with what ten per cent more of each does."""
    now = exact_per_part(case)
    found = [
        Slope(lever, NAMES[lever], rounded(_with(case, lever, TEN_PERCENT) - now, case.step))
        for lever in (field.name for field in fields(Levers))
    ]
    return tuple(sorted(found, key=lambda slope: -abs(slope.per_part))[:most])


def _with(case: Case, lever: str, factor: Decimal) -> Decimal:
    changed: dict[str, Decimal] = {lever: factor}
    return exact_per_part(replace(case, levers=replace(case.levers, **changed)))


def price_range(case: Case) -> PriceRange:
    """Return where the price may end up, and what makes it so wide."""
    now = exact_per_part(case)
    causes = []
    low = high = Decimal(0)
    for lever, factors, reason in _uncertain(case):
        ends = [_with(case, lever, factor) - now for factor in factors]
        below, above = min(*ends, Decimal(0)), max(*ends, Decimal(0))
        low, high = low + below**2, high + above**2
        causes.append(
            Cause(lever, NAMES[lever], rounded(below, case.step), rounded(above, case.step), reason)
        )
    causes.sort(key=lambda cause: cause.low - cause.high)
    return PriceRange(
        rounded(now - low.sqrt(), case.step),
        rounded(now + high.sqrt(), case.step),
        tuple(cause for cause in causes if cause.low or cause.high),
    )


def _uncertain(case: Case) -> Iterator[tuple[str, tuple[Decimal, Decimal], str]]:
    """Yield the uncertain levers with their low and high factor, and why they are uncertain."""
    rates, work = case.rates, case.work
    one = Decimal(1)
    if work.machine_s > 0.0:
        jerk = exact(work.machine_with_jerk_s / work.machine_s)
        yield (
            "machine_time",
            (one, max(one, jerk)),
            "corners are slower where the machine's jerk is counted",
        )
    once = {"setup_minutes": 1, "first_part_minutes": 1}
    yield "setup_time", _factors(case, once), "as the shop's rates give it"
    each = {
        "loading_minutes_per_sheet": work.sheet_count,
        "unloading_minutes_per_sheet": work.sheet_count,
        "stop_minutes": work.stops,
    }
    yield "handling_time", _factors(case, each), "as the shop's rates give it"
    by_hand = [
        (_minutes(service.minutes), count_of(case, service.per))
        for service in services_done(case)
        if service.minutes is not None
    ]
    yield "service_time", _weighed(by_hand), "as the shop's rates give it"
    life = edge_life(case)
    if life is not None and life.share > 0.0:
        ends = exact(life.low_share / life.share), exact(life.high_share / life.share)
        yield "edge_life", ends, f"how long an edge lasts in {case.material.name}"
    band = exact(rates.sheet_price_band_share)
    yield "sheet_price", (one - band, one + band), "until the sheet is bought"


def _factors(case: Case, counts: dict[str, int]) -> tuple[Decimal, Decimal]:
    times = []
    for name, count in counts.items():
        sourced = case.rates.sources.get(name)
        certain = exact(getattr(case.rates, name))
        minutes = (certain, certain, certain) if sourced is None else _minutes(sourced)
        times.append((minutes, Decimal(count)))
    return _weighed(times)


def _minutes(sourced: Sourced) -> Minutes:
    low = sourced.value if sourced.low is None else sourced.low
    high = sourced.value if sourced.high is None else sourced.high
    a, b, c = (exact(convert(v, sourced.unit, "min")) for v in (low, sourced.value, high))
    return a, b, c


def _weighed(times: list[tuple[Minutes, Decimal]]) -> tuple[Decimal, Decimal]:
    """Return low and high of a sum of times, each against the sum itself."""
    low, middle, high = (
        sum((minutes[place] * count for minutes, count in times), Decimal(0)) for place in range(3)
    )
    return (low / middle, high / middle) if middle else (Decimal(1), Decimal(1))
