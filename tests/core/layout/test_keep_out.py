"""Clamps and screws on the sheet are kept out of, passed over, or told."""

from dataclasses import replace

import pytest

from core.job import Form, Job, KeepOut
from core.job.file import job_bytes, job_from_bytes, read_job
from core.pipeline import Pipeline


@pytest.fixture(scope="module")
def guard(request):
    root = request.config.rootpath / "sample_jobs" / "guard_panel"
    return read_job(root / "guard_panel.pane")


def found(job, *keep_outs):
    """Return the findings about keep-outs, and where the copies lie."""
    results = Pipeline().results(replace(job, keep_outs=keep_outs))
    return [f for f in results.plan.findings if f.code == "keep-out"], results.layout


def low_corner(job):
    """Return the lower left corner of the first copy's contours on the sheet."""
    results = Pipeline().results(job)
    (x0, y0, _, _), copy = results.contours[0].bounds_mm, results.layout.sheets[0].copies[0]
    return x0 + copy.at_mm[0], y0 + copy.at_mm[1]


def test_a_clamp_in_the_middle_of_a_cut_is_told_with_its_contour(guard):
    x, y = low_corner(guard)
    (finding,), _ = found(guard, KeepOut("clamp A", (x, y + 100.0), (20.0, 20.0)))
    assert "clamp A" in finding.message
    assert finding.contour_id == 1
    assert finding.severity == "outside"


@pytest.mark.parametrize(("gap_mm", "count"), [(6.5, 0), (5.5, 1)])
def test_a_low_screw_must_be_as_far_off_the_part_as_the_cutter_sweeps(guard, gap_mm, count):
    # the rougher runs with its far side 0.5 + 6 mm off the part
    x, y = low_corner(guard)
    screw = KeepOut("screw", (x - gap_mm - 4.0, y + 100.0), (8.0, 8.0), 1.0, Form.CIRCLE)
    assert len(found(guard, screw)[0]) == count


def test_a_tall_clamp_keeps_the_holder_away_too(guard):
    x, y = low_corner(guard)
    place, size = (x - 20.0, y + 100.0), (10.0, 10.0)
    low, tall = KeepOut("low", place, size, 1.0), KeepOut("tall", place, size, 60.0)
    assert not found(guard, low)[0]
    hit = [f for f in found(guard, tall)[0] if f.contour_id is not None]
    assert len(hit) == 1


def test_what_stands_higher_than_rapid_moves_pass_is_told(guard):
    far = KeepOut("post", (2000.0, 1200.0), (10.0, 10.0), 12.0)
    (finding,), _ = found(guard, far)
    assert finding.contour_id is None
    assert "post" in finding.message
    assert not found(guard, replace(far, height_mm=9.0))[0]


def test_the_job_file_keeps_them():
    job = Job(keep_outs=(KeepOut("screw", (10.0, 20.0), (8.0, 8.0), 3.0, Form.CIRCLE),))
    assert job_from_bytes(job_bytes(job), "x.pane") == job
