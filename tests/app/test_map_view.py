"""The map of settings in the window: marks and cross, trials side by side, ways to go faster."""

import numpy as np
import pytest
from by_hand import press, settled, type_text
from PySide6.QtCore import QPoint, QSize, Qt
from real_plans import advised, real_window

from app.theme import palette
from app.views.map_scene import STEPS, MapScene, greatest_square
from app.views.map_view import LOAD_STEP_MM, SPEED_STEP_RPM
from core.advice.map import settings_map
from core.advice.map_cut import cut_of_pass

LEFT = Qt.MouseButton.LeftButton
SHIFT = Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def window(qtbot, tmp_path):
    window = real_window(qtbot, tmp_path, "shop_sign")
    press(qtbot, window, "worst")
    press(qtbot, window, "question_3")
    return window


def card_of(window):
    return window.bench.trial_page.map_card


def test_the_map_is_that_of_the_selected_pass_with_the_plan_on_it(window):
    card, cut_pass = card_of(window), window.desk.cut_pass()
    assert (card.map.plan.rpm, card.map.plan.load_mm) == (
        cut_pass.spindle_speed_rpm,
        cut_pass.feed_per_tooth_mm,
    )
    results, contour = window.desk.results, window.desk.contour()
    index = contour.passes.indices[list(contour.passes).index(cut_pass)]
    made = settings_map(cut_of_pass(results, index))
    assert np.array_equal(card.map.settings.worst_ratio, made.worst_ratio)
    assert contour.name in card.title.text()


def test_the_words_name_the_margin_and_the_limit_that_binds(window):
    card = card_of(window)
    settings, cross = card.map.settings, card.map.cross
    label = settings.binding_label(*settings.cell(cross.rpm, cross.load_mm))
    assert label in card.words.text()
    assert label in card.map.accessibleDescription()


def test_arrows_move_the_cross_one_step_and_shift_ten(qtbot, window):
    view, none = card_of(window).map, Qt.KeyboardModifier.NoModifier
    for key, modifier, rpm, load in (
        (Qt.Key.Key_Right, none, 1, 0),
        (Qt.Key.Key_Left, SHIFT, -10, 0),
        (Qt.Key.Key_Up, none, 0, 1),
        (Qt.Key.Key_Down, SHIFT, 0, -10),
    ):
        before = view.cross
        qtbot.keyClick(view, key, modifier)
        settled(qtbot, window)
        assert view.cross.rpm - before.rpm == pytest.approx(rpm * SPEED_STEP_RPM)
        assert view.cross.load_mm - before.load_mm == pytest.approx(load * LOAD_STEP_MM, abs=1e-4)
    assert set(window.trial.changes) == {"spindle_speed_rpm", "feed_per_tooth_mm"}
    assert window.desk.document.undo_stack.count() == 0


def test_a_click_on_the_map_tries_that_setting_and_adopt_is_one_step(qtbot, window):
    view, start = card_of(window).map, window.desk.document.job
    at = view.pixel_of(12_000.0, 0.16)
    qtbot.mouseClick(view, LEFT, pos=QPoint(round(at.x()), round(at.y())))
    settled(qtbot, window)
    assert view.cross.rpm == pytest.approx(12_000.0, abs=150.0)
    assert window.desk.document.job == start
    press(qtbot, window, "trial_adopt")
    settled(qtbot, window)
    assert window.desk.document.undo_stack.count() == 1
    assert window.desk.cut_pass().spindle_speed_rpm == window.desk.document.job.spindle_speed_rpm
    press(qtbot, window, "undo")
    settled(qtbot, window)
    assert window.desk.document.job == start


def test_another_stock_on_the_wall_makes_another_map(qtbot, window):
    before = card_of(window).map.settings
    lever = window.bench.trial_page.levers["wall_stock_mm"]
    type_text(qtbot, lever.quantity, "1.5 mm")
    settled(qtbot, window)
    assert card_of(window).map.settings is not before


def test_two_trials_are_kept_side_by_side_and_one_is_taken_up_again(qtbot, window):
    page = window.bench.trial_page
    for rpm in ("12 krpm", "9 krpm"):
        type_text(qtbot, page.levers["spindle_speed_rpm"].quantity, rpm)
        settled(qtbot, window)
        qtbot.mouseClick(page.keep, LEFT)
    press(qtbot, window, "trial_drop")
    assert [kept.letter for kept in page.kept.all] == ["A", "B"]
    assert [mark.rpm for mark in page.map_card.map.kept] == [12_000.0, 9_000.0]
    shown = page.kept_card.table.text().replace("\u202f", "")
    assert "12000" in shown
    assert "9000" in shown
    qtbot.mouseClick(page.kept_card.buttons["A"][0], LEFT)
    settled(qtbot, window)
    assert window.trial.changes == {"spindle_speed_rpm": 12_000.0}
    qtbot.mouseClick(page.kept_card.buttons["B"][1], LEFT)
    assert [kept.letter for kept in page.kept.all] == ["A"]


def test_ways_to_go_faster_are_ranked_and_one_click_is_one_step(qtbot, window):
    advised(qtbot, window)
    page, document = window.bench.trial_page, window.desk.document
    found, before_s = window.bench.advisor.faster, document.report.totals.cycle_time_s
    offered = [way for way in found.ways if not way.edit.only_told]
    assert offered
    assert [b.accessibleName() for b in page.faster.buttons][: len(offered)] == [
        way.edit.name for way in offered
    ]
    gains = [way.gain_s for way in offered if not way.is_blocked]
    assert gains == sorted(gains, reverse=True)
    qtbot.mouseClick(page.faster.buttons[0], LEFT)
    settled(qtbot, window)
    assert document.undo_stack.count() == 1
    saved_s = before_s - document.report.totals.cycle_time_s
    assert saved_s == pytest.approx(offered[0].gain_s, abs=1e-6)
    assert page.faster.done.isVisible()


def test_the_picture_has_the_theme_s_colours_and_the_zero_line_where_the_margin_is_none(window):
    settings = card_of(window).map.settings
    scene = MapScene(settings, QSize(300, 240), palette("dark"))
    for row, column in ((20, 20), (150, 60)):
        at = scene.to_pixel(settings.spindle_speed_rpm[row], settings.feed_per_tooth_mm[column])
        shown = scene.image.pixelColor(at.toPoint()).name().upper()
        step = int(np.digitize(settings.worst_ratio[row, column], STEPS))
        assert shown in (palette("dark").map[step].upper(), palette("dark").border.upper())
    assert scene.zero_lines
    for line in scene.zero_lines:
        cell = settings.cell(*scene.to_setting(line[len(line) // 2]))
        assert settings.worst_ratio[cell] == pytest.approx(0.0, abs=0.06)


def test_the_greatest_square_is_found_and_none_in_an_empty_mask():
    mask = np.zeros((6, 8), bool)
    assert greatest_square(mask)[0] == 0
    mask[1:4, 2:7] = True
    assert greatest_square(mask) == (3, 1, 2)
