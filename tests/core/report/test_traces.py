"""The traces of all passes at once say what the reports of single passes say."""

from pathlib import Path

import numpy as np
import pytest

import sample_jobs
from core.job.file import read_job
from core.pipeline import Pipeline
from core.report.passes import ContourPasses
from core.report.traces import traces_of

FOLDER = Path(next(iter(sample_jobs.__path__)))


@pytest.fixture(scope="module")
def contours():
    job = read_job(FOLDER / "guard_panel" / "guard_panel.pane")
    return Pipeline().results(job).report.contours


@pytest.mark.parametrize("part", [slice(None), slice(1, 4), slice(None, None, -1), slice(0, 0)])
def test_traces_of_a_plan_equal_those_of_its_single_reports(contours, part):
    chosen = contours[part]
    traces = traces_of(chosen)
    passes = [one for contour in chosen for one in contour.passes]
    assert len(traces.first) == len(passes) + 1
    for index, one in enumerate(passes):
        samples = slice(traces.first[index], traces.first[index + 1])
        assert np.array_equal(traces.xy_mm[samples], one.trace.xy_mm)
        assert np.array_equal(traces.speed_mm_min[samples], one.trace.speed_mm_min)
        assert np.array_equal(traces.feed_per_tooth_mm[samples], one.trace.feed_per_tooth_mm)
        assert np.array_equal(traces.wall_c[samples], one.trace.wall_c)
        assert traces.thin_below_mm[index] == one.thin.below_mm
        assert ("good", "tight", "outside")[traces.state[index]] == one.state.value


def test_every_pass_is_placed_in_its_contour(contours):
    for (row, place), one in zip(
        traces_of(contours).places, (p for c in contours for p in c.passes), strict=True
    ):
        assert contours[row].passes[place] is one


def test_no_report_of_a_single_pass_is_made_on_the_way():
    job = read_job(FOLDER / "guard_panel" / "guard_panel.pane")
    contours = Pipeline().results(job).report.contours
    before = set(contours[0].passes.reports._made)
    assert isinstance(contours[0].passes, ContourPasses)
    traces_of(contours)
    assert set(contours[0].passes.reports._made) == before
