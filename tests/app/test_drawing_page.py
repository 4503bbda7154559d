"""The drawing page in the window, on the real reader: unit, layers, repairs, places, F8."""

import pytest
from by_hand import press, settled
from drawn import codes, messy_job, show_job
from PySide6.QtCore import QPointF, QRect, Qt

from app.views.drawing_marks import looked_at
from app.views.drawing_noticed import RepairButton
from core.job.job import ContourChoice, Job
from core.pipeline import Pipeline
from core.units import UnitSystem

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
def page(qtbot, real):
    press(qtbot, real, "drawing")
    return real.bench.drawing


def undo_text(window):
    return window.desk.document.undo_stack.undoText()


def rows(tree):
    return [tree.topLevelItem(row).text(0) for row in range(tree.topLevelItemCount())]


def repair_button(page, words):
    return next(b for b in page.noticed.findChildren(RepairButton) if words in b.text())


def test_the_button_above_the_reasons_tells_the_size_and_leads_there_and_back(qtbot, real):
    link = real.bench.link
    assert "120 \u00d7 80 mm" in link.text()
    assert "repaired" in link.text()
    qtbot.mouseClick(link, LEFT)
    assert real.bench.is_on_drawing
    qtbot.mouseClick(link, LEFT)
    assert not real.bench.is_on_drawing
    assert real.bench.question == 1


def test_size_unit_reason_and_counts_are_said(page):
    head = page.head
    assert head.overall.text() == "120 \u00d7 80 mm"
    assert head.overall.font().pointSizeF() >= 18.0
    assert "states no unit" in head.unit.text()
    assert head.button("mm").isChecked()
    assert head.counts.text().startswith("1 outline, 5 holes, 1 open line")


def test_another_unit_is_one_click_and_one_undo_step(qtbot, real, page):
    qtbot.mouseClick(page.head.button("inch"), LEFT)
    settled(qtbot, real)
    assert real.desk.document.job.drawings[0].mm_per_unit == 25.4
    assert page.head.overall.text() == "3\u202f048 \u00d7 2\u202f032 mm"
    assert undo_text(real) == "unit of the drawing: inch"
    qtbot.mouseClick(page.head.as_drawn, LEFT)
    settled(qtbot, real)
    assert real.desk.document.job.drawings[0].mm_per_unit is None
    assert real.desk.document.undo_stack.count() == 2


def test_lengths_follow_the_users_units_the_drawing_stays(qtbot, real, page):
    press(qtbot, real, "units")
    assert real.desk.units is UnitSystem.INCH
    assert page.head.overall.text() == "4.7244 \u00d7 3.1496 in"
    assert real.desk.document.undo_stack.count() == 0


def layer_item(page, name):
    tree = page.layers.list
    return next(
        tree.topLevelItem(row)
        for row in range(tree.topLevelItemCount())
        if tree.topLevelItem(row).text(0) == name
    )


def test_every_layer_says_its_count_and_what_becomes_of_it(page):
    words = {
        name: (layer_item(page, name).text(1), layer_item(page, name).text(2))
        for name in rows(page.layers.list)
    }
    assert words == {
        "cut": ("9", "as its shapes say"),
        "window": ("1", "as its shapes say"),
        "guides": ("1", "not cut by the layer rules"),
        "defpoints": ("1", "left out by the layer rules"),
        "old": ("1", "hidden in the drawing"),
    }


@pytest.mark.parametrize(
    ("layer", "then", "undo"),
    [
        ("window", "left out by you", "layer window: left out"),
        ("defpoints", "kept by you", "layer defpoints: read"),
    ],
)
def test_the_space_key_switches_a_layer_as_one_undo_step(qtbot, real, page, layer, then, undo):
    tree = page.layers.list
    tree.setCurrentItem(layer_item(page, layer))
    tree.setFocus()
    qtbot.keyClick(tree, Qt.Key.Key_Space)
    settled(qtbot, real)
    assert layer_item(page, layer).text(2) == then
    assert undo_text(real) == undo
    press(qtbot, real, "undo")
    settled(qtbot, real)
    assert real.desk.document.job == messy_job()


def test_a_layer_hidden_in_the_drawing_cannot_be_switched(qtbot, real, page):
    tree = page.layers.list
    tree.setCurrentItem(layer_item(page, "old"))
    qtbot.keyClick(tree, Qt.Key.Key_Space)
    assert real.desk.document.undo_stack.count() == 0


def test_what_is_asked_stands_before_what_was_repaired_each_with_its_word(page):
    listed = rows(page.noticed.list)
    assert listed[0].startswith("asked: ")
    assert "repaired: gaps \u00b7 2" in listed
    assert listed.index("asked: no unit stated") < listed.index("repaired: gaps \u00b7 2")
    assert page.noticed.title.text() == "Repaired 3, asked 2"


def test_a_repair_is_refused_and_wanted_again_with_one_click_each(qtbot, real, page):
    qtbot.mouseClick(repair_button(page, "Leave gaps open"), LEFT)
    settled(qtbot, real)
    assert undo_text(real) == "gaps left open"
    assert "gap-closed" not in codes(real.desk.report)
    assert "gaps left open" in rows(page.noticed.list)
    qtbot.mouseClick(repair_button(page, "Repair them"), LEFT)
    settled(qtbot, real)
    assert real.desk.document.job == messy_job()
    assert undo_text(real) == "gaps closed"


def test_f8_walks_what_the_page_lists_and_shows_each_on_the_sheet(qtbot, real, page):
    view, walked = real.bench.sheet.view, []
    for number in range(len(page.walk())):
        press(qtbot, real, "next_finding")
        assert real.status.message.text() == f"Noticed {number + 1} of {len(page.walk())}"
        finding = page.walk()[number]
        walked.append(finding.code)
        assert page.noticed.told.text() == finding.message
        if finding.at_mm is not None:
            assert looked_at(view).at_mm == finding.at_mm
            place = QPointF(*finding.at_mm) + QPointF(*view.scene.copies()[0].at_mm)
            assert QRect(view.rect()).contains(view.transform().map(place).toPoint())
    assert sorted(walked) == sorted(codes(real.desk.report))
    assert real.bench.is_on_drawing, "walking stays on the page"


def test_a_click_on_a_place_goes_there(qtbot, real, page):
    tree = page.noticed.list
    top = next(
        tree.topLevelItem(row)
        for row in range(tree.topLevelItemCount())
        if "gaps" in rows(tree)[row]
    )
    tree.setCurrentItem(top)
    qtbot.keyClick(tree, Qt.Key.Key_Right)
    child = top.child(1)
    qtbot.mouseClick(tree.viewport(), LEFT, pos=tree.visualItemRect(child).center())
    gaps = [f for f in page.walk() if f.code == "gap-closed"]
    assert real.desk.selection.now.place_mm == gaps[1].at_mm
    assert child.text(0).startswith("2  at ")


def test_a_click_on_a_mark_of_the_sheet_finds_it_in_the_list(qtbot, real, page):
    view = real.bench.sheet.view
    view.fit()
    gap = next(f for f in page.walk() if f.code == "open-contour")
    place = QPointF(*gap.at_mm) + QPointF(*view.scene.copies()[0].at_mm)
    at = view.transform().map(place).toPoint()
    qtbot.mouseClick(view, LEFT, pos=at)
    assert page.noticed.list.currentItem().text(0) == "asked: open outline"


def test_a_mark_tells_its_sentence_and_whether_it_was_repaired(real):
    view = real.bench.sheet.view
    view.fit()
    gap = next(f for f in view.scene.findings if f.code == "gap-closed")
    place = QPointF(*gap.at_mm) + QPointF(*view.scene.copies()[0].at_mm)
    words = real.bench.tips.words_at(view.transform().map(place))
    assert words == f"repaired: {gap.message}"


def test_a_job_of_two_drawings_has_a_choice_between_them(qtbot, real):
    first, second = messy_job().drawings[0], messy_job(mm_per_unit=2.0).drawings[0]
    show_job(qtbot, real, Job(drawings=(first, second)))
    press(qtbot, real, "drawing")
    page = real.bench.drawing
    assert page.which.count() == 2
    page.which.setFocus()
    qtbot.keyClick(page.which, Qt.Key.Key_Down)
    assert page.head.overall.text() == "240 \u00d7 160 mm"
    qtbot.mouseClick(page.head.button("mm"), LEFT)
    settled(qtbot, real)
    assert [d.mm_per_unit for d in real.desk.document.job.drawings] == [None, 1.0]


def test_choices_by_hand_survive_a_layer_switch_in_the_window(qtbot, real, page):
    show_job(qtbot, real, messy_job(contours=(ContourChoice(3, recipe="one_pass"),)))
    tree = page.layers.list
    tree.setCurrentItem(layer_item(page, "window"))
    qtbot.keyClick(tree, Qt.Key.Key_Space)
    settled(qtbot, real)
    assert len(real.desk.document.job.drawings[0].contours) == 1
