"""Sittings: a person at the real window, on the real pipeline, with keys and mouse only."""

from pathlib import Path

import pytest
from by_hand import open_and_wait, press, settled, type_text
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QFileDialog

import sample_jobs
from app.main_window import MainWindow
from app.recovery import Recovery
from core.job.file import read_job

SAMPLES = Path(next(iter(sample_jobs.__path__)))
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def real(qtbot, tmp_path):
    """A window on the real pipeline."""
    window = MainWindow(recovery=Recovery(tmp_path / "recovery"))
    window.resize(1400, 900)
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.close()


def choose(qtbot, window, key, words):
    """Open a bracket, go down its list to the entry that holds the words, take it."""
    qtbot.mouseClick(window.bench.sentence.bracket(key), LEFT)
    choices = window.bench.sentence.editor.input
    for _ in range(choices.count()):
        if words in choices.currentItem().text().casefold():
            break
        last = choices.currentRow() == choices.count() - 1
        qtbot.keyClick(choices, Qt.Key.Key_Home if last else Qt.Key.Key_Down)
    assert words in choices.currentItem().text().casefold()
    qtbot.keyClick(choices, Qt.Key.Key_Return)
    settled(qtbot, window)


def type_bracket(qtbot, window, key, text):
    qtbot.mouseClick(window.bench.sentence.bracket(key), LEFT)
    type_text(qtbot, window.bench.sentence.editor.input, text)
    settled(qtbot, window)


def follow_first_link(qtbot, window):
    """Press Tab to the first value in the formula and Return on it."""
    label = window.bench.cleanly.reason.text
    label.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(label, Qt.Key.Key_Tab)
    qtbot.keyClick(label, Qt.Key.Key_Return)


def test_open_change_read_the_worst_limit_follow_its_formula_undo_save_reopen(
    qtbot, real, tmp_path, monkeypatch
):
    open_and_wait(qtbot, real, SAMPLES / "guard_panel" / "guard_panel.pane")
    start = real.desk.document.job
    choose(qtbot, real, "material", "cast acrylic")
    choose(qtbot, real, "rough_cutter", "3 mm")
    assert real.desk.document.job.material != start.material
    press(qtbot, real, "worst")
    worst = real.bench.cleanly.limits.item(0).data(Qt.ItemDataRole.AccessibleTextRole)
    assert real.desk.limit().label.casefold() in worst.casefold()
    told = real.bench.cleanly.reason
    before = told.text.text()
    press(qtbot, real, "explain")
    follow_first_link(qtbot, real)
    assert told.is_deeper or told.told.isVisible() or real.bench.sentence.editor is not None
    if real.bench.sentence.editor is not None:
        qtbot.keyClick(real.bench.sentence.editor.input, Qt.Key.Key_Escape)
    assert before
    while real.desk.document.undo_stack.canUndo():
        press(qtbot, real, "undo")
    settled(qtbot, real)
    assert real.desk.document.job == start
    target = tmp_path / "again.pane"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *a: (str(target), "")))
    press(qtbot, real, "save_as")
    assert read_job(target) == start
    open_and_wait(qtbot, real, target)
    assert real.desk.document.job == start
    assert real.desk.report.sentence


@pytest.mark.parametrize("name", ["guard_panel", "scale_cover", "shop_sign"])
def test_a_drawing_opens_is_planned_and_every_contour_can_be_visited(qtbot, real, name):
    open_and_wait(qtbot, real, SAMPLES / name / f"{name}.dxf")
    report = real.desk.report
    seen = set()
    for _ in report.contours:
        press(qtbot, real, "next_contour")
        contour = real.desk.contour()
        seen.add(contour.id)
        assert f"{contour.id}&nbsp;" in real.bench.cleanly.breadcrumb.text()
    assert seen == {contour.id for contour in report.contours}


def test_the_chip_is_thicker_at_a_slower_spindle_and_the_table_says_so(qtbot, real):
    """The heart of the matter: where the machine slows down, a slower spindle keeps the chip."""
    open_and_wait(qtbot, real, SAMPLES / "guard_panel" / "guard_panel.pane")
    press(qtbot, real, "worst")

    def chip_load():
        return real.desk.cut_pass().feed_per_tooth_reached_mm.p5

    before = chip_load()
    type_bracket(qtbot, real, "spindle_speed_rpm", "9 krpm")
    assert chip_load() > before
    index = real.bench.table.currentIndex()
    shown = real.bench.table.contour_model.text(index.siblingAtColumn(7))
    assert float(shown.replace("\u202f", "")) == pytest.approx(chip_load(), abs=6e-4)


def test_a_point_of_the_path_is_picked_on_the_sheet_and_explained_in_the_column(qtbot, real):
    open_and_wait(qtbot, real, SAMPLES / "scale_cover" / "scale_cover.pane")
    view = real.bench.sheet.view
    contour = real.desk.report.contours[1]
    copy = view.scene.copies()[0]
    x, y = contour.passes[0].trace.xy_mm[5]
    from app.views.sheet_scene import copy_transform

    at = (copy_transform(copy) * view.transform()).map(float(x), float(y))
    qtbot.mouseClick(view, LEFT, pos=QPoint(round(at[0]), round(at[1])))
    assert real.desk.selection.now.contour == (0, contour.id)
    assert contour.name in real.bench.cleanly.breadcrumb.text()


def test_a_damaged_drawing_is_told_in_one_line_and_nothing_else_happens(qtbot, real, tmp_path):
    bad = tmp_path / "damaged.dxf"
    bad.write_bytes((SAMPLES / "guard_panel" / "guard_panel.dxf").read_bytes()[:700])
    real.files.open(bad)
    settled(qtbot, real)
    assert real.notice.isVisible()
    assert "damaged.dxf" in real.notice.text.text()
    assert "Traceback" not in real.notice.text.text()
    assert real.pages.currentWidget() is real.empty_page


def test_a_trial_on_the_real_pipeline_is_compared_and_dropped(qtbot, real):
    open_and_wait(qtbot, real, SAMPLES / "shop_sign" / "shop_sign.pane")
    start = real.desk.document.job
    press(qtbot, real, "question_3")
    lever = real.bench.trial_page.levers["spindle_speed_rpm"]
    type_text(qtbot, lever.quantity, "12 krpm")
    settled(qtbot, real)
    assert real.trial.report is not None
    assert "against the plan" in real.answers.cards[2].answer.text
    qtbot.keyClick(lever.slider, Qt.Key.Key_Escape)
    assert not real.trial.is_open
    assert real.desk.document.job == start


def test_cancel_stops_a_long_opening_and_leaves_everything_as_it_was(qtbot, real):
    open_and_wait(qtbot, real, SAMPLES / "guard_panel" / "guard_panel.pane")
    job = real.desk.document.job
    real.files.open(SAMPLES / "shop_sign" / "shop_sign.dxf")
    real.status._show_bar()
    assert real.status.cancel.isVisible()
    qtbot.mouseClick(real.status.cancel, LEFT)
    assert not real.status.cancel.isVisible()
    settled(qtbot, real)
    assert real.desk.document.job == job
