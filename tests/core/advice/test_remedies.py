"""Remedies do what they say: every number is that of the chain on the changed job."""

from dataclasses import replace

import pytest

from core.advice import edits
from core.advice.records import RANK
from core.advice.remedies import MOST, advise, all_advice
from core.advice.trying import Bench, contour_at
from core.advice.words import advice_lines
from core.errors import Cancelled
from core.job import Air, ContourChoice
from core.pipeline import Pipeline
from core.report.records import State
from tests.core.advice.plates import job, plate

HOLES = plate((60.0, 60.0, 9.0), (120.0, 60.0, 9.0), (200.0, 100.0, 60.0))
SMALL = plate(size_mm=(28.0, 24.0))


@pytest.fixture(scope="module")
def bench():
    return Bench()


def asked(bench, limit, drawing=HOLES, where=(0, 2), place=0, **choices):
    return advise(bench, bench.results(job(drawing, **choices)), where, place, limit)


def worst_of(report, where, step, limit):
    found = [
        x
        for one in contour_at(report, where).passes
        for x in one.limits
        if x.name == limit and one.step == step
    ]
    return max(found, key=lambda x: (RANK[x.state], -x.margin_ratio))


def test_what_a_remedy_says_is_what_the_chain_computes(bench):
    plan = job(HOLES)
    advice = asked(bench, "chip_load_low")
    before = Pipeline().results(plan).report
    assert advice.remedies
    for remedy in (*advice.remedies, *advice.told):
        after = Pipeline().results(remedy.edit.change(plan)).report
        limit = worst_of(after, (0, 2), advice.step, "chip_load_low")
        assert (remedy.after.actual, remedy.after.state) == (limit.actual, limit.state)
        more = after.totals.cycle_time_s - before.totals.cycle_time_s
        assert remedy.cost.time_s == pytest.approx(more)
        assert remedy.cost.price == after.price.per_part - before.price.per_part


def test_a_slower_spindle_restores_the_chip_in_small_holes_that_are_alike(bench):
    advice = asked(bench, "chip_load_low")
    slower = next(r for r in advice.remedies if r.edit.kind == "spindle")
    assert advice.standing.state is State.TIGHT
    assert slower.clears
    assert slower.gain > 0.1
    assert slower.edit.name.endswith("on these 2")


def test_remedies_are_few_of_different_kinds_and_the_ones_that_clear_come_first(bench):
    results = bench.results(job(HOLES, material="polycarbonate", thickness_mm=8.0))
    for advice in all_advice(bench, results, (0, 2)):
        kinds = [r.edit.kind for r in advice.remedies]
        clears = [r.clears for r in advice.remedies]
        assert len(kinds) == len(set(kinds)) <= MOST
        if not any(any(w.state is State.OUTSIDE for w in r.worse) for r in advice.remedies):
            assert clears == sorted(clears, reverse=True)
        assert all(not r.edit.only_told for r in advice.remedies)
        assert all(r.edit.only_told for r in advice.told)


def test_every_limit_that_is_not_good_is_advised_on_once_a_step(bench):
    results = bench.results(job(HOLES))
    contour = contour_at(results.report, (0, 2))
    wanted = {
        (one.step, limit.name)
        for one in contour.passes
        for limit in one.limits
        if limit.state is not State.GOOD
    }
    advised = [(a.step, a.limit) for a in all_advice(bench, results, (0, 2))]
    assert wanted == set(advised)
    assert len(advised) == len(wanted)


def test_where_no_speed_clears_it_that_is_said(bench):
    starved = {"air": Air.NONE, "rough_cutter": "t8_two_edge_6", "thickness_mm": 12.0}
    advice = asked(bench, "heat", where=(0, 1), material="petg", **starved)
    tried_speeds = [r for r in advice.remedies if r.edit.kind == "spindle"]
    assert not any(r.clears for r in tried_speeds)
    assert any("No spindle speed on this cutter clears it" in words for words in advice.said)


def test_air_is_offered_where_there_is_none(bench):
    advice = asked(bench, "heat", where=(0, 1), air=Air.NONE)
    air = next(r for r in advice.remedies if r.edit.kind == "air")
    assert air.after.actual > air.before.actual + 3.0
    assert air.edit.needs == "an air blast"


def test_a_small_part_that_would_move_is_held_by_another_recipe(bench):
    results = bench.results(job(SMALL))
    part = len(results.report.contours[0].passes) - 1
    advice = advise(bench, results, (0, 1), part, "hold_down")
    assert advice.standing.state is State.OUTSIDE
    held = [r for r in advice.remedies if "recipe" in r.edit.name]
    assert len(held) > 1
    assert held[0].clears
    assert held[0].after is None
    assert "the limit is no more" in "\n".join(advice_lines(advice))


@pytest.mark.parametrize(
    ("limit", "choices", "kinds"),
    [
        ("balance", {"spindle_speed_rpm": 23000.0}, {"spindle everywhere", "holder"}),
        ("spindle_low", {"spindle_speed_rpm": 4000.0}, {"spindle everywhere"}),
        ("chip_load_high", {"feed_per_tooth_mm": 0.3}, {"chip load"}),
        ("floor_skin", {"floor_stock_mm": 0.1}, {"floor stock"}),
        ("chip_packing", {"feed_per_tooth_mm": 0.6, "spindle_speed_rpm": 8000.0}, {"chip load"}),
        ("cutting_length", {"thickness_mm": 23.0}, {"finish cutter"}),
    ],
)
def test_each_limit_has_its_own_kinds_of_remedy(bench, limit, choices, kinds):
    place = -1 if limit == "cutting_length" else 0
    advice = asked(bench, limit, where=(0, 1), place=place, **choices)
    assert advice.standing.state is not State.GOOD
    cleared = {r.edit.kind for r in advice.remedies if r.clears}
    assert kinds & cleared, (cleared, advice.said)


def test_a_change_that_breaks_something_else_says_so(bench):
    advice = asked(bench, "cutting_length", where=(0, 1), place=-1, thickness_mm=23.0)
    wide = next(r for r in advice.remedies if r.edit.kind == "finish cutter")
    assert {"finisher-too-wide"} <= {w.name for w in wide.worse}
    assert "worse: finisher too wide" in "\n".join(advice_lines(advice))


def test_the_same_question_computes_nothing_again(bench):
    first = asked(bench, "chip_load_low")
    again = asked(bench, "chip_load_low")
    assert again.tried == 0
    assert [r.edit.name for r in again.remedies] == [r.edit.name for r in first.remedies]


def test_a_search_can_be_stopped():
    fresh, calls = Bench(), []
    results = fresh.results(job(HOLES))

    def stop():
        calls.append(1)
        return len(calls) > 12

    with pytest.raises(Cancelled):
        advise(fresh, results, (0, 2), 0, "chip_load_low", stop)
    assert fresh.tried < 10


def test_an_edit_of_one_contour_keeps_what_was_decided_by_hand():
    by_hand = (ContourChoice(2, recipe="skin_by_hand"), ContourChoice(3, spindle_speed_rpm=9000.0))
    plan = job(replace(HOLES, contours=by_hand))
    changed = edits.spindle_here(((0, 2), (0, 1)), 8000.0).change(plan)
    assert changed.drawings[0].contours == (
        ContourChoice(1, spindle_speed_rpm=8000.0),
        ContourChoice(2, spindle_speed_rpm=8000.0, recipe="skin_by_hand"),
        ContourChoice(3, spindle_speed_rpm=9000.0),
    )


def test_words_name_the_change_its_effect_and_its_cost(bench):
    lines = list(advice_lines(asked(bench, "chip_load_low")))
    assert "of 0.2 mm, tight" in lines[0]
    remedies = [line for line in lines if line.startswith("  - ")]
    assert any("Run the spindle at" in line and "on these 2" in line for line in remedies)
    assert any("longer" in line and "a copy" in line for line in remedies)
