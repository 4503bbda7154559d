"""Copies in rows, and the order in which they are cut."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from core.job import Job
from core.job.file import read_job
from core.layout import lay_in_rows
from core.library.records import SheetStock
from core.pipeline import Pipeline

SHEET = SheetStock("s", "Sheet", (1000.0, 600.0), 10.0, 6.0)
BOUNDS = (5.0, -3.0, 205.0, 97.0)


def boxes(layout, bounds):
    """Return the box of every copy, sheet by sheet."""
    return [
        [box(*(np.array(bounds[c.drawing]) + np.array([*c.at_mm, *c.at_mm]))) for c in sheet.copies]
        for sheet in layout.sheets
    ]


def test_copies_stand_in_rows_at_the_kerf_and_the_spacing():
    layout = lay_in_rows((BOUNDS,), 5, SHEET, kerf_mm=6.0)
    (row,) = boxes(layout, (BOUNDS,))
    gaps = [b.bounds[0] - a.bounds[2] for a, b in itertools.pairwise(row)]
    assert gaps[:3] == pytest.approx([12.0] * 3)
    assert row[0].bounds[:2] == pytest.approx((16.0, 16.0))


@given(
    st.lists(st.tuples(st.floats(1, 400), st.floats(1, 400)), min_size=1, max_size=4),
    st.integers(1, 12),
)
def test_every_copy_lies_on_its_sheet_and_no_two_overlap(sizes, quantity):
    bounds = tuple((0.0, 0.0, w, h) for w, h in sizes)
    layout = lay_in_rows(bounds, quantity, SHEET, kerf_mm=6.0)
    inside = box(10.0, 10.0, 990.0, 590.0)
    for copies in boxes(layout, bounds):
        assert all(inside.contains(one) for one in copies)
        for number, one in enumerate(copies):
            assert all(one.distance(other) > 11.9 for other in copies[:number])
    assert sum(len(s.copies) for s in layout.sheets) == quantity * len(sizes)


def test_a_drawing_larger_than_the_sheet_is_said_and_laid_nowhere():
    layout = lay_in_rows(((0.0, 0.0, 2000.0, 50.0),), 3, SHEET, kerf_mm=6.0)
    assert layout.sheets == ()
    assert [f.code for f in layout.findings] == ["larger-than-sheet"]


@pytest.fixture(scope="module")
def guard(request):
    root = request.config.rootpath
    return Pipeline().results(read_job(root / "sample_jobs" / "guard_panel" / "guard_panel.pane"))


def test_every_pass_of_every_copy_is_cut_once(guard):
    lines = guard.order.lines
    assert len(lines) == len(set(lines))
    assert len(lines) == 4 * len(guard.plan.passes)


def test_everything_is_roughed_before_anything_is_parted(guard):
    stages = [guard.plan.passes[line.pass_index].toolpath.stage for line in guard.order.lines]
    assert stages == sorted(stages)


def test_holes_are_finished_before_the_outline_around_them(guard):
    kinds = {c.id: c.kind for c in guard.report.contours}
    skims = [kinds[e.contour] for e in guard.report.order if e.step == "skim"]
    assert skims.index("outer") > max(i for i, kind in enumerate(skims) if kind == "hole")


def test_a_cutter_is_changed_no_oftener_than_the_steps_ask_for(guard):
    cutters = [entry.cutter for entry in guard.report.order]
    assert sum(a != b for a, b in itertools.pairwise(cutters)) == 1


def test_a_job_without_drawings_has_an_empty_order():
    assert Pipeline().results(Job()).report.order == ()
