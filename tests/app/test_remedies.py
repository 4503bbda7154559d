"""Remedies on the warning cards: computed, one undo step each, accepted with a note."""

from dataclasses import replace

import pytest
from by_hand import press, settled, type_text
from PySide6.QtCore import Qt
from real_plans import advised, real_window

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def window(qtbot, tmp_path):
    """The sign, whose holes are too small for its cutter's feed, at its worst limit."""
    window = real_window(qtbot, tmp_path, "shop_sign")
    press(qtbot, window, "worst")
    advised(qtbot, window)
    return window


def open_card(window):
    card = window.bench.cleanly.remedies.open_card
    assert card is not None
    return card


def test_the_worst_limit_has_up_to_three_remedies_that_name_change_and_cost(window):
    card = open_card(window)
    assert card.shown.limit == window.desk.limit()
    assert 1 <= len(card.remedies) <= 3
    for button in card.remedies:
        assert button.accessibleName()
        assert "→" in button.result.text() or "of margin" in button.result.text()
        assert "longer" in button.result.text() or "costs nothing" in button.result.text()


def test_one_click_is_one_undo_step_that_clears_the_limit_as_it_said(qtbot, window):
    document, card = window.desk.document, open_card(window)
    start, before_s = document.job, document.report.totals.cycle_time_s
    promised = window.bench.advisor.advice.remedies[0]
    qtbot.mouseClick(card.remedies[0], LEFT)
    settled(qtbot, window)
    assert document.undo_stack.count() == 1
    assert promised.clears
    assert window.desk.limit().state.value == "good"
    longer_s = document.report.totals.cycle_time_s - before_s
    assert longer_s == pytest.approx(promised.cost.time_s, abs=1e-6)
    done = window.bench.cleanly.remedies.done
    assert done.isVisible()
    assert promised.edit.name.split()[0] in done.text.text()
    qtbot.mouseClick(done.undo, LEFT)
    settled(qtbot, window)
    assert document.job == start
    assert not done.isVisible()


def test_control_full_stop_applies_the_first_remedy(qtbot, window):
    name = open_card(window).first.name
    press(qtbot, window, "apply_remedy")
    settled(qtbot, window)
    stack = window.desk.document.undo_stack
    assert stack.count() == 1
    assert stack.undoText().casefold() == name.casefold()


def test_control_full_stop_says_so_where_nothing_needs_a_remedy(qtbot, window):
    remedies = window.bench.cleanly.remedies
    while (card := remedies.open_card) is not None and card.first is not None:
        press(qtbot, window, "apply_remedy")
        advised(qtbot, window)
        assert window.desk.document.undo_stack.count() < 10
    count = window.desk.document.undo_stack.count()
    press(qtbot, window, "apply_remedy")
    settled(qtbot, window)
    assert "no remedy" in window.status.message.text()
    assert window.desk.document.undo_stack.count() == count


def test_another_limit_opens_its_card_and_its_own_remedies(qtbot, window):
    cards = window.bench.cleanly.remedies.cards
    assert len(cards) > 1
    wanted = cards[1].shown
    cards[1].wanted.emit(wanted)
    advised(qtbot, window)
    card = open_card(window)
    assert (card.shown.step, card.shown.limit.name) == (wanted.step, wanted.limit.name)
    assert window.desk.limit().name == wanted.limit.name
    assert window.bench.advisor.advice.limit == wanted.limit.name


def test_a_limit_is_accepted_with_a_reason_typed_in_place_and_taken_back(qtbot, window):
    document, card = window.desk.document, open_card(window)
    start, tight = document.job, document.report.answer.tight
    qtbot.mouseClick(card.accept, LEFT)
    assert card.reason.hasFocus()
    type_text(qtbot, card.reason, "holes get a plug")
    settled(qtbot, window)
    assert [one.reason for one in document.job.accepted] == ["holes get a plug"]
    assert document.report.answer.tight < tight
    cards = window.bench.cleanly.remedies.cards
    accepted = next(one for one in cards if one.shown.limit.accepted)
    accepted.taken_back.emit(accepted.shown)
    settled(qtbot, window)
    assert document.job == start
    assert document.undo_stack.count() == 2


def test_escape_leaves_the_reason_and_an_empty_one_accepts_nothing(qtbot, window):
    card = open_card(window)
    qtbot.mouseClick(card.accept, LEFT)
    qtbot.keyClick(card.reason, Qt.Key.Key_Return)
    assert window.desk.document.job.accepted == ()
    qtbot.keyClick(card.reason, Qt.Key.Key_Escape)
    assert not card.reason.isVisible()
    assert card.accept.isVisible()


def test_a_new_plan_asks_anew_and_drops_the_old_answer(qtbot, window):
    old = window.bench.advisor.advice
    window.desk.document.edit("thinner", lambda job: _thinner(job))
    advised(qtbot, window)
    new = window.bench.advisor.advice
    assert new is not old
    assert window.bench.advisor.asked.results is window.desk.results


def _thinner(job):
    return replace(job, thickness_mm=4.0)


def test_nothing_is_computed_for_cards_that_nobody_sees(qtbot, window):
    press(qtbot, window, "question_2")
    tried = window.bench.advisor._bench.tried
    press(qtbot, window, "next_contour")
    advised(qtbot, window)
    assert window.bench.advisor._bench.tried == tried


def test_a_plan_with_four_limits_outside_is_brought_inside_by_keys_alone(qtbot, window):
    """The programmer's sitting: to the worst limit, its first remedy, and again."""
    document = window.desk.document
    document.edit("a bad day", _bad_day)
    advised(qtbot, window)
    start = document.job
    outside = {
        limit.name
        for contour in document.report.contours
        for one in contour.passes
        for limit in one.limits
        if limit.state.value == "outside"
    }
    assert len(outside) >= 4
    rounds = 0
    while document.report.answer.outside:
        press(qtbot, window, "worst")
        advised(qtbot, window)
        press(qtbot, window, "apply_remedy")
        settled(qtbot, window)
        rounds += 1
        assert rounds <= len(outside)
    assert window.answers.cards[0].answer.text != "Not yet"
    for _ in range(rounds):
        press(qtbot, window, "undo")
    settled(qtbot, window)
    assert document.job == start


def _bad_day(job):
    return replace(job, floor_stock_mm=0.1, spindle_speed_rpm=30_000.0, feed_per_tooth_mm=0.9)
