"""What a job costs the shop: sheet, machine, labour, cutters. One function a line.

Every function returns the line of the whole job, unrounded; a line whose minutes or counts are zero
is left out.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from core.explained import Origin
from core.quote.drafts import Draft, Group, draft
from core.quote.money import exact

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.rate_records import EdgeLife
    from core.library.records import MountedCutter
    from core.quote.case import Case
    from core.quote.work import SheetsUsed

HOUR_MIN = Decimal(60)
SQUARE_METRE_MM2 = Decimal(10) ** 6


def cost_lines(case: Case, sheet_price: Decimal) -> Iterator[Draft]:
    """Yield the lines of sheet, machine, labour and cutters.

    Parameters
    ----------
    case : Case
        What is priced.
    sheet_price : Decimal
        Money for a square metre of the sheet.
    """
    yield from _material(case, sheet_price)
    yield _machine(case)
    yield from _labour(case)
    yield from _stops(case)
    yield from _wear(case)


def _material(case: Case, price: Decimal) -> Iterator[Draft]:
    several = len(case.work.sheets) > 1
    for used in case.work.sheets:
        yield _sheets(case, used, price, f"material, {used.stock.name}" if several else "material")
    kept = exact(case.work.kept_mm2) / SQUARE_METRE_MM2
    share = exact(case.rates.offcut_value_share)
    if kept and share:
        yield draft(
            Group.MATERIAL,
            "offcuts back on the rack",
            -kept * price * share,
            f"{kept:.3f} m2 credited at {share:.0%} of {price} a m2",
            "K = -A_k p s",
            (
                ("A_k", "offcuts worth keeping", kept, "m2", Origin.COMPUTED),
                ("p", "price of the sheet", price, f"{case.rates.currency}/m2", Origin.LIBRARY),
                ("s", "worth of an offcut", share, "", Origin.LIBRARY),
            ),
            case.rates,
        )


def _sheets(case: Case, used: SheetsUsed, price: Decimal, name: str) -> Draft:
    area = exact(used.area_mm2) / SQUARE_METRE_MM2
    share = exact(case.rates.offcut_value_share) if used.stock.offcut else Decimal(1)
    worth = f", an offcut at {share:.0%}" if used.stock.offcut else ""
    return draft(
        Group.MATERIAL,
        name,
        area * price * share,
        f"{used.count} x {used.stock.name}, {area:.4f} m2 at {price} a m2{worth}; "
        f"{case.work.used_ratio:.0%} becomes parts",
        "M = n A p s",
        (
            ("n", "sheets", used.count, "", Origin.COMPUTED),
            ("A", "area of one", area / used.count, "m2", Origin.LIBRARY),
            ("p", "price of the sheet", price, f"{case.rates.currency}/m2", Origin.LIBRARY),
            ("s", "worth against a bought sheet", share, "", Origin.LIBRARY),
        ),
        case.rates,
        note="scrap is in it: whole sheets are charged, and offcuts worth keeping are credited",
    )


def _machine(case: Case) -> Draft:
    minutes = exact(case.work.machine_s) / 60 * case.levers.machine_time
    rate = case.machine_rate
    return draft(
        Group.MACHINE,
        "machine",
        minutes / HOUR_MIN * rate,
        f"{minutes:.2f} min at {rate} an hour",
        "T = t m / 60",
        (
            ("t", "time on the machine, all sheets", minutes, "min", Origin.COMPUTED),
            ("m", "machine rate", rate, f"{case.rates.currency}/h", Origin.LIBRARY),
        ),
        case.rates,
        note="the time of the plan on these sheets: cutting, entries, rapid moves, spindle and "
        "cutter changes",
    )


def _labour(case: Case) -> Iterator[Draft]:
    rates, work, levers = case.rates, case.work, case.levers
    a_sheet = exact(rates.loading_minutes_per_sheet) + exact(rates.unloading_minutes_per_sheet)
    for name, each, count, what, factor in (
        ("loading", a_sheet, work.sheet_count, "sheets", levers.handling_time),
        ("set-up", exact(rates.setup_minutes), 1, "batch", levers.setup_time),
        ("first part", exact(rates.first_part_minutes), 1, "check", levers.setup_time),
    ):
        minutes = each * count * factor
        if not minutes:
            continue
        yield draft(
            Group.LABOUR,
            name,
            minutes / HOUR_MIN * case.labour_rate,
            f"{minutes:.1f} min at {case.labour_rate} an hour",
            "L = n t l / 60",
            (
                ("n", what, count, "", Origin.COMPUTED),
                ("t", "time for each", each * factor, "min", Origin.LIBRARY),
                ("l", "labour rate", case.labour_rate, f"{rates.currency}/h", Origin.LIBRARY),
            ),
            rates,
            note="once a batch, however many" if what in ("batch", "check") else "",
        )


def _stops(case: Case) -> Iterator[Draft]:
    minutes = exact(case.rates.stop_minutes) * case.levers.handling_time
    count = case.work.stops
    if not minutes * count:
        return
    money = f"{case.rates.currency}/h"
    both = case.labour_rate + case.machine_rate
    yield draft(
        Group.LABOUR,
        "stops",
        count * minutes / HOUR_MIN * both,
        f"{count} programmed stops, {minutes.normalize():f} min each, person and machine",
        "L = n t (l + m) / 60",
        (
            ("n", "stops of the program", count, "", Origin.COMPUTED),
            ("t", "time for each", minutes, "min", Origin.LIBRARY),
            ("l", "labour rate", case.labour_rate, money, Origin.LIBRARY),
            ("m", "machine rate", case.machine_rate, money, Origin.LIBRARY),
        ),
        case.rates,
        note="the machine stands while a person takes a piece of waste out",
    )


def _wear(case: Case) -> Iterator[Draft]:
    life = edge_life(case)
    for use in case.work.cutters:
        cutter = use.mounted.cutter
        if not cutter.price or not cutter.edge_life_m or not use.cut_m:
            continue
        metres = exact(use.cut_m)
        share = Decimal(1) if life is None else exact(life.share)
        lasts = exact(cutter.edge_life_m) * share * case.levers.edge_life
        price = Decimal(cutter.price)
        yield draft(
            Group.CUTTERS,
            f"wear of T{use.mounted.tool_number}",
            metres / lasts * price,
            f"{metres:.1f} m of {lasts:.0f} m that its edge lasts in {case.material.name}, "
            f"at {price}",
            "W = L / (L_e s) c",
            (
                ("L", "length cut", metres, "m", Origin.COMPUTED),
                ("L_e", "life of the edge", exact(cutter.edge_life_m), "m", Origin.LIBRARY),
                ("s", f"share of it in {case.material.name}", share, "", Origin.LIBRARY),
                ("c", "price of the cutter", price, case.rates.currency, Origin.LIBRARY),
            ),
            case.rates,
            note=_both_lives(case, use.mounted),
        )


def edge_life(case: Case) -> EdgeLife | None:
    """Return how long an edge lasts in the material, against the cutter's own life."""
    for life in case.rates.edge_lives:
        if case.material.key in life.materials:
            return life
    return None


def _both_lives(case: Case, mounted: MountedCutter) -> str:
    others = [u.mounted for u in case.work.cutters if u.mounted.key != mounted.key]
    lives = [
        f"T{m.tool_number} lasts {m.cutter.edge_life_m:g} m"
        + (" (it only ever finishes)" if m.finish_only else "")
        for m in (mounted, *others)
        if m.cutter.edge_life_m
    ]
    return "; ".join(lives)
