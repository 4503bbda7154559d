"""Task by click: the line of brackets above the table, its editors, all alike at once."""

import pytest
from by_hand import press, settled, type_text
from drawn import messy_job, show_job
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QApplication

from app.drawing_commands import choice_of
from app.selection import Looked
from core.job.job import Task
from core.pipeline import Pipeline

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(scope="module")
def pipeline():
    return Pipeline()


@pytest.fixture
def real(qtbot, made, pipeline):
    window = made(pipeline)
    window.resize(1400, 900)
    window.show()
    qtbot.waitExposed(window)
    show_job(qtbot, window, messy_job())
    yield window
    window.close()


@pytest.fixture
def strip(real):
    return real.bench.tasks


def key_of(window, words):
    contour = next(c for c in window.desk.report.contours if c.name.startswith(words))
    return contour.drawing, contour.id


def select(window, words):
    window.desk.selection.set(Looked(key_of(window, words)))


def take(qtbot, window, key, words):
    """Click a bracket, go down its list to the words, press Return."""
    qtbot.mouseClick(window.bench.tasks.brackets[key], LEFT)
    pick(qtbot, window, words)


def pick(qtbot, window, words):
    choices = window.bench.tasks.editor.input
    qtbot.keyClick(choices, Qt.Key.Key_Home)
    while words not in choices.currentItem().text():
        assert choices.currentRow() < choices.count() - 1, f"no {words!r} in the list"
        qtbot.keyClick(choices, Qt.Key.Key_Down)
    qtbot.keyClick(choices, Qt.Key.Key_Return)
    settled(qtbot, window)


def undo_texts(window):
    stack = window.desk.document.undo_stack
    return [stack.text(index) for index in range(stack.count())]


def chosen(window, words):
    return choice_of(window.desk.document.job, key_of(window, words))


@pytest.mark.parametrize(
    ("words", "task"),
    [
        ("cut outside", Task.OUTSIDE),
        ("cut on the line", Task.ON_LINE),
        ("bore", Task.BORE),
        ("not cut", Task.NONE),
    ],
)
def test_a_task_is_changed_in_place_as_one_undo_step(qtbot, real, strip, words, task):
    select(real, "Hole \u00f8 30")
    assert strip.brackets["task"].text() == "cut inside"
    take(qtbot, real, "task", words)
    assert chosen(real, "Hole \u00f8 30").task is task
    assert strip.brackets["task"].text() == words
    assert undo_texts(real) == [f"task of Hole \u00f8 30 mm: {words}"]
    press(qtbot, real, "undo")
    settled(qtbot, real)
    assert real.desk.document.job == messy_job()


def test_a_task_is_left_to_place_and_rules_again(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    take(qtbot, real, "task", "not cut")
    take(qtbot, real, "task", "its place")
    assert real.desk.document.job == messy_job()
    assert strip.brackets["task"].text() == "cut inside"


def test_a_pocket_asks_for_its_depth_at_once(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    take(qtbot, real, "task", "pocket")
    assert strip.editor is not None
    assert strip.editor.field.key == "depth_mm"
    type_text(qtbot, strip.editor.input, "2.5 mm")
    settled(qtbot, real)
    assert chosen(real, "Hole \u00f8 30").depth_mm == 2.5
    assert strip.brackets["depth_mm"].text() == "2.5 mm"
    contour = real.desk.contour()
    assert contour.task == "pocket"
    assert min(one.z_bottom_mm for one in contour.passes) == pytest.approx(3.5)


def test_enter_takes_the_depth_that_is_shown_and_escape_leaves_it_open(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    take(qtbot, real, "task", "pocket")
    qtbot.keyClick(strip.editor.input, Qt.Key.Key_Escape)
    assert chosen(real, "Hole \u00f8 30").depth_mm is None
    assert strip.brackets["depth_mm"].text() == "how deep?"
    qtbot.mouseClick(strip.brackets["depth_mm"], LEFT)
    qtbot.keyClick(strip.editor.input, Qt.Key.Key_Return)
    settled(qtbot, real)
    assert chosen(real, "Hole \u00f8 30").depth_mm == 3.0


def test_recipe_and_spindle_speed_hold_for_this_contour_alone(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    take(qtbot, real, "recipe", "Straight through")
    qtbot.mouseClick(strip.brackets["spindle_speed_rpm"], LEFT)
    type_text(qtbot, strip.editor.input, "12 krpm")
    settled(qtbot, real)
    choice = chosen(real, "Hole \u00f8 30")
    assert (choice.recipe, choice.spindle_speed_rpm) == ("one_pass", 12_000.0)
    passes = real.desk.contour().passes
    assert {(one.step, one.spindle_speed_rpm) for one in passes} == {("through", 12_000.0)}
    others = [c for c in real.desk.report.contours if c.id != real.desk.contour().id]
    assert all(one.spindle_speed_rpm != 12_000.0 for c in others for one in c.passes)
    assert undo_texts(real)[1] == "spindle speed here of Hole \u00f8 30 mm: 12\u202f000 rpm"


def test_all_alike_are_changed_at_once_in_one_undo_step(qtbot, real, strip):
    select(real, "Hole \u00f8 8 mm (2")
    assert strip.alike.text() == "all 4 alike"
    qtbot.mouseClick(strip.alike, LEFT)
    take(qtbot, real, "task", "not cut")
    tasks = [c.task for c in real.desk.document.job.drawings[0].contours]
    assert tasks == [Task.NONE] * 4
    assert undo_texts(real) == ["task of 4 alike, Hole \u00f8 8 mm: not cut"]


def test_a_contour_that_is_alone_offers_nothing_for_all(real, strip):
    select(real, "Hole \u00f8 30")
    assert strip.alike.isHidden()


def test_an_open_line_can_only_be_cut_on_the_line_or_not_at_all(qtbot, real, strip):
    select(real, "Open line")
    qtbot.mouseClick(strip.brackets["task"], LEFT)
    choices = strip.editor.input
    listed = [choices.item(row).text() for row in range(choices.count())]
    assert listed[1:] == ["cut on the line", "not cut"]


def test_f2_opens_the_tasks_of_the_selected_contour(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    press(qtbot, real, "task")
    assert strip.editor is not None
    qtbot.keyClick(strip.editor.input, Qt.Key.Key_Escape)
    assert strip.editor is None


def test_looking_at_another_contour_closes_the_editor(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    press(qtbot, real, "task")
    select(real, "Outline 1")
    assert strip.editor is None


def right_click(widget, at):
    event = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, widget.mapToGlobal(at))
    QApplication.sendEvent(widget, event)


def test_a_right_click_on_an_outline_selects_it_and_opens_its_tasks(qtbot, real, strip):
    select(real, "Hole \u00f8 30")
    take(qtbot, real, "task", "not cut")
    select(real, "Outline 1")
    view = real.bench.sheet.view
    view.fit_selected()
    place = QPointF(75.0, 40.0) + QPointF(*view.scene.copies()[0].at_mm)
    right_click(view, view.transform().map(place).toPoint())
    assert real.desk.selection.now.contour == key_of(real, "Hole \u00f8 30")
    pick(qtbot, real, "cut inside")
    assert chosen(real, "Hole \u00f8 30").task is Task.INSIDE


def test_a_right_click_in_the_table_opens_the_tasks_of_its_row(qtbot, real, strip):
    table = real.bench.table
    table.scrollTo(table.contour_model.index_of(Looked(key_of(real, "Outline 1"))))
    index = table.contour_model.index_of(Looked(key_of(real, "Outline 1")))
    right_click(table.viewport(), table.visualRect(index).center() + QPoint(0, 1))
    assert real.desk.selection.now.contour == key_of(real, "Outline 1")
    assert strip.editor is not None


def test_without_a_selection_the_line_says_how_to_get_one(real, strip):
    real.desk.selection.clear()
    assert "Pick a contour" in strip.name.text()
    assert all(bracket.isHidden() for bracket in strip.brackets.values())
