"""Ways to go faster gain what they say, say what they need, and what then stops them."""

import pytest

from core.advice.faster import ways_to_go_faster
from core.advice.trying import Bench
from core.advice.words import faster_text
from core.errors import PlanError
from core.job import Job
from core.pipeline import Pipeline
from tests.core.advice.plates import job, plate

PLATE = plate((60.0, 60.0, 30.0), size_mm=(600.0, 400.0))


@pytest.fixture(scope="module")
def ways():
    bench = Bench()
    return ways_to_go_faster(bench, bench.results(job(PLATE)))


def test_the_gain_is_that_of_the_chain_on_the_changed_job(ways):
    plan = job(PLATE)
    before = Pipeline().results(plan).report.totals.cycle_time_s
    assert len(ways) >= 4
    for way in ways:
        after = Pipeline().results(way.edit.change(plan)).report.totals.cycle_time_s
        assert way.gain_s == pytest.approx(before - after)
        assert way.gain_share == pytest.approx(1.0 - after / before)


def test_the_greatest_gain_that_breaks_nothing_is_first(ways):
    order = [(way.is_blocked, -way.gain_s) for way in ways]
    assert order == sorted(order)


def test_each_way_says_what_it_needs_and_what_stops_it(ways):
    holder = next(way for way in ways if "holder" in way.edit.kind or "holder" in way.edit.name)
    assert "holder balanced to 30" in holder.edit.needs
    assert "rpm" in holder.stops_at
    assert "then bound by" in faster_text(holder)


def test_ways_that_break_nothing_are_tried_together(ways):
    both = [way for way in ways if way.edit.kind == "together"]
    alone = [w for w in ways if not w.is_blocked and not w.edit.only_told and w not in both]
    assert both
    assert both[0].gain_s > max(way.gain_s for way in alone)
    assert not both[0].is_blocked


def test_no_way_is_told_that_gains_nothing():
    bench = Bench()
    results = bench.results(job(PLATE))
    fastest = ways_to_go_faster(bench, results)[0].edit.change(results.job)
    again = ways_to_go_faster(bench, bench.results(fastest))
    assert all(way.gain_s > 0.0 for way in again)
    assert sum(way.gain_s for way in again if way.edit.kind == "together") < 60.0


def test_a_job_that_cuts_nothing_cannot_go_faster():
    bench = Bench()
    with pytest.raises(PlanError, match="nothing is cut"):
        ways_to_go_faster(bench, bench.results(Job()))
