"""The ledger, worked out by hand; what it refuses; how it is explained."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import Finding
from core.job import FreeLine, LineChange, Offer, Per
from core.quote.comparing import by_group
from core.quote.drafts import Group
from core.quote.money import exact, rounded, shown
from core.quote.price import price_of
from core.quote.work import CutterUse, SheetsUsed
from tests.core.quote.by_hand import (
    FINISHER,
    RATES,
    ROUGHER,
    SHEET,
    SHELF,
    WORK,
    case,
    mounted,
)

INSERTS = FreeLine("insert", Per.HOLE, "0.45")

WORKED_OUT = {
    # 3 sheets of 2.05 m x 1.25 m = 2.5625 m2 at 74.00: 568.875, halves away from zero
    "material": "568.88",
    # 0.5 m2 of them goes back on the rack at half its price: 0.5 x 74.00 x 0.5
    "offcuts back on the rack": "-18.50",
    # 5400 s = 90 min = 1.5 h at 58.00
    "machine": "87.00",
    # 3 sheets x (4 min on + 3 min off) = 21 min = 0.35 h at 39.00
    "loading": "13.65",
    # 25 min once: 25 / 60 x 39.00
    "set-up": "16.25",
    # 10 min once: 10 / 60 x 39.00
    "first part": "6.50",
    # 25 stops x 0.25 min = 6.25 min of a person at 39.00 and the machine at 58.00: 10.1042
    "stops": "10.10",
    # 60 m of 350 m, a cutter costs 28.50: 4.8857
    "wear of T1": "4.89",
    # 50 m of 500 m (it only ever finishes), a cutter costs 31.00
    "wear of T2": "3.10",
    # 62.5 m of edge x 0.4 min = 25 min at 39.00 an hour
    "deburr": "16.25",
    # 25 pieces x (0.6 min at 39.00 an hour = 0.39, and 0.35 for the bag)
    "pack": "18.50",
    # 25 x 8 holes at 0.45
    "insert": "90.00",
    # the lines so far come to 816.62; 12 % of it is 97.9944
    "overhead": "97.99",
    # 914.61 with overhead; 25 % of it is 228.6525
    "mark-up": "228.65",
    # 1143.26 / 25 = 45.7304, so 45.73 each and 1143.25 in all
    "rounding": "-0.01",
}


def worked_out(**changes):
    return price_of(case(free_lines=(INSERTS,), **changes))


def amounts(price):
    return {line.name: line.amount for line in price.lines}


def test_every_line_is_as_worked_out_by_hand():
    assert {k: str(v) for k, v in amounts(worked_out()).items()} == WORKED_OUT


def test_the_totals_are_as_worked_out_by_hand():
    price = worked_out()
    assert price.cost == Decimal("816.62")
    assert price.per_part == Decimal("45.73")
    assert price.total == Decimal("1143.25")
    # 20 % of 1143.25
    assert price.tax.amount == Decimal("228.65")
    assert price.gross == Decimal("1371.90")


def test_a_margin_on_the_price_is_named_so_and_computed_so():
    # 25 % of the price are 25 / 75 of the cost: 914.61 / 3 = 304.87
    price = worked_out(markup_on="price")
    assert amounts(price)["margin"] == Decimal("304.87")
    assert "mark-up" not in amounts(price)


def test_the_users_markup_goes_before_the_shops():
    # 914.61 x 40 %
    price = price_of(case(offer=Offer(free_lines=(INSERTS,), markup_share=0.4)))
    assert amounts(price)["mark-up"] == Decimal("365.84")


def test_a_margin_of_the_whole_price_is_refused():
    found = price_of(case(markup_on="price", markup_share=1.0))
    assert "give less than 100 %" in found.message


def test_money_rounds_to_what_the_currency_has():
    price = price_of(case(smallest_amount="0.05"))
    assert all(line.amount % Decimal("0.05") == 0 for line in price.lines)
    assert price.per_part % Decimal("0.05") == 0
    assert sum(line.amount for line in price.lines) == price.total


def test_wear_counts_how_long_an_edge_lasts_in_the_material():
    cast = case(material=SHELF.material("acrylic_cast"))
    # 60 m of 350 m x 0.8 = 280 m at 28.50
    assert amounts(price_of(cast))["wear of T1"] == Decimal("6.11")


def test_wear_tells_both_lives_of_rougher_and_finisher():
    line = next(li for li in worked_out().lines if li.name == "wear of T1")
    assert "T1 lasts 350 m" in line.explained.note
    assert "T2 lasts 500 m (it only ever finishes)" in line.explained.note


def test_a_cutter_without_a_price_has_no_line():
    bare = (CutterUse(mounted("t1_rougher_6", "", 350.0), 60.0), CutterUse(FINISHER, 50.0))
    assert "wear of T1" not in amounts(price_of(case(cutters=bare)))


def test_an_offcut_counts_at_its_worth():
    used = (SheetsUsed(replace(SHEET, offcut=True), 1, 0.0),)
    # 2.5625 m2 at 74.00, half of it
    assert amounts(price_of(case(sheets=used)))["material"] == Decimal("94.81")


def test_sheets_of_two_kinds_have_a_line_each():
    other = replace(SHEET, key="other", name="sheet 3050 x 2050", size_mm=(3050.0, 2050.0))
    price = price_of(case(sheets=(SheetsUsed(SHEET, 2, 0.0), SheetsUsed(other, 1, 0.0))))
    names = [line.name for line in price.lines if line.group is Group.MATERIAL]
    assert names == ["material, sheet 2050 x 1250", "material, sheet 3050 x 2050"]


@pytest.mark.parametrize(
    ("material", "thickness_mm", "annealed"),
    [("acrylic_cast", 8.0, True), ("acrylic_cast", 6.0, False), ("polycarbonate", 6.0, False)],
)
def test_annealing_goes_by_material_and_thickness(material, thickness_mm, annealed):
    priced = price_of(case(material=SHELF.material(material), thickness_mm=thickness_mm))
    assert ("anneal" in amounts(priced)) is annealed


def test_a_service_that_is_asked_for_is_added_and_one_left_out_is_not():
    lines = amounts(price_of(case(offer=Offer(services=("tap",), without=("pack",)))))
    # 200 holes x (0.7 min at 39.00 an hour = 0.455, and 0.04)
    assert lines["tap"] == Decimal("99.00")
    assert "pack" not in lines


def test_a_line_set_by_hand_stands_and_says_what_was_computed():
    change = LineChange("machine", "100", "agreed with the customer")
    line = next(li for li in worked_out(changes=(change,)).lines if li.name == "machine")
    assert line.amount == Decimal("100.00")
    assert line.reason == "set by hand (agreed with the customer); computed: 87.00"


@pytest.mark.parametrize("text", ["a lot", "NaN", "1e30", "", "12,50"])
def test_what_is_no_money_is_refused(text):
    found = price_of(case(free_lines=(FreeLine("bend", Per.PIECE, text),)))
    assert found.code == "amount-unreadable"
    assert "bend" in found.message


def test_a_missing_price_of_the_sheet_is_said():
    found = price_of(case(thickness_mm=7.0))
    assert isinstance(found, Finding)
    assert "no price for Polycarbonate 7 mm in the rates 'test rates'" in found.message


def test_every_line_explains_itself_with_what_was_put_in():
    price = worked_out()
    for line in (*price.lines, price.tax):
        assert line.explained.value == float(line.amount)
        assert line.explained.inputs
        symbols = [i.symbol for i in line.explained.inputs]
        assert all(symbol in line.explained.formula for symbol in symbols)


def test_the_kinds_of_lines_add_up_to_the_whole():
    price = worked_out()
    assert sum(amount for _, amount in by_group(price)) == price.total
    assert dict(by_group(price))[Group.CUTTERS] == Decimal("7.99")


@given(
    quantity=st.integers(1, 10_000),
    machine_s=st.floats(0.0, 1e7),
    sheets=st.integers(1, 2000),
    edge_m=st.floats(0.0, 1e5),
    kept_mm2=st.floats(0.0, 1e6),
)
def test_the_ledger_always_adds_up_to_the_cent(quantity, machine_s, sheets, edge_m, kept_mm2):
    work = replace(
        WORK,
        quantity=quantity,
        machine_s=machine_s,
        sheets=(SheetsUsed(SHEET, sheets, kept_mm2),),
        edge_m=edge_m,
        cutters=(CutterUse(ROUGHER, edge_m),),
    )
    price = price_of(case(work=work))
    cents = sum(int(line.amount * 100) for line in price.lines)
    assert cents == int(price.total * 100) == int(price.per_part * 100) * quantity
    assert all(line.amount == line.amount.quantize(Decimal("0.01")) for line in price.lines)


@pytest.mark.parametrize(
    ("amount", "step", "expected"),
    [
        ("1.005", "0.01", "1.01"),
        ("-1.005", "0.01", "-1.01"),
        ("7.33", "0.05", "7.35"),
        ("149.50", "1", "150"),
    ],
)
def test_halves_round_away_from_zero(amount, step, expected):
    assert rounded(Decimal(amount), Decimal(step)) == Decimal(expected)


def test_a_float_becomes_the_decimal_that_a_person_reads():
    assert exact(2.05 * 1.25) == Decimal("2.5625")
    assert exact(0.1 + 0.2) == Decimal("0.3")


def test_money_is_shown_with_thin_spaces_and_a_real_minus():
    assert shown(Decimal("-1234567.50")) == "\u2212\u20091\u2009234\u2009567.50"


def test_rates_without_the_newer_entries_still_price():
    plain = replace(
        RATES,
        overhead_share=0.0,
        markup_share=0.0,
        tax_share=0.0,
        services=(),
        edge_lives=(),
        first_part_minutes=0.0,
        stop_minutes=0.0,
        unloading_minutes_per_sheet=0.0,
        offcut_value_share=0.0,
    )
    price = price_of(case(rates=plain))
    assert list(amounts(price))[:4] == ["material", "machine", "loading", "set-up"]
    assert price.gross == price.total
