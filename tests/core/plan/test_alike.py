"""Passes that are alike share what does not depend on where they run."""

from dataclasses import replace

import pytest

from core.job.file import read_job
from core.pipeline import Pipeline
from core.plan.alike import alike


@pytest.fixture(scope="module")
def passes(request):
    root = request.config.rootpath / "sample_jobs" / "guard_panel"
    return Pipeline().results(read_job(root / "guard_panel.pane")).plan.passes


def test_a_value_of_every_pass_is_the_same_as_pass_by_pass(passes):
    values = (
        lambda one: one.feed_speed_mm_min,
        lambda one: one.toolpath.z_bottom_mm,
        lambda one: one.toolpath.bands[-1].radial_width_mm,
        lambda one: one.toolpath.wall_stock_mm,
        lambda one: one.toolpath.mounted.stick_out_mm,
    )
    for value in values:
        assert alike(passes).each(value).tolist() == [value(one) for one in passes]


def test_there_are_far_fewer_kinds_than_passes(passes):
    assert len(alike(passes).first) <= len(passes) / 2


def test_one_other_speed_or_cutter_makes_another_kind(passes):
    kinds = len(alike(passes).first)
    last = passes[-1]
    faster = replace(last, spindle_speed_rpm=last.spindle_speed_rpm + 1.0)
    assert len(alike((*passes, faster)).first) == kinds + 1
    mounted = replace(last.toolpath.mounted, stick_out_mm=99.0)
    longer = replace(last, toolpath=replace(last.toolpath, mounted=mounted))
    assert alike((*passes, longer)).each(lambda p: p.toolpath.mounted.stick_out_mm)[-1] == 99.0
