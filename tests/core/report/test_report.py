"""What the report says about the sample jobs, held against numbers made another way."""

import math
from dataclasses import replace

import pytest

from core.job import Acceptance
from core.job.file import read_job
from core.pipeline import Pipeline
from core.report.explaining import explanations
from core.report.records import State, worst_limit
from core.report.text import plan_text


@pytest.fixture(scope="module")
def planned(request):
    """Results of a sample job by its folder's name, changed where asked."""
    folder = request.config.rootpath / "sample_jobs"
    pipeline = Pipeline()

    def results(name, **changes):
        job = read_job(folder / name / f"{name}.pane")
        return pipeline.results(replace(job, **changes)).report

    return results


def passes(report, contour, step):
    return [p for p in report.contours[contour - 1].passes if p.step == step]


def test_a_hole_is_cut_as_fast_as_its_arc_allows(planned):
    # sqrt(a r) at 1 m/s2, hole 10 mm, cutter 6 mm: 0.149 mm a tooth at 18 000 rpm (models of the
    # motion: centripetal acceleration, textbook)
    (skim,) = passes(planned("shop_sign"), 2, "skim")
    plateau = math.sqrt(1000.0 * 2.0) / 300.0
    assert plateau == pytest.approx(0.149, abs=5e-4)
    assert skim.feed_per_tooth_reached_mm.max == pytest.approx(plateau, rel=1e-6)


def test_the_sign_s_chip_load_falls_short_of_the_maker_s_range(planned):
    (skim,) = passes(planned("shop_sign"), 2, "skim")
    low = next(li for li in skim.limits if li.name == "chip_load_low")
    assert low.state is State.TIGHT
    assert skim.thin.length_mm == pytest.approx(skim.path_length_mm)


def test_a_corner_as_tight_as_the_cutter_stops_the_machine_and_heats_the_wall_that_stays(planned):
    report = planned("scale_cover")
    (skim,) = passes(report, 2, "skim")
    assert skim.trace.speed_mm_min.min() == 0.0
    assert skim.heat_margin_k.nominal < 0.0
    assert skim.heat_cause == "the stop in the corner"


def test_a_wall_that_is_cut_away_later_is_told_but_not_judged(planned):
    rough = passes(planned("scale_cover"), 2, "rough")[0]
    assert rough.wall_temperature_c > 105.0
    assert rough.heat_margin_k.nominal > 0.0
    assert rough.p_hot < 0.5


def test_uncalibrated_heat_never_stands_outside(planned):
    for name in ("scale_cover", "shop_sign", "guard_panel"):
        for contour in planned(name).contours:
            for one in contour.passes:
                heat = next(li for li in one.limits if li.name == "heat")
                assert heat.state is not State.OUTSIDE
                assert not one.calibrated


def test_limits_stand_worst_first_and_their_margins_follow_from_their_values(planned):
    order = [State.OUTSIDE, State.TIGHT, State.GOOD]
    for contour in planned("guard_panel").contours:
        for one in contour.passes:
            ranks = [order.index(li.state) for li in one.limits]
            assert ranks == sorted(ranks)
            for li in one.limits:
                upper, lower = 1.0 - li.actual / li.limit, 1.0 - li.limit / li.actual
                assert li.margin_ratio == pytest.approx(upper) or li.margin_ratio == pytest.approx(
                    lower
                )


def test_the_answer_counts_what_the_passes_say(planned):
    report = planned("guard_panel")
    states = [li.state for c in report.contours for p in c.passes for li in p.limits]
    noticed = [f for d in report.drawings for f in d.findings] + list(report.findings)
    noticed += [f for c in report.contours for f in c.findings]
    severities = [f.severity.value for f in noticed if not f.repaired]
    assert report.answer.tight == states.count(State.TIGHT) + severities.count("tight")
    assert report.answer.outside == states.count(State.OUTSIDE) + severities.count("outside")


def test_the_worst_limit_is_worse_than_every_other(planned):
    report = planned("guard_panel")
    _, _, worst = worst_limit(report)
    every = [li for c in report.contours for p in c.passes for li in p.limits]
    tight = [li.margin_ratio for li in every if li.state is worst.state]
    assert worst.margin_ratio == pytest.approx(min(tight), abs=1e-9)


def test_an_accepted_limit_no_longer_counts_and_says_why(planned):
    before = planned("guard_panel")
    after = planned("guard_panel", accepted=(Acceptance("chip_load_low", "tried on a test piece"),))
    assert after.answer.tight < before.answer.tight
    assert "accepted: tried on a test piece" in " ".join(plan_text(after).split())


def test_a_material_without_coefficients_is_cut_but_its_heat_is_not_modelled(planned):
    report = planned("guard_panel", material="polypropylene")
    one = report.contours[0].passes[0]
    assert one.heat_margin_k is None
    assert one.power_w is None
    assert one.time_s > 0.0
    assert "not modelled" in plan_text(report)


def test_every_number_of_every_pass_explains_itself(planned):
    found = explanations(planned("guard_panel"), 1, "", "")
    assert {"feed_speed", "heat", "rubbing", "spindle_power", "hold_down", "time", "balance"} <= {
        e.key for e in found
    }
    for one in found:
        lines = one.lines()
        assert one.source
        assert len(lines) >= 3


def test_cutting_entering_and_the_rest_add_up_to_the_cycle_time(planned):
    totals = planned("guard_panel").totals
    parts = totals.cutting_s + totals.moving_s + totals.entering_s
    parts += totals.spindle_changes_s + totals.cutter_changes_s
    assert totals.cycle_time_s == pytest.approx(parts)
    assert totals.cutting_s == pytest.approx(
        4 * sum(p.trace.time_s[-1] for c in planned("guard_panel").contours for p in c.passes)
    )


def test_the_price_lines_add_up_to_the_cent(planned):
    price = planned("guard_panel").price
    assert sum(line.amount for line in price.lines) == price.total
    assert abs(price.per_part * 4 - price.total) <= 4 * price.total.__class__("0.005")


def test_a_spindle_speed_leaves_drawing_contours_and_toolpaths_alone(request):
    folder = request.config.rootpath / "sample_jobs" / "guard_panel"
    job, pipeline = read_job(folder / "guard_panel.pane"), Pipeline()
    pipeline.results(job)
    before = dict(pipeline.runs)
    pipeline.results(replace(job, spindle_speed_rpm=15_000.0))
    changed = {name for name, count in pipeline.runs.items() if count != before[name]}
    assert changed == {"choices", "feeds", "motion", "between", "heat"}
