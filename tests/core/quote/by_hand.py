"""A job whose price is worked out by hand: round numbers, on rates of the test's own."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from core.job import Offer, Per
from core.library.rate_records import EdgeLife, Rates, Service, SheetPrice
from core.library.records import Basis, SheetStock, Sourced
from core.library.shelf import Shelf
from core.quote.case import Case
from core.quote.work import CutterUse, SheetsUsed, Work

SHELF = Shelf()
SHEET = SheetStock("sheet", "sheet 2050 x 1250", (2050.0, 1250.0), 15.0, 10.0)


def minutes(value, low=None, high=None):
    return Sourced(value, "min", "test", Basis.SHOP, low=low, high=high)


DEBURR = Service("deburr", Per.METRE, minutes(0.4, 0.3, 0.8), included=True)
PACK = Service("pack", Per.PIECE, minutes(0.6), "0.35", included=True, shown_as="packed singly")
TAP = Service("tap", Per.HOLE, minutes(0.7), "0.04")
ANNEAL = Service(
    "anneal",
    Per.PIECE,
    None,
    "1.10",
    included=True,
    materials=("acrylic_cast",),
    from_thickness_mm=8.0,
)

RATES = Rates(
    key="test",
    name="test rates",
    currency="EUR",
    machine_per_hour="58.00",
    labour_per_hour="39.00",
    setup_minutes=25.0,
    loading_minutes_per_sheet=4.0,
    sheet_prices=(
        SheetPrice("polycarbonate", 6.0, "74.00"),
        SheetPrice("acrylic_cast", 6.0, "60.00"),
        SheetPrice("acrylic_cast", 8.0, "80.00"),
    ),
    headroom_share=0.75,
    feed_mark_limit_um=5.0,
    unloading_minutes_per_sheet=3.0,
    first_part_minutes=10.0,
    stop_minutes=0.25,
    offcut_value_share=0.5,
    sheet_price_band_share=0.05,
    overhead_share=0.12,
    markup_share=0.25,
    tax_share=0.20,
    tax_name="VAT",
    edge_lives=(EdgeLife(("acrylic_cast",), 0.8, 0.4, 1.2, "test"),),
    services=(DEBURR, PACK, TAP, ANNEAL),
    sources=MappingProxyType({"setup_minutes": minutes(25.0, 20.0, 50.0)}),
)


def mounted(key, price, life_m):
    """Return a mounted cutter of the shelf with a price and a life of the test's own."""
    found = SHELF.mounted(key)
    return replace(found, cutter=replace(found.cutter, price=price, edge_life_m=life_m))


ROUGHER = mounted("t1_rougher_6", "28.50", 350.0)
FINISHER = mounted("t2_finisher_6", "31.00", 500.0)

WORK = Work(
    quantity=25,
    pieces=25,
    sheets=(SheetsUsed(SHEET, 3, 500_000.0),),
    machine_s=5400.0,
    machine_with_jerk_s=5670.0,
    cutters=(CutterUse(ROUGHER, 60.0), CutterUse(FINISHER, 50.0)),
    edge_m=62.5,
    holes=200,
    stops=25,
    parts_mm2=5_750_000.0,
)


def case(**changes):
    """Return the case; changes go to whichever record has a field of that name."""
    made = Case(WORK, SHELF.material("polycarbonate"), 6.0, RATES, Offer())
    for name, value in changes.items():
        for part in ("work", "rates", "offer"):
            record = getattr(made, part)
            if hasattr(record, name):
                made = replace(made, **{part: replace(record, **{name: value})})
                break
        else:
            made = replace(made, **{name: value})
    return made
