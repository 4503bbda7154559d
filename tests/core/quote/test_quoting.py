"""Quotes of the sample jobs: they add up, scale sensibly, and say what they cannot do."""

from dataclasses import replace
from decimal import Decimal

import pytest

from core.errors import Cancelled, PlanError
from core.job import FreeLine, LineChange, Offer, Per, PinnedPart
from core.job.file import read_job
from core.layout.nest_records import RackSheet
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.quote.comparing import side_by_side
from core.quote.quoting import quote, rack_of
from core.quote.sheet_work import Planned, work_on_nesting, work_on_rows

SAMPLES = ("guard_panel", "scale_cover", "shop_sign")


@pytest.fixture(scope="module")
def planned(request):
    """Return job, results and plan of a sample job, read once each."""
    known = {}

    def of(name):
        if name not in known:
            job = read_job(request.config.rootpath / "sample_jobs" / name / f"{name}.pane")
            r = Pipeline().results(job)
            known[name] = job, r, Planned(r.contours, r.chosen, r.plan, r.motion)
        return known[name]

    return of


@pytest.fixture(scope="module")
def quoted(planned):
    """Return the quote of a sample job with changes, without the long search."""

    def of(name, breaks=(), **changes):
        job, results, plan = planned(name)
        job = replace(job, **changes)
        rack = rack_of(job, Shelf(), results.chosen.rates)
        return quote(job, plan, rack, breaks, enough=lambda: True)

    return of


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("quantity", [1, 3, 10_000])
def test_the_ledger_of_every_sample_adds_up_to_the_cent(quoted, name, quantity):
    price = quoted(name, quantity=quantity).price
    # in whole cents, apart from the program's own arithmetic
    cents = [int(str(line.amount).replace(".", "")) for line in price.lines]
    assert sum(cents) == int(str(price.total).replace(".", ""))
    assert int(str(price.per_part).replace(".", "")) * quantity == sum(cents)


@pytest.mark.parametrize("name", SAMPLES)
def test_more_copies_cost_less_each_and_more_in_all(quoted, name):
    breaks = quoted(name, breaks=(1, 10, 100, 10_000), quantity=1).breaks
    assert [b.quantity for b in breaks] == [1, 10, 100, 10_000]
    each = [b.per_part for b in breaks]
    assert each == sorted(each, reverse=True)
    totals = [b.total for b in breaks]
    assert totals == sorted(totals)


def test_ten_thousand_copies_take_ten_thousand_times_the_edge(quoted):
    one, many = (quoted("guard_panel", quantity=n).work for n in (1, 10_000))
    assert many.edge_m == pytest.approx(10_000 * one.edge_m)
    assert many.pieces == 10_000
    # the machine gains nothing but fewer changes of the cutter
    assert many.machine_s < 10_000 * one.machine_s


def test_one_copy_takes_the_machine_as_long_nested_as_it_lies(planned, quoted):
    job, _, plan = planned("guard_panel")
    job = replace(job, quantity=1)
    results = Pipeline().results(job)
    rows = work_on_rows(plan, results.layout, results.order, results.between, 1)
    nested = quoted("guard_panel", quantity=1).work
    assert rows.machine_s == pytest.approx(results.report.totals.cycle_time_s)
    assert nested.machine_s == pytest.approx(rows.machine_s, rel=0.02)
    assert nested.edge_m == pytest.approx(rows.edge_m)
    assert nested.holes == rows.holes == 9


def test_a_sheet_that_repeats_takes_as_long_as_sheets_one_by_one(planned, quoted):
    _, _, plan = planned("guard_panel")
    one = quoted("guard_panel", quantity=21)
    (sheet,) = one.nesting.sheets
    assert sheet.repeat == 3
    apart = replace(one.nesting, sheets=(replace(sheet, repeat=1),) * 3)
    first = work_on_nesting(plan, one.task, one.nesting, 21)
    second = work_on_nesting(plan, one.task, apart, 21)
    assert first.machine_s == pytest.approx(second.machine_s)
    assert first.cutters[0].cut_m == pytest.approx(second.cutters[0].cut_m)


def test_the_price_of_a_quote_stands_on_nested_sheets(quoted):
    found = quoted("guard_panel", quantity=7)
    assert found.nesting.sheet_count == 1
    assert found.work.used_ratio > 0.6
    assert found.nesting.bound_mm2 <= found.work.sheets_mm2


def test_a_part_larger_than_every_sheet_has_no_price_and_says_why(planned):
    job, results, plan = planned("guard_panel")
    small = RackSheet(replace(results.chosen.sheet, size_mm=(500.0, 400.0)))
    found = quote(job, plan, (small,), enough=lambda: True)
    assert found.price is None
    assert found.breaks == ()
    (finding,) = found.findings
    assert finding.code == "larger-than-sheet"


@pytest.mark.parametrize("quantity", [0, -3, 2_000_000])
def test_a_quantity_that_cannot_be_meant_is_refused(quoted, quantity):
    with pytest.raises(PlanError, match=f"a quantity of {quantity} cannot be quoted"):
        quoted("guard_panel", breaks=(quantity,))


def test_a_missing_price_of_the_sheet_is_said_once(quoted):
    found = quoted("guard_panel", breaks=(1, 10), thickness_mm=7.0)
    assert found.price is None
    assert [f.code for f in found.findings] == ["price-missing"]


def test_a_turn_that_is_none_is_refused(quoted):
    with pytest.raises(PlanError, match="none, half, quarter, free"):
        quoted("guard_panel", offer=Offer(turns="sideways"))


def test_a_service_that_the_rates_do_not_know_is_told_with_the_nearest(quoted):
    (finding,) = quoted("guard_panel", offer=Offer(services=("anneel",))).findings
    assert finding.code == "service-unknown"
    assert "did you mean 'anneal'" in finding.message


def test_a_change_to_a_line_that_is_not_there_is_told(quoted):
    change = LineChange("machin", "100", "agreed")
    found = quoted("guard_panel", offer=Offer(changes=(change,)))
    assert found.price is not None
    assert [f.code for f in found.findings] == ["line-unknown"]


def test_film_that_runs_one_way_takes_more_sheet(quoted):
    free = quoted("guard_panel", quantity=7).nesting.sheet_count
    one_way = quoted("guard_panel", quantity=7, offer=Offer(turns="none")).nesting
    assert one_way.sheet_count > free
    assert {p.turn_deg for s in one_way.sheets for p in s.parts} == {0.0}


def test_a_line_of_ones_own_counts_pieces_metres_holes_or_the_job(quoted):
    lines = tuple(FreeLine(per.value, per, "2.00", 1.5) for per in Per)
    price = quoted("guard_panel", quantity=2, offer=Offer(free_lines=lines)).price
    amounts = {line.name: line.amount for line in price.lines}
    # 2 pieces, 2 x 9 holes, 1 sheet, 1 job, each 1.5 x 2.00
    expected = {"piece": "6.00", "hole": "54.00", "sheet": "3.00", "job": "3.00"}
    assert {name: str(amounts[name]) for name in expected} == expected
    edge_m = quoted("guard_panel", quantity=2).work.edge_m
    assert float(amounts["metre"]) == pytest.approx(3.0 * edge_m, abs=0.005)


def test_a_part_pinned_by_hand_is_where_it_was_put(quoted):
    pin = PinnedPart(0, 0, outer_id(quoted), (300.0, 250.0), 90.0)
    found = quoted("guard_panel", quantity=3, offer=Offer(pinned=(pin,)))
    assert any(p.at_mm == (300.0, 250.0) for p in found.nesting.sheets[0].parts)


def outer_id(quoted):
    return quoted("guard_panel").task.parts[0].contour_id


def test_several_drawings_share_their_sheets(planned):
    job, _, _ = planned("guard_panel")
    sign, _, _ = planned("shop_sign")
    both = replace(job, drawings=(*job.drawings, *sign.drawings), quantity=2)
    r = Pipeline().results(both)
    plan = Planned(r.contours, r.chosen, r.plan, r.motion)
    found = quote(both, plan, rack_of(both, Shelf(), r.chosen.rates), enough=lambda: True)
    assert found.work.pieces == 4
    assert found.nesting.sheet_count == 1
    assert {p.drawing for p in found.nesting.sheets[0].parts} == {0, 1}


def test_quotes_stand_side_by_side_against_the_first(quoted):
    poly = quoted("guard_panel")
    dear = replace(poly, price=replace(poly.price, per_part=poly.price.per_part + 5))
    none = replace(poly, price=None)
    columns = side_by_side([("as asked", poly), ("dearer", dear), ("unpriced", none)])
    assert [c.difference for c in columns] == [0, Decimal(5), None]
    assert columns[2].per_part is None


def test_progress_runs_up_to_the_end_over_all_breaks(planned):
    job, results, plan = planned("shop_sign")
    told = []
    rack = rack_of(job, Shelf(), results.chosen.rates)
    quote(job, plan, rack, (10,), progress=told.append, enough=lambda: len(told) > 5)
    assert told == sorted(told)
    assert 0.0 < told[0] < told[-1] <= 1.0


def test_whoever_stops_a_quote_gets_none(planned):
    job, results, plan = planned("shop_sign")

    def stop(_share):
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        quote(job, plan, rack_of(job, Shelf(), results.chosen.rates), progress=stop)


def test_offcuts_of_the_rack_count_by_their_number_and_worth(planned):
    job, results, _ = planned("guard_panel")
    job = replace(job, offer=Offer(rack=("full_2050x1250", "offcut_1000x600")))
    whole, offcut = rack_of(job, Shelf(), results.chosen.rates)
    assert (whole.count, whole.weight) == (None, 1.0)
    assert (offcut.count, offcut.weight) == (2, 0.5)
