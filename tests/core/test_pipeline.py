"""A stage runs again only when what it reads has changed."""

from dataclasses import replace
from pathlib import Path

import pytest

from core.job import Air, ContourChoice
from core.job.file import read_job
from core.pipeline import Pipeline

JOB = read_job(Path(__file__).parents[2] / "sample_jobs" / "scale_cover" / "scale_cover.pane")


@pytest.fixture
def pipeline():
    line = Pipeline()
    line.results(JOB)
    line.runs.clear()
    return line


def with_speed(job, contour, rpm):
    choice = ContourChoice(contour, spindle_speed_rpm=rpm)
    return replace(job, drawings=(replace(job.drawings[0], contours=(choice,)),))


def test_nothing_runs_again_for_the_same_job(pipeline):
    pipeline.results(JOB)
    assert not pipeline.runs


def test_the_spindle_speed_of_one_contour_leaves_drawing_and_toolpaths_alone(pipeline):
    pipeline.results(with_speed(JOB, 2, 9000.0))
    assert {"feeds", "motion", "heat"} <= set(pipeline.runs)
    assert not {"drawing 0", "contours 0", "toolpaths", "layout"} & set(pipeline.runs)


def test_the_air_changes_heat_and_no_way(pipeline):
    pipeline.results(replace(JOB, air=Air.NONE))
    assert "heat" in pipeline.runs
    assert not {"feeds", "motion"} & set(pipeline.runs)
