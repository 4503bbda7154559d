"""A quote: nest, time and price a job at one quantity and at its breaks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.errors import Finding, PlanError, Severity, UnknownNameError
from core.layout.nest import nest
from core.layout.nest_parts import parts_of
from core.layout.nest_records import NestTask, Pinned, RackSheet, Turns
from core.layout.records import PlacedPart
from core.quote.case import Case
from core.quote.price import price_of
from core.quote.service_lines import services_done
from core.quote.sheet_work import work_on_nesting
from core.quote.spread import price_range, slopes

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from decimal import Decimal

    from core.job import Job
    from core.layout.nest_records import Nesting
    from core.library.rate_records import Rates
    from core.library.shelf import Shelf
    from core.quote.price import Price
    from core.quote.sheet_work import Planned
    from core.quote.spread import PriceRange, Slope
    from core.quote.work import Work

MOST_COPIES = 1_000_000
"""Above this a quantity is a slip of the pen."""


@dataclass(frozen=True, slots=True)
class Break:
    """The price at one quantity."""

    quantity: int
    sheet_count: int
    used_ratio: float
    machine_s: float
    per_part: Decimal
    total: Decimal


@dataclass(frozen=True, eq=False, slots=True)
class Quote:
    """Everything there is to say to a customer, and to the shop, about a price.

    Parameters
    ----------
    job : Job
        What is quoted.
    task, nesting : NestTask, Nesting
        The parts, and where they lie.
    case : Case
        What the price is computed from.
    price : Price or None
        None where a finding says why there is none.
    breaks : tuple of Break
        By quantity, the smallest first.
    slopes : tuple of Slope
        The inputs that move the price most.
    range : PriceRange or None
        Where the price may end up.
    included : tuple of str
        What is done to the parts, as the customer reads it.
    findings : tuple of Finding
        What was noticed.
    """

    job: Job
    task: NestTask
    nesting: Nesting
    case: Case
    price: Price | None
    breaks: tuple[Break, ...]
    slopes: tuple[Slope, ...]
    range: PriceRange | None
    included: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def work(self) -> Work:
        """Sheets, minutes, metres and pieces of the quantity asked for."""
        return self.case.work


def rack_of(job: Job, shelf: Shelf, rates: Rates) -> tuple[RackSheet, ...]:
    """Return the sheets that a job may be cut from, the job's own if it names no others."""
    stocks = [shelf.sheet(key) for key in dict.fromkeys(job.offer.rack or (job.sheet,))]
    return tuple(
        RackSheet(stock, stock.in_stock, rates.offcut_value_share if stock.offcut else 1.0)
        for stock in stocks
    )


def quote(
    job: Job,
    planned: Planned,
    rack: tuple[RackSheet, ...],
    breaks: Sequence[int] = (),
    *,
    better: Callable[[Nesting], None] | None = None,
    progress: Callable[[float], None] | None = None,
    enough: Callable[[], bool] | None = None,
) -> Quote:
    """Return the quote of a job.

    Parameters
    ----------
    job : Job
        What is quoted, and how many.
    planned : Planned
        Its plan.
    rack : tuple of RackSheet
        What it may be cut from.
    breaks : sequence of int
        Other quantities to price.
    better : callable or None
        Told every better layout of the quantity asked for.
    progress : callable or None
        Told how far the work is, from 0 to 1.
    enough : callable or None
        Asked now and then; True ends the search for better layouts.

    Raises
    ------
    PlanError
        If a quantity or an amount cannot be meant.
    """
    quantities = sorted({job.quantity, *breaks})
    for quantity in quantities:
        _check(quantity)
    if not planned.contours:
        raise PlanError("there is no drawing to quote; give one, or a job that holds one")

    def share_of(index: int) -> Callable[[float], None] | None:
        if progress is None:
            return None
        return lambda done: progress((index + done) / len(quantities))

    priced: dict[int, tuple[NestTask, Nesting, Case, Price | Finding | None]] = {}
    noticed: tuple[Finding, ...] = ()
    for index, quantity in enumerate(quantities):
        asked = quantity == job.quantity
        task, strangers = _task(job, planned, rack, quantity, pinned=asked)
        nesting = nest(
            task, better=better if asked else None, progress=share_of(index), enough=enough
        )
        work = work_on_nesting(planned, task, nesting, quantity)
        case = Case(
            work, planned.chosen.material, job.thickness_mm, planned.chosen.rates, job.offer
        )
        complete = task.parts and not nesting.unplaced
        priced[quantity] = task, nesting, case, price_of(case) if complete else None
        noticed = strangers
    task, nesting, case, price = priced[job.quantity]
    whole = None if isinstance(price, Finding) else price
    findings = [*noticed, *nesting.findings, *_wear_unknown(case), *_not_found(case, whole)]
    if isinstance(price, Finding):
        findings.append(price)
    return Quote(
        job=job,
        task=task,
        nesting=nesting,
        case=case,
        price=whole,
        breaks=tuple(_breaks(priced)),
        slopes=slopes(case) if whole else (),
        range=price_range(case) if whole else None,
        included=tuple(s.shown_as or s.name for s in services_done(case)),
        findings=tuple(findings),
    )


def _check(quantity: int) -> None:
    if not 1 <= quantity <= MOST_COPIES:
        raise PlanError(f"a quantity of {quantity} cannot be quoted; give 1 to {MOST_COPIES}")


def _task(
    job: Job, planned: Planned, rack: tuple[RackSheet, ...], quantity: int, *, pinned: bool
) -> tuple[NestTask, tuple[Finding, ...]]:
    offer, cutting, rates = job.offer, planned.chosen.cutting, planned.chosen.rates
    if offer.turns not in list(Turns):
        raise PlanError(f"parts cannot be turned {offer.turns!r}; say one of {', '.join(Turns)}")
    parts, findings = parts_of(planned.contours, quantity, Turns(offer.turns), offer.may_mirror)
    known = {(part.drawing, part.contour_id) for part in parts}
    fixed = tuple(
        Pinned(p.sheet, PlacedPart(p.drawing, p.contour_id, p.at_mm, p.turn_deg, p.mirrored))
        for p in offer.pinned
        if pinned and (p.drawing, p.contour_id) in known
    )
    task = NestTask(
        parts=parts,
        rack=rack,
        kerf_mm=max(cutting.rough.diameter_mm, cutting.finish.diameter_mm),
        zones_mm=offer.zones_mm,
        in_holes=offer.in_holes,
        pinned=fixed,
        least_offcut_mm=_least_offcut(rates),
    )
    return task, findings


def _least_offcut(rates: Rates) -> tuple[float, float]:
    least = rates.least_offcut_long_mm, rates.least_offcut_short_mm
    # rates that name none keep none
    return least if all(least) else (float("inf"), float("inf"))


def _breaks(
    priced: dict[int, tuple[NestTask, Nesting, Case, Price | Finding | None]],
) -> Iterator[Break]:
    for quantity, (_, _, case, price) in priced.items():
        if price is not None and not isinstance(price, Finding):
            work = case.work
            yield Break(
                quantity,
                work.sheet_count,
                work.used_ratio,
                work.machine_s,
                price.per_part,
                price.total,
            )


def _not_found(case: Case, price: Price | None) -> Iterator[Finding]:
    """Tell what the offer names that the rates or the ledger do not have."""
    offer, lines = case.offer, [line.name for line in price.lines] if price else []
    services = [service.name for service in case.rates.services]
    for kind, known, named in (
        ("service", services, (*offer.services, *offer.without)),
        ("line", lines, [change.name for change in offer.changes] if price else []),
    ):
        for name in named:
            if name not in known:
                yield Finding(
                    f"{kind}-unknown", Severity.TIGHT, str(UnknownNameError(kind, name, known))
                )


def _wear_unknown(case: Case) -> Iterator[Finding]:
    for use in case.work.cutters:
        cutter = use.mounted.cutter
        if not cutter.price or not cutter.edge_life_m:
            yield Finding(
                "wear-unknown",
                Severity.NOTE,
                f"{use.mounted.name} has no price or no life of its edge, so its wear is not in "
                "the price; add both to the cutter's file.",
            )
