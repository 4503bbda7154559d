"""Warnings that are no limits have remedies too, computed in the same way."""

from dataclasses import replace

import pytest

from core.advice.finding_remedies import advise_on_finding
from core.advice.trying import Bench
from core.advice.words import finding_remedy_text
from core.errors import Finding, Severity
from core.pipeline import Pipeline
from tests.core.advice.plates import job, plate


@pytest.fixture(scope="module")
def bench():
    return Bench()


def asked(bench, code, plan):
    """Return the remedies for the first warning of a kind, and the job with each of them."""
    results = bench.results(plan)
    report = results.report
    every = [*report.findings, *(f for c in report.contours for f in c.findings)]
    finding = next(f for f in every if f.code == code)
    return advise_on_finding(bench, results, finding)


def codes(plan):
    report = Pipeline().results(plan).report
    return [f.code for f in (*report.findings, *(f for c in report.contours for f in c.findings))]


@pytest.mark.parametrize(
    ("code", "plan"),
    [
        ("cutter-too-wide", job(plate((50.0, 50.0, 5.0), (90.0, 50.0, 5.0)))),
        ("finisher-too-wide", job(plate(), finish_cutter="t6_large_8")),
        ("brittle-guard", job(plate(), name="guard of the mixer")),
        ("larger-than-sheet", job(plate(size_mm=(1500.0, 700.0)), sheet="offcut_1000x600")),
    ],
)
def test_what_is_offered_takes_the_warning_away(bench, code, plan):
    remedies = asked(bench, code, plan)
    assert remedies
    assert len(remedies) <= 3
    before = codes(plan).count(code)
    for remedy in remedies:
        left = codes(remedy.edit.change(plan)).count(code)
        assert (remedy.gone, remedy.left) == (before - left, left)
        assert remedy.gone > 0


def test_a_smaller_cutter_for_holes_leaves_the_outline_alone(bench):
    plan = job(plate((50.0, 50.0, 5.0)))
    best = asked(bench, "cutter-too-wide", plan)[0]
    changed = best.edit.change(plan)
    assert changed == replace(plan, hole_cutter=changed.hole_cutter)
    assert best.left == 0


def test_words_say_what_becomes_of_the_warning(bench):
    plan = job(plate((50.0, 50.0, 5.0)))
    told = finding_remedy_text(asked(bench, "cutter-too-wide", plan)[0])
    assert told.startswith("Cut holes with ")
    assert ": the warning is gone, " in told
    assert "needs tool " in told


def test_a_warning_without_a_known_remedy_gives_none(bench):
    results = bench.results(job(plate()))
    assert advise_on_finding(bench, results, Finding("no-part", Severity.TIGHT, "")) == ()
