"""Edits of how a drawing is read: functions from job to job, each one value."""

import pytest
from drawn import messy_job

from app.drawing_commands import (
    REPAIRS,
    alike,
    choice_of,
    with_choice,
    with_layer,
    with_repair,
    with_task,
    with_unit,
)
from core.contours import find_contours
from core.contours.carrying import carried_over
from core.drawing import read_drawing
from core.job.job import ContourChoice, DrawingFile, Job, Task
from core.library.layer_rules import NO_RULES, LayerRule, LayerRules
from core.pipeline import Pipeline

RULES = LayerRules("shop", "shop", "", (LayerRule(("notes*",), leave_out=True),))


def job(**changes):
    return Job(drawings=(DrawingFile("plate.dxf", b"0", **changes),))


def names_of_chosen(made):
    file = made.drawings[0]
    found = {c.id: c for c in find_contours(read_drawing(file), file).contours}
    return [found[choice.contour_id].name.partition(" (")[0] for choice in file.contours]


def test_a_layer_is_left_out_and_taken_back():
    out = with_layer(job(), 0, "cut", False, RULES)
    assert out.drawings[0].layers_left_out == {"cut"}
    assert with_layer(out, 0, "CUT", True, RULES) == job()


def test_a_layer_that_a_rule_leaves_out_is_kept_by_name():
    kept = with_layer(job(), 0, "Notes 1", True, RULES).drawings[0]
    assert (kept.layers_kept, kept.layers_left_out) == ({"Notes 1"}, frozenset())


@pytest.mark.parametrize("code", REPAIRS)
def test_a_repair_is_refused_and_wanted_again(code):
    refused = with_repair(job(), 0, code, False, NO_RULES)
    assert refused.drawings[0].refused_repairs == {code}
    assert with_repair(refused, 0, code, True, NO_RULES) == job()


def test_a_choice_that_says_nothing_any_more_leaves_the_job():
    fast = with_choice(job(), [(0, 3)], spindle_speed_rpm=12_000.0)
    assert fast.drawings[0].contours == (ContourChoice(3, spindle_speed_rpm=12_000.0),)
    assert with_choice(fast, [(0, 3)], spindle_speed_rpm=None) == job()


def test_choices_stay_in_the_order_of_contours_and_keep_their_other_fields():
    made = with_choice(job(), [(0, 5), (0, 2)], recipe="one_pass")
    made = with_task(made, [(0, 5)], Task.BORE)
    assert [c.contour_id for c in made.drawings[0].contours] == [2, 5]
    assert choice_of(made, (0, 5)) == ContourChoice(5, Task.BORE, recipe="one_pass")


def test_a_depth_goes_with_the_task_that_it_was_for():
    pocket = with_choice(with_task(job(), [(0, 1)], Task.POCKET), [(0, 1)], depth_mm=3.0)
    deeper = with_task(pocket, [(0, 1)], Task.COUNTERBORE)
    assert choice_of(deeper, (0, 1)).depth_mm == 3.0
    assert choice_of(with_task(deeper, [(0, 1)], Task.INSIDE), (0, 1)).depth_mm is None


def test_alike_are_the_four_holes_and_no_other():
    report = Pipeline().results(messy_job()).report
    hole = next(c for c in report.contours if c.name.startswith("Hole ø 8 mm"))
    assert len(alike(report, hole)) == 4
    outline = next(c for c in report.contours if c.kind == "outer")
    assert alike(report, outline) == ((0, outline.id),)


@pytest.mark.parametrize(
    "reread",
    [
        lambda made: with_layer(made, 0, "cut", True, NO_RULES),
        lambda made: with_layer(made, 0, "window", False, NO_RULES),
        lambda made: with_repair(made, 0, "gap-closed", False, NO_RULES),
        lambda made: with_repair(made, 0, "duplicate-removed", False, NO_RULES),
        lambda made: with_unit(made, 0, 25.4, NO_RULES),
    ],
    ids=["same", "layer out", "gaps open", "line twice", "inch"],
)
def test_a_choice_follows_its_outline_when_contours_are_numbered_anew(reread):
    file = messy_job().drawings[0]
    contours = find_contours(read_drawing(file), file).contours
    hole = next(c for c in contours if c.name.startswith("Hole ø 8 mm (3"))
    before = with_task(messy_job(), [(0, hole.id)], Task.BORE)
    after = reread(before)
    drawing = after.drawings[0]
    found = {c.id: c for c in find_contours(read_drawing(drawing), drawing).contours}
    (choice,) = drawing.contours
    box = found[choice.contour_id].path.bounds_mm
    scale = drawing.mm_per_unit or 1.0
    assert [side / scale for side in box] == pytest.approx(hole.path.bounds_mm, abs=1e-6)


def test_the_choice_for_an_outline_that_is_gone_goes_with_it():
    file = messy_job().drawings[0]
    window = next(
        c for c in find_contours(read_drawing(file), file).contours if c.layer == "window"
    )
    made = with_task(messy_job(), [(0, window.id), (0, 1)], Task.NONE)
    assert names_of_chosen(with_layer(made, 0, "window", False, NO_RULES)) == ["Outline 1"]


def test_a_drawing_that_cannot_be_read_keeps_its_choices():
    chosen = DrawingFile("bad.dxf", b"not a drawing", contours=(ContourChoice(1, Task.NONE),))
    assert carried_over(chosen, chosen) == chosen
