"""What layer names mean in a shop: rules as data, told with counts, and never against the hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.contours import find_contours
from core.drawing import read_drawing
from core.drawing.writing import Stroke, dxf_bytes
from core.errors import LibraryError, Severity
from core.geometry.path import Path, circle
from core.job import ContourChoice, DrawingFile, Job, LibraryFile, Task
from core.job.file import job_bytes, job_from_bytes
from core.library.layer_rules import LayerRule, LayerRules
from core.library.shelf import Shelf
from core.pipeline import Pipeline

SHOP = Shelf().layer_rules("kiln_lane")

PLATE = Path(np.array([[0, 0], [300, 0], [300, 200], [0, 200]]), np.zeros(4))
LINE = Path(np.array([[20, 100], [280, 100]]), np.zeros(1), closed=False)
FRAME = Path(np.array([[-9, -9], [309, -9], [309, 209], [-9, 209]]), np.zeros(4))


def drawing_of(*strokes, **choices):
    return DrawingFile("plate.dxf", dxf_bytes([Stroke(PLATE, "outline"), *strokes]), **choices)


def found(file, rules=SHOP):
    return find_contours(read_drawing(file), file, 0, rules)


def rules_of(*rules):
    return LayerRules("own", "our shop", "", rules)


def told(contours):
    return [f.message for f in contours.findings if f.code == "layer-rule"]


FITS = [
    ("ETCH", ["*etch*"], True),
    ("part etching", ["*ETCH*"], True),
    ("outline", ["*etch*"], False),
    ("csk 8", ["csk ?"], True),
    ("csk 10", ["csk ?"], False),
    ("layer2", ["layer[12]"], True),
    ("Gravür", ["gravÜr"], True),
    ("a.b", ["a.b"], True),
    ("axb", ["a.b"], False),
    ("notes", ["x", "notes"], True),
]


@pytest.mark.parametrize(("layer", "patterns", "fits"), FITS)
def test_a_pattern_is_a_shell_wildcard_in_any_case(layer, patterns, fits):
    assert LayerRule(tuple(patterns), Task.NONE).fits(layer) is fits


@given(st.text(max_size=40), st.text(min_size=1, max_size=40))
def test_any_name_fits_any_pattern_or_does_not(layer, pattern):
    assert LayerRule((pattern,), Task.NONE).fits(layer) in (True, False)


def test_a_heap_of_stars_is_answered_at_once():
    assert not LayerRule(("*a" * 100,), Task.NONE).fits("a" * 99 + "b")


def test_the_first_rule_that_fits_holds():
    rules = rules_of(LayerRule(("holes 8",), Task.DRILL), LayerRule(("holes*",), Task.BORE))
    assert rules.rule_for("holes 8").task is Task.DRILL
    assert rules.rule_for("Holes 10").task is Task.BORE
    assert rules.rule_for("slots") is None


def test_a_layer_gives_its_contours_their_task_and_is_told_with_a_count():
    marks = [Stroke(circle((x, 50.0), 5.0), "Etch") for x in (50.0, 100.0)]
    contours = found(drawing_of(*marks))
    assert [c.task for c in contours.contours] == [Task.OUTSIDE, Task.NONE, Task.NONE]
    assert told(contours) == [
        "Layer 'Etch' is not cut: 2 contours, by the layer rules of Kiln Lane Plastics. A choice "
        "by hand wins over them."
    ]
    (note,) = [f for f in contours.findings if f.code == "layer-rule"]
    assert note.severity is Severity.NOTE


def test_a_choice_by_hand_wins_over_a_rule():
    marks = [Stroke(circle((x, 50.0), 5.0), "etch") for x in (50.0, 100.0)]
    file = drawing_of(*marks, contours=(ContourChoice(2, task=Task.INSIDE),))
    contours = found(file)
    assert [c.task for c in contours.contours[1:]] == [Task.INSIDE, Task.NONE]
    assert "1 contour, by" in told(contours)[0]


def test_a_spindle_speed_by_hand_leaves_the_task_to_the_rule():
    file = drawing_of(
        Stroke(circle((50.0, 50.0), 5.0), "etch"),
        contours=(ContourChoice(2, spindle_speed_rpm=12_000.0),),
    )
    assert found(file).contours[1].task is Task.NONE


def test_a_layer_left_out_is_dropped_before_anything_is_chained():
    rules = rules_of(LayerRule(("frame",), leave_out=True))
    file = drawing_of(Stroke(FRAME, "Frame"))
    with_frame, without = found(file, rules_of()), found(file, rules)
    assert (with_frame.outer_count, with_frame.hole_count) == (1, 1)
    assert (without.outer_count, without.hole_count) == (1, 0)
    assert without.size_mm == (300.0, 200.0)
    assert without.layers_left_out == ("Frame",)
    assert told(without)[0].startswith("Layer 'Frame' is left out: 1 entity, by the layer rules")


def test_a_layer_that_the_user_keeps_is_not_left_out():
    rules = rules_of(LayerRule(("frame",), leave_out=True))
    contours = found(drawing_of(Stroke(FRAME, "Frame"), layers_kept=frozenset({"FRAME"})), rules)
    assert contours.hole_count == 1
    assert told(contours) == []


def test_a_layer_that_the_user_left_out_is_not_told_twice():
    rules = rules_of(LayerRule(("frame",), leave_out=True))
    file = drawing_of(Stroke(FRAME, "Frame"), layers_left_out=frozenset({"Frame"}))
    assert found(file, rules).layers_left_out == ()


@pytest.mark.parametrize(
    ("task", "stroke", "given"),
    [
        (Task.OUTSIDE, LINE, Task.NONE),
        (Task.ON_LINE, LINE, Task.ON_LINE),
        (Task.DRILL, circle((50.0, 50.0), 4.0), Task.DRILL),
        (Task.DRILL, PLATE.moved((0.0, 300.0)), Task.OUTSIDE),
    ],
    ids=["an open line has no outside", "a line", "a circle", "a plate is not drilled"],
)
def test_a_task_that_a_contour_cannot_have_is_not_given(task, stroke, given):
    contours = found(drawing_of(Stroke(stroke, "work")), rules_of(LayerRule(("work",), task)))
    (contour,) = [c for c in contours.contours if c.layer == "work"]
    assert contour.task is given
    assert bool(told(contours)) == (task is given)


def test_without_a_rule_that_fits_nothing_changes():
    file = drawing_of(Stroke(circle((50.0, 50.0), 4.0), "holes"))
    plain, ruled = found(file, rules_of()), found(file)
    assert told(ruled) == []
    assert [c.task for c in plain.contours] == [c.task for c in ruled.contours]


BAD = [
    ('layers = ["a"]', "either a task or leave_out"),
    ('layers = ["a"]\ntask = "none"\nleave_out = true', "either a task or leave_out"),
    ('layers = []\ntask = "none"', "needs a pattern"),
    ('layers = [" "]\ntask = "none"', "1 to 255 letters"),
    ('layers = ["a"]\ntask = "mill"', "outside | inside"),
    ('layers = "a"\ntask = "none"', "a list in [ ] is needed"),
    ('pattern = ["a"]\ntask = "none"', "unknown entries: pattern"),
]


@pytest.mark.parametrize(("rule", "words"), BAD)
def test_a_rule_that_cannot_be_meant_is_refused_with_its_place(rule, words):
    text = f'name = "own"\n\n[[rules]]\nlayers = ["ok"]\ntask = "none"\n\n[[rules]]\n{rule}\n'
    shelf = Shelf((LibraryFile("layer_rules", "own", text),))
    with pytest.raises(LibraryError) as refusal:
        shelf.layer_rules("own")
    assert words in str(refusal.value)
    assert "rules[1]" in str(refusal.value)


def test_the_user_s_folder_has_rules_of_its_own(tmp_path):
    (tmp_path / "layer_rules").mkdir()
    (tmp_path / "layer_rules" / "kiln_lane.toml").write_text(
        'name = "Our shop"\n[[rules]]\nlayers = ["frame"]\nleave_out = true\n'
    )
    job = Job(drawings=(drawing_of(Stroke(FRAME, "FRAME")),))
    report = Pipeline(tmp_path).results(job).report
    assert [la.left_out for la in report.drawings[0].layers] == [False, True]
    assert any("layer rules of Our shop" in f.message for f in report.drawings[0].findings)


def test_another_set_of_rules_finds_the_contours_anew_and_reads_nothing_again():
    pipeline = Pipeline()
    job = Job(drawings=(drawing_of(Stroke(circle((50.0, 50.0), 5.0), "etch")),))
    tasks = []
    for rules in ("kiln_lane", "as_drawn"):
        results = pipeline.results(Job(drawings=job.drawings, layer_rules=rules))
        tasks.append(results.contours[0].contours[1].task)
    assert tasks == [Task.NONE, Task.INSIDE]
    assert (pipeline.runs["drawing 0"], pipeline.runs["contours 0"]) == (1, 2)


def test_layers_kept_and_the_set_of_rules_are_saved_with_the_job():
    drawing = drawing_of(layers_kept=frozenset({"b", "a"}))
    job = Job(drawings=(drawing,), layer_rules="as_drawn")
    assert job_from_bytes(job_bytes(job), "x.pane") == job
