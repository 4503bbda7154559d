"""From a file of rates to the record that prices are computed with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.library import entries
from core.library.magnitudes import Magnitudes, sources_of
from core.library.rate_records import EdgeLife, Rates, Service, SheetPrice

if TYPE_CHECKING:
    from core.library.files import EntryFile

MARKUP_ON = ("cost", "price")


def rates(file: EntryFile) -> Rates:
    """Return rates and prices."""
    entry = file.entry(entries.RatesEntry)
    read = Magnitudes(file.label)
    values = read.of(entry, Rates)
    values["setup_minutes"] = read.one(entry.setup, "setup_minutes", "min", "$.setup")
    if entry.markup_on not in MARKUP_ON:
        read.problems.append(f"one of {' | '.join(MARKUP_ON)} is needed @ $.markup_on")
    if entry.markup_on == "price" and values.get("markup_share", 0.0) >= 1.0:
        read.problems.append("a margin on the price stays below 100 % @ $.markup_share")
    made = Rates(
        key=file.key,
        name=entry.name,
        currency=entry.currency,
        machine_per_hour=read.money(entry.machine_per_hour, "$.machine_per_hour"),
        labour_per_hour=read.money(entry.labour_per_hour, "$.labour_per_hour"),
        sheet_prices=_sheet_prices(entry, read),
        markup_on=entry.markup_on,
        tax_name=entry.tax_name,
        smallest_amount=_smallest(entry, read),
        dated=entry.dated,
        edge_lives=_edge_lives(entry, read),
        services=_services(entry, read),
        address=entry.address,
        valid_days=entry.valid_days,
        terms=entry.terms,
        sources=sources_of(entry, Rates),
        **values,
    )
    read.done()
    return made


def _smallest(entry: entries.RatesEntry, read: Magnitudes) -> str:
    text = read.money(entry.smallest_amount, "$.smallest_amount")
    if not text.strip("0."):
        read.problems.append("money is rounded to something above 0 @ $.smallest_amount")
    return text


def _sheet_prices(entry: entries.RatesEntry, read: Magnitudes) -> tuple[SheetPrice, ...]:
    return tuple(
        SheetPrice(
            row.material,
            read.one(row.thickness, "thickness_mm", "mm", f"$.sheet_prices[{index}].thickness"),
            read.money(row.price_per_m2, f"$.sheet_prices[{index}].price_per_m2"),
        )
        for index, row in enumerate(entry.sheet_prices)
    )


def _edge_lives(entry: entries.RatesEntry, read: Magnitudes) -> tuple[EdgeLife, ...]:
    lives = []
    for index, row in enumerate(entry.edge_lives):
        value = read.one(row.share, "edge_life_share", "", f"$.edge_lives[{index}].share")
        low = row.share.value if row.share.low is None else row.share.low
        high = row.share.value if row.share.high is None else row.share.high
        # low and high stand in the unit of the value
        scale = value / row.share.value if row.share.value else 0.0
        lives.append(EdgeLife(row.materials, value, low * scale, high * scale, row.share.source))
    return tuple(lives)


def _services(entry: entries.RatesEntry, read: Magnitudes) -> tuple[Service, ...]:
    made = []
    for index, row in enumerate(entry.services):
        path = f"$.services[{index}]"
        if row.minutes is not None:
            read.one(row.minutes, "service_minutes", "min", f"{path}.minutes")
        elif not row.price:
            read.problems.append(f"a service takes minutes, costs a price, or both @ {path}")
        from_mm = 0.0
        if row.from_thickness is not None:
            from_mm = read.one(
                row.from_thickness, "from_thickness_mm", "mm", f"{path}.from_thickness"
            )
        made.append(
            Service(
                name=row.name,
                per=row.per,
                minutes=row.minutes,
                price=read.money(row.price, f"{path}.price") if row.price else "",
                included=row.included,
                materials=row.materials,
                from_thickness_mm=from_mm,
                shown_as=row.shown_as,
            )
        )
    if len({service.name for service in made}) < len(made):
        read.problems.append("two services have one name @ $.services")
    return tuple(made)
