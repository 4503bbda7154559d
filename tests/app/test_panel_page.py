"""A panel by numbers in the window: typed, looked at, faulted at its field, used, saved."""

import pytest
from by_hand import drain, job_by_hand, press, settled, type_text
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLineEdit, QPushButton

from app.views.panel_page_features import KINDS
from core.contours import find_contours
from core.drawing import open_drawing_file, read_drawing
from core.drawing.panel import CornerCut, CutOut, Holes, InCorners, Notch, Slot
from core.units import UnitSystem

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def page(qtbot, empty_window):
    return open_page(qtbot, empty_window)


def open_page(qtbot, window):
    """Press Ctrl+N, as soon as the window hears keys."""
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    press(qtbot, window, "panel")
    assert window.pages.currentWidget() is window.panel_page
    looked(qtbot, window.panel_page)
    return window.panel_page


def looked(qtbot, page):
    """Wait until the panel as typed was looked at and its notes are there."""
    busy = (page.worker, page.noter)
    timers = (page._wait, page._notes_wait)
    qtbot.waitUntil(
        lambda: not any(t.isActive() for t in timers) and not any(w.is_busy for w in busy),
        timeout=20_000,
    )
    drain()


def add(qtbot, page, key, **typed):
    """Press the button that adds a feature and type into its fields."""
    qtbot.mouseClick(page.form.add_buttons[key], LEFT)
    row = page.form.rows[-1]
    for name, text in typed.items():
        type_text(qtbot, row.fields[name], text, Qt.Key.Key_Tab)
    looked(qtbot, page)
    return row


def size(qtbot, page, width, height):
    type_text(qtbot, page.form.width_mm, width, Qt.Key.Key_Tab)
    type_text(qtbot, page.form.height_mm, height, Qt.Key.Key_Tab)
    looked(qtbot, page)


def test_the_empty_page_leads_to_it_and_escape_leads_back(qtbot, empty_window):
    button = next(b for b in empty_window.empty_page.buttons if "anel by numbers" in b.text())
    qtbot.mouseClick(button, LEFT)
    assert empty_window.pages.currentWidget() is empty_window.panel_page
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert empty_window.pages.currentWidget() is empty_window.empty_page


def test_sizes_are_typed_as_people_write_them(qtbot, page):
    size(qtbot, page, "36 in", "60 cm")
    assert page.form.panel().size_mm == pytest.approx((914.4, 600.0))


def test_all_corners_at_once_and_one_of_its_own(qtbot, page):
    type_text(qtbot, page.form.corners.every, "12", Qt.Key.Key_Tab)
    corner = next(c for c in page.form.corners.fields if c.value == "top-right")
    type_text(qtbot, page.form.corners.fields[corner], "30", Qt.Key.Key_Tab)
    page.form.corners.forms[corner].setFocus()
    qtbot.keyClick(page.form.corners.forms[corner], Qt.Key.Key_Down)
    cuts = [CornerCut(c.size_mm, c.is_round) for c in page.form.panel().corners]
    assert cuts == [CornerCut(12.0), CornerCut(12.0), CornerCut(30.0, False), CornerCut(12.0)]


def test_each_kind_of_feature_makes_its_own(qtbot, page):
    size(qtbot, page, "900", "600")
    add(qtbot, page, "corners")
    add(qtbot, page, "row", count="3")
    add(qtbot, page, "circle", x="600", y="300", count="6")
    add(qtbot, page, "slot", x="700", y="100")
    add(qtbot, page, "hand_hole", x="450", y="550")
    add(qtbot, page, "cut_out", x="300", y="300", radius="10")
    add(qtbot, page, "notch", depth="15")
    panel = page.form.panel()
    assert [type(h.pattern).__name__ for h in panel.holes] == ["InCorners", "Row", "BoltCircle"]
    assert [slot.is_hand_hole for slot in panel.slots] == [False, True]
    assert panel.cut_outs[0].radius_mm == 10.0
    assert panel.notches[0].depth_mm == 15.0
    assert len(page.preview._looked.openings_mm) == 4 + 3 + 6 + 2 + 1
    assert page.use.isEnabled()


def test_every_kind_in_the_table_can_be_made(page):
    for kind in KINDS:
        assert isinstance(page.form.add(kind).feature(), Holes | Slot | CutOut | Notch)


def test_a_removed_feature_is_gone_and_the_focus_stays_in_the_form(qtbot, page):
    row = add(qtbot, page, "hole")
    remove = next(b for b in row.findChildren(QPushButton) if b.text() == "Remove")
    qtbot.mouseClick(remove, LEFT)
    looked(qtbot, page)
    assert page.form.panel().holes == ()
    assert QApplication.focusWidget() is page.form.add_buttons["hole"]


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("diameter", "3 rpm", "length"),
        ("x", "1,500", "1,500"),
        ("y", "4 apples", "apples"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field_and_nothing_is_used(
    qtbot, page, field, text, words
):
    row = add(qtbot, page, "hole")
    type_text(qtbot, row.fields[field], text, Qt.Key.Key_Tab)
    looked(qtbot, page)
    assert row.fields[field].property("bad")
    assert words in row.fault.said
    assert row.fault.isVisible()
    assert page.fault.text().startswith("Not yet: Hole 1: ")
    assert not page.use.isEnabled()


def test_a_count_must_be_whole(qtbot, page):
    row = add(qtbot, page, "row", count="2.5")
    assert "no count" in row.fault.said


def test_a_hole_outside_is_said_at_its_card_and_the_good_one_is_not(qtbot, page):
    good = add(qtbot, page, "hole")
    bad = add(qtbot, page, "hole", x="9000")
    assert good.fault.said == ""
    assert "Is not wholly inside the panel" in bad.fault.said
    assert not page.use.isEnabled()
    type_text(qtbot, bad.fields["x"], "300", Qt.Key.Key_Tab)
    looked(qtbot, page)
    assert bad.fault.said == ""
    assert page.use.isEnabled()


def test_corners_that_do_not_fit_are_said_at_the_corners(qtbot, page):
    size(qtbot, page, "100", "50")
    type_text(qtbot, page.form.corners.every, "40", Qt.Key.Key_Tab)
    looked(qtbot, page)
    assert "do not fit" in page.form.corners.fault.said


def test_the_feature_that_has_the_focus_stands_out_in_the_picture(qtbot, page):
    row = add(qtbot, page, "corners")
    row.fields["diameter"].setFocus()
    assert page.preview._lit is not None
    page.use.setFocus()
    assert page.preview._lit is None


def test_notes_tell_of_growth_and_of_openings_in_a_guard(qtbot, page):
    size(qtbot, page, "900", "600")
    add(qtbot, page, "corners")
    assert "Fixing holes lie up to" in page.notes.text()
    assert "If this panel is to guard a machine:" in page.notes.text()
    assert "Ask a qualified person" in page.notes.text()
    assert "complies" not in page.notes.text()


def test_units_switch_at_once_and_the_panel_stays(qtbot, page, empty_window):
    before = page.form.panel()
    press(qtbot, empty_window, "units")
    assert empty_window.desk.units is UnitSystem.INCH
    assert page.form.width_mm.text() == "23.622 in"
    assert page.form.panel() == before


def test_it_is_made_and_used_with_the_keyboard_alone(qtbot, page, empty_window):
    for text in ("300", "200", "5"):
        qtbot.keyClicks(QApplication.focusWidget(), text)
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    while QApplication.focusWidget() is not page.form.add_buttons["corners"]:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Space)
    qtbot.keyClicks(QApplication.focusWidget(), "6")
    looked(qtbot, page)
    field = QApplication.focusWidget()
    qtbot.keyClick(field, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    settled(qtbot, empty_window)
    job = empty_window.desk.document.job
    assert job.quantity == 5
    contours = find_contours(read_drawing(job.drawings[0]), job.drawings[0])
    assert contours.size_mm == pytest.approx((300.0, 200.0))
    assert contours.hole_count == 4
    assert page.form.panel().holes[0] == Holes(6.0, InCorners((20.0, 20.0)), "Corner holes 1")


def test_a_panel_with_a_fault_is_not_used_by_the_keyboard_either(qtbot, page, empty_window):
    row = add(qtbot, page, "hole", x="9000")
    control = Qt.KeyboardModifier.ControlModifier
    qtbot.keyClick(row.fields["x"], Qt.Key.Key_Return, control)
    assert empty_window.desk.document.is_empty
    assert "is not wholly inside" in page.fault.text()


def test_using_it_is_one_undo_step_that_brings_the_old_drawing_back(qtbot, window):
    before = window.desk.document.job
    page = open_page(qtbot, window)
    type_text(qtbot, page.form.name, "dough guard", None)
    looked(qtbot, page)
    qtbot.mouseClick(page.use, LEFT)
    settled(qtbot, window)
    assert window.pages.currentWidget() is window.bench
    after = window.desk.document.job
    assert after.drawings[0].name == "dough guard.dxf"
    assert (after.name, after.material) == (before.name, before.material)
    assert window.actions_by_name["undo"].text() == "Undo panel by numbers: dough guard"
    press(qtbot, window, "undo")
    settled(qtbot, window)
    assert window.desk.document.job == before


def test_a_job_without_a_name_takes_the_panels(qtbot, page, empty_window):
    qtbot.mouseClick(page.use, LEFT)
    settled(qtbot, empty_window)
    assert empty_window.desk.document.job.name == "panel"
    assert empty_window.isWindowModified()


def test_saved_as_dxf_it_is_read_as_the_same_panel(
    qtbot, page, empty_window, tmp_path, monkeypatch
):
    size(qtbot, page, "250", "150")
    add(qtbot, page, "corners")
    path = tmp_path / "plate"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(path), ""))
    qtbot.mouseClick(page.save, LEFT)
    file = open_drawing_file(path.with_suffix(".dxf"))
    contours = find_contours(read_drawing(file), file)
    assert contours.size_mm == pytest.approx((250.0, 150.0))
    assert contours.hole_count == 4
    assert empty_window.status.message.text() == "plate.dxf \u00b7 saved"


def test_a_place_that_cannot_be_written_is_said(qtbot, page, tmp_path, monkeypatch):
    path = tmp_path / "missing" / "plate.dxf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(path), ""))
    qtbot.mouseClick(page.save, LEFT)
    assert "missing" in page.fault.text()


def test_what_is_typed_stays_while_another_page_is_shown(qtbot, page, empty_window):
    size(qtbot, page, "333", "222")
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    press(qtbot, empty_window, "panel")
    assert page.form.width_mm.text() == "333 mm"


def test_opening_a_job_leaves_the_page(qtbot, page, empty_window, job_file):
    empty_window.files.open(job_file)
    settled(qtbot, empty_window)
    assert empty_window.pages.currentWidget() is empty_window.bench
    assert empty_window.desk.document.job == job_by_hand()


def test_everything_that_takes_the_focus_has_a_name(page):
    for kind in KINDS:
        page.form.add(kind)
    nameless = [
        widget
        for kind in (QLineEdit, QComboBox, QPushButton)
        for widget in page.findChildren(kind)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not (widget.accessibleName() or (kind is QPushButton and widget.text()))
    ]
    assert nameless == []
