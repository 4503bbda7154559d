"""The window on a plan made by hand: answers, table, sheet, column and status follow one job."""

from pathlib import Path

import pytest
from by_hand import HandPlanner, drain, open_and_wait, press, settled, type_text
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from app.selection import Looked
from core.job.file import read_job
from core.units import number


def bracket(window, key):
    return window.bench.sentence.bracket(key)


def edit_bracket(qtbot, window, key, text):
    """Click a bracket, type, press Return."""
    qtbot.mouseClick(bracket(window, key), Qt.MouseButton.LeftButton)
    type_text(qtbot, window.bench.sentence.editor.input, text)
    settled(qtbot, window)


def test_the_title_names_the_job_and_marks_unsaved_work(qtbot, window):
    assert window.windowTitle().startswith("bakery[*]")
    assert not window.isWindowModified()
    edit_bracket(qtbot, window, "thickness_mm", "5 mm")
    assert window.isWindowModified()


def test_the_three_answers_are_always_there(window):
    says = [card.accessibleName() for card in window.answers.cards]
    assert says[0].startswith("Will it cut cleanly? Not yet")
    assert "EUR" in says[1]
    assert "No trial open" in says[2]


def test_the_worst_limit_is_selected_when_a_job_opens(window):
    assert window.desk.limit().name == "rubbing"
    assert window.bench.cleanly.limits.currentRow() == 0


def test_a_bracket_edits_the_job_in_place_as_one_undo_step(qtbot, window):
    edit_bracket(qtbot, window, "thickness_mm", "1/4 in")
    assert window.desk.document.job.thickness_mm == pytest.approx(6.35)
    assert bracket(window, "thickness_mm").text() == "6.35 mm"
    assert window.desk.document.undo_stack.count() == 1
    press(qtbot, window, "undo")
    settled(qtbot, window)
    assert bracket(window, "thickness_mm").text() == "6 mm"


def test_undo_says_what_it_would_undo(qtbot, window):
    edit_bracket(qtbot, window, "thickness_mm", "5 mm")
    assert window.actions_by_name["undo"].text() == "Undo sheet thickness: 5 mm"


def test_bad_input_stays_in_the_bracket_and_the_job_keeps_its_value(qtbot, window):
    qtbot.mouseClick(bracket(window, "thickness_mm"), Qt.MouseButton.LeftButton)
    editor = window.bench.sentence.editor
    type_text(qtbot, editor.input, "3 rpm")
    assert editor.isVisible()
    assert editor.hint.property("role") == "fault"
    assert "length" in editor.hint.text()
    assert window.desk.document.job.thickness_mm == 6.0
    qtbot.keyClick(editor.input, Qt.Key.Key_Escape)
    assert editor.input.text() == "6 mm"
    qtbot.keyClick(editor.input, Qt.Key.Key_Escape)
    assert window.bench.sentence.editor is None


def test_a_choice_is_made_with_the_arrows_and_shows_where_its_values_come_from(qtbot, window):
    qtbot.mouseClick(bracket(window, "material"), Qt.MouseButton.LeftButton)
    choices = window.bench.sentence.editor.input
    assert choices.currentItem().text().lower() == "polycarbonate"
    before = choices.currentRow()
    qtbot.keyClick(choices, Qt.Key.Key_Up)
    name = choices.currentItem().data(Qt.ItemDataRole.UserRole)
    note = choices.currentItem().data(Qt.ItemDataRole.AccessibleDescriptionRole)
    assert choices.currentRow() == before - 1
    assert "softens" in note
    assert "(" in note, "each value with its source"
    qtbot.keyClick(choices, Qt.Key.Key_Return)
    settled(qtbot, window)
    assert window.desk.document.job.material == name


def test_a_quantity_can_be_left_to_the_house_rule_again(qtbot, window):
    edit_bracket(qtbot, window, "spindle_speed_rpm", "12 krpm")
    assert window.desk.document.job.spindle_speed_rpm == 12000.0
    qtbot.mouseClick(bracket(window, "spindle_speed_rpm"), Qt.MouseButton.LeftButton)
    editor = window.bench.sentence.editor
    leave = next(
        b for b in editor.findChildren(QWidget) if getattr(b, "text", str)()[:5] == "Leave"
    )
    qtbot.mouseClick(leave, Qt.MouseButton.LeftButton)
    settled(qtbot, window)
    assert window.desk.document.job.spindle_speed_rpm is None


def test_a_job_that_cannot_be_planned_says_so_and_can_be_undone(qtbot, window):
    edit_bracket(qtbot, window, "thickness_mm", "13 mm")
    assert window.answers.cards[0].answer.text == "Not planned"
    assert "13 mm" in window.answers.cards[0].answer.note
    press(qtbot, window, "undo")
    settled(qtbot, window)
    assert window.answers.cards[0].answer.text == "Not yet"


def test_one_selection_links_table_sheet_and_column(qtbot, window):
    window.desk.selection.set(Looked((0, 2), 1))
    table = window.bench.table
    assert table.contour_model.looked(table.currentIndex()) == Looked((0, 2), 1)
    assert "window 2" in window.bench.cleanly.breadcrumb.text()
    qtbot.keyClick(table, Qt.Key.Key_Down)
    assert window.desk.selection.now.contour == (0, 3)


def test_back_and_forward_go_through_what_was_looked_at(qtbot, window):
    window.desk.selection.set(Looked((0, 2), 0))
    window.desk.selection.set(Looked((0, 3), 1))
    press(qtbot, window, "back")
    assert window.desk.selection.now == Looked((0, 2), 0)
    press(qtbot, window, "forward")
    assert window.desk.selection.now == Looked((0, 3), 1)


def test_f8_walks_through_all_warnings_the_gravest_first(qtbot, window):
    said = []
    for _ in range(4):
        press(qtbot, window, "next_finding")
        said.append(window.status.message.text())
    assert said == [f"Warning {n} of 3" for n in (1, 2, 3, 1)]
    assert window.desk.selection.now.contour == (0, 2), "the one outside belongs to window 2"
    assert window.desk.selection.now.place_mm == (90.0, 80.0)


def test_picking_a_question_changes_the_column_only(qtbot, window):
    before = window.desk.selection.now
    press(qtbot, window, "question_2")
    assert window.bench.pages.currentIndex() == 1
    assert window.answers.cards[1].isChecked()
    assert window.desk.selection.now == before


def test_the_ledger_adds_up_on_the_screen(window):
    window.show_question(2)
    totals = window.desk.report.totals
    parts = totals.cutting_s + totals.moving_s + totals.entering_s + totals.cutter_changes_s
    assert totals.cycle_time_s == pytest.approx(parts + totals.spindle_changes_s)
    rows = dict(window.bench.price.time.rows())
    assert rows["cutter changes"] == "9.0 s"
    assert dict(window.bench.price.price.rows())["in all"] == "7.50 EUR"


def test_a_trial_changes_nothing_until_it_is_adopted_as_one_step(qtbot, window):
    press(qtbot, window, "question_3")
    lever = window.bench.trial_page.levers["spindle_speed_rpm"]
    type_text(qtbot, lever.quantity, "12 krpm")
    settled(qtbot, window)
    assert window.trial.is_open
    assert window.desk.document.job.spindle_speed_rpm is None
    assert "12\u202f000" in window.bench.trial_page.table.text()
    press(qtbot, window, "trial_adopt")
    settled(qtbot, window)
    assert window.desk.document.job.spindle_speed_rpm == 12000.0
    assert window.desk.document.undo_stack.count() == 1
    assert not window.trial.is_open


def test_escape_drops_a_trial(qtbot, window):
    press(qtbot, window, "question_3")
    lever = window.bench.trial_page.levers["feed_per_tooth_mm"]
    qtbot.keyClick(lever.slider, Qt.Key.Key_Right)
    settled(qtbot, window)
    assert window.trial.is_open
    qtbot.keyClick(lever.slider, Qt.Key.Key_Escape)
    assert not window.trial.is_open
    assert window.desk.document.undo_stack.count() == 0


def test_a_number_is_copied_plain_and_with_its_reasoning(qtbot, window):
    press(qtbot, window, "copy")
    chip_mm = number(window.desk.limit().actual, 3)
    assert QGuiApplication.clipboard().text() == f"{chip_mm}, at least 0.15 mm"
    press(qtbot, window, "copy_reason")
    assert "limit 0.15 mm" in QGuiApplication.clipboard().text()


def test_the_table_is_copied_as_tsv_and_as_html(qtbot, window):
    press(qtbot, window, "copy_table")
    data = QGuiApplication.clipboard().mimeData()
    lines = data.text().splitlines()
    assert lines[0].split("\t")[:3] == ["Contour, pass", "State", "Cutter"]
    assert len(lines) == 1 + 3 * 3
    assert "18000" in lines[2].split("\t"), "a spreadsheet reads no thin spaces"
    assert data.html().count("<tr>") == len(lines)


def test_units_switch_everywhere_at_once(qtbot, window):
    press(qtbot, window, "units")
    assert bracket(window, "thickness_mm").text() == "0.2362 in"
    assert window.bench.table.contour_model.head(5) == "Depth\nin"
    assert "in" in window.bench.cleanly.limits.item(0).data(Qt.ItemDataRole.AccessibleTextRole)
    press(qtbot, window, "units")
    assert bracket(window, "thickness_mm").text() == "6 mm"


def test_saving_and_opening_again_gives_an_equal_job(qtbot, window, job_file):
    edit_bracket(qtbot, window, "thickness_mm", "5 mm")
    press(qtbot, window, "save")
    assert not window.isWindowModified()
    job = window.desk.document.job
    assert read_job(job_file) == job
    press(qtbot, window, "close")
    assert window.pages.currentWidget() is window.empty_page
    open_and_wait(qtbot, window, job_file)
    assert window.desk.document.job == job


def test_saving_where_nothing_can_be_written_says_so(qtbot, window, tmp_path, monkeypatch):
    nowhere = str(tmp_path / "nowhere" / "job.pane")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *a: (nowhere, "")))
    press(qtbot, window, "save_as")
    assert window.notice.isVisible()
    assert "cannot be written" in window.notice.text.text()


def test_a_file_that_cannot_be_opened_leaves_the_job_as_it_is(qtbot, window, tmp_path):
    bad = tmp_path / "bad.pane"
    bad.write_text("not a job")
    before = window.desk.document.job
    window.files.open(bad)
    settled(qtbot, window)
    assert window.notice.isVisible()
    assert "damaged" in window.notice.text.text()
    assert window.desk.document.job is before


def drop_of(window, *paths):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    return Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier


def test_a_job_dropped_anywhere_is_opened(qtbot, empty_window, job_file):
    args = drop_of(empty_window, job_file)
    enter = QDragEnterEvent(QPoint(50, 50), *args)
    QApplication.sendEvent(empty_window, enter)
    assert enter.isAccepted()
    with qtbot.waitSignal(empty_window.files.opened):
        QApplication.sendEvent(empty_window, QDropEvent(QPointF(50, 50), *args))
    assert empty_window.desk.document.path == job_file


def test_what_is_no_drawing_and_no_job_cannot_be_dropped(empty_window):
    args = drop_of(empty_window, Path("/x/letter.txt"))
    enter = QDragEnterEvent(QPoint(50, 50), *args)
    enter.ignore()
    QApplication.sendEvent(empty_window, enter)
    assert not enter.isAccepted()


def test_recent_files_are_on_the_empty_page(qtbot, window, job_file):
    press(qtbot, window, "close")
    words = [w.text() for w in window.empty_page.findChildren(QWidget) if hasattr(w, "text")]
    assert any(job_file.name in text for text in words)


def test_f6_goes_through_the_regions_and_back(qtbot, window):
    window.activateWindow()
    window.answers.cards[0].setFocus()
    seen = []
    bench = window.bench
    for _ in range(6):
        press(qtbot, window, "next_region")
        seen.append(QApplication.focusWidget())
    task = bench.tasks.brackets["task"]
    assert seen[1:5] == [bench.sheet.view, task, bench.table, bench.cleanly.limits]
    assert seen[5] is window.answers.cards[0]
    press(qtbot, window, "previous_region")
    assert QApplication.focusWidget() is window.bench.cleanly.limits


def test_everything_that_takes_the_focus_has_a_name(window):
    window.bench.show_question(3)
    nameless = [
        widget
        for widget in window.findChildren(QWidget)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.isVisible()
        and not (widget.accessibleName() or getattr(widget, "text", str)())
    ]
    assert nameless == []


def test_below_1180_px_the_column_is_a_drawer_that_a_question_opens(qtbot, window):
    window.resize(1000, 720)
    drain()
    assert window.bench.has_drawer
    assert not window.bench.column.isVisible()
    press(qtbot, window, "question_2")
    assert window.bench.column.isVisible()
    press(qtbot, window, "question_2")
    assert not window.bench.column.isVisible()
    window.resize(1300, 800)
    drain()
    assert not window.bench.has_drawer
    assert window.bench.column.isVisible()


def test_at_1180_by_720_everything_fits_into_the_window(window):
    window.resize(1180, 720)
    drain()
    assert (window.width(), window.height()) == (1180, 720)
    assert not window.bench.has_drawer
    assert window.bench.table.height() > 100
    assert window.bench.sheet.view.height() > 100


def test_the_state_of_the_window_is_kept(qtbot, made, window, job_file):
    press(qtbot, window, "question_2")
    press(qtbot, window, "units")
    window.bench.down.setSizes([150, 450])
    table_px = window.bench.table.height()
    window.close()
    again = made(planner=HandPlanner())
    again.show()
    again.resize(1400, 900)  # the screen of the tests is smaller than that
    open_and_wait(qtbot, again, job_file)
    assert again.bench.question == 2
    assert again.desk.units.value == "inch"
    assert again.bench.table.height() == pytest.approx(table_px, abs=2)
    again.close()
