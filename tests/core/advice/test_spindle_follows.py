"""A spindle that follows the contour: what it restores, what it costs, what it is worth."""

import math

import pytest

from core.advice.spindle_follows import grouped, spindle_follows
from core.advice.trying import Bench
from core.advice.words import follows_lines
from core.pipeline import Pipeline
from tests.core.advice.plates import job, plate

# a plate with holes of 9, 10 and 60 mm: the machine cannot follow in the first two
HOLES = plate((40.0, 40.0, 9.0), (80.0, 40.0, 10.0), (180.0, 100.0, 60.0))


@pytest.fixture(scope="module")
def offer():
    bench = Bench()
    return spindle_follows(bench, bench.results(job(HOLES)))


def test_only_contours_whose_feed_is_nowhere_reached_are_asked_about(offer):
    assert [one.contour_id for one in offer.contours] == [2, 3]


def test_the_chip_is_restored_and_the_way_takes_as_long(offer):
    for one in offer.contours:
        assert one.reached_after_mm > 1.2 * one.reached_before_mm
        assert abs(one.longer_s) < 0.1


def test_the_speed_is_that_of_the_bend(offer):
    results = Pipeline().results(job(HOLES))
    skim = next(
        p
        for p in results.plan.passes
        if p.toolpath.contour_id == 3 and p.toolpath.step.name == "skim"
    )
    acceleration = results.chosen.machine.acceleration_mm_s2
    speed = math.sqrt(acceleration * (10.0 - skim.toolpath.mounted.diameter_mm) / 2.0) * 60.0
    wanted = speed / skim.feed_per_tooth_mm
    found = next(one for one in offer.contours if one.contour_id == 3).spindle_speed_rpm
    assert wanted <= found * 1.001 <= wanted + 101.0


def test_marks_power_and_ramps_are_counted(offer):
    assert all(one.feed_mark_after_um > one.feed_mark_before_um for one in offer.contours)
    assert all(0.0 < one.power_share < 1.0 for one in offer.contours)
    plan = job(HOLES)
    before, after = (Pipeline().results(j).report for j in (plan, offer.edit.change(plan)))
    ramps = after.totals.spindle_changes_s - before.totals.spindle_changes_s
    assert offer.cost.spindle_changes_s == pytest.approx(ramps)
    assert offer.cost.time_s == pytest.approx(
        after.totals.cycle_time_s - before.totals.cycle_time_s
    )


def test_it_is_worth_some_kelvin_and_no_rescue(offer):
    gains = [one.margin_after_k - one.margin_before_k for one in offer.contours]
    assert all(0.0 < gain < 25.0 for gain in gains)


def test_speeds_that_are_nearly_equal_are_made_equal(offer):
    assert [rpm for rpm, _ in offer.speeds_rpm] == sorted(
        {one.spindle_speed_rpm for one in offer.contours}, reverse=True
    )
    wanted = {(0, 1): 8000.0, (0, 2): 7100.0, (0, 3): 6000.0}
    assert grouped(wanted) == {(0, 1): 8000.0, (0, 2): 8000.0, (0, 3): 6000.0}


def test_no_group_runs_slower_than_any_of_it_wants():
    wanted = {(0, n): 5000.0 + 137.0 * n for n in range(60)}
    assert all(rpm >= wanted[where] for where, rpm in grouped(wanted).items())


def test_the_machines_lowest_speed_bounds_it():
    bench = Bench()
    results = bench.results(job(plate((40.0, 40.0, 6.3)), feed_per_tooth_mm=0.25))
    offer = spindle_follows(bench, results)
    lowest = results.chosen.machine.lowest_spindle_speed_rpm
    assert [one.at_lowest for one in offer.contours] == [True]
    assert offer.contours[0].spindle_speed_rpm == lowest
    assert "the machine's lowest speed" in "\n".join(follows_lines(offer))


def test_nothing_is_offered_where_the_feed_is_reached():
    bench = Bench()
    assert spindle_follows(bench, bench.results(job(plate((100.0, 100.0, 80.0))))) is None
