"""The order of a plan: what is inside first, equal speeds together, rapids short and right."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from core.job import ContourChoice
from core.job.file import read_job
from core.layout import placed
from core.pipeline import Pipeline


@pytest.fixture(scope="module", params=["guard_panel", "scale_cover", "shop_sign"])
def results(request):
    root = request.config.rootpath / "sample_jobs" / request.param
    return Pipeline().results(read_job(root / f"{request.param}.pane"))


def parents_of(results):
    return {(i, c.id): c.parent for i, g in enumerate(results.contours) for c in g.contours}


def test_what_lies_inside_a_contour_is_cut_before_it_stage_by_stage(results):
    parents, done = parents_of(results), {}
    for place, line in enumerate(results.order.lines):
        path = results.plan.passes[line.pass_index].toolpath
        key = (line.sheet, line.copy, path.stage, path.mounted.key, path.drawing)
        around = parents[path.drawing, path.contour_id]
        while around is not None:
            assert (*key, around) not in done, place
            around = parents[path.drawing, around]
        done[*key, path.contour_id] = place


def test_the_depths_of_a_contour_are_cut_one_after_the_other(results):
    paths = [results.plan.passes[line.pass_index].toolpath for line in results.order.lines]
    keys = [
        (line.sheet, line.copy, p.drawing, p.contour_id, p.stage, p.mounted.key)
        for line, p in zip(results.order.lines, paths, strict=True)
    ]
    runs = [key for key, _ in itertools.groupby(keys)]
    assert len(runs) == len(set(runs))


def test_rapids_lead_from_where_a_pass_ends_to_where_the_next_begins(results):
    here = np.zeros(2)
    for line, rapid in zip(results.order.lines, results.order.rapids_mm, strict=True):
        copy = results.layout.sheets[line.sheet].copies[line.copy]
        path = results.plan.passes[line.pass_index].toolpath
        begin = placed(path.entry.points[0], copy)
        assert rapid == pytest.approx(float(np.hypot(*(begin - here))))
        here = placed(path.exit.points[-1], copy)


def test_equal_spindle_speeds_stay_together_where_nothing_comes_late(results):
    holes = [c.id for c in results.contours[0].contours if c.kind == "hole"][:6]
    choices = tuple(ContourChoice(n, spindle_speed_rpm=9000.0) for n in holes[::2])
    (drawing, *more) = results.job.drawings
    job = replace(results.job, drawings=(replace(drawing, contours=choices), *more))
    again = Pipeline().results(job)
    passes = [again.plan.passes[line.pass_index] for line in again.order.lines]
    keys = [(p.toolpath.stage, p.toolpath.mounted.key, p.spindle_speed_rpm) for p in passes]
    runs = [key for key, _ in itertools.groupby(keys)]
    assert len(again.layout.sheets) > 1 or len(runs) == len(set(runs))
    assert any(p.spindle_speed_rpm == 9000.0 for p in passes)
