"""The table of actions: every key once, every row with its handler and its icon."""

from collections import Counter

import pytest
from by_hand import press, type_text
from PySide6.QtCore import Qt

from app import wiring
from app.actions import ACTIONS, sequences
from app.icons import icon_names
from app.views.reader import keys_page


def test_no_two_actions_share_a_key_sequence():
    keys = Counter(key.toString() for spec in ACTIONS for key in sequences(spec))
    assert [key for key, count in keys.items() if count > 1] == []


def test_no_two_actions_share_a_name_or_their_words():
    assert len({spec.name for spec in ACTIONS}) == len(ACTIONS)
    assert len({(spec.menu, spec.text) for spec in ACTIONS}) == len(ACTIONS)


def test_every_action_has_a_handler_and_no_handler_is_left_over(empty_window):
    assert set(wiring.handlers(empty_window)) == {spec.name for spec in ACTIONS}


def test_every_icon_is_shipped_and_every_shipped_icon_is_used():
    used = {spec.icon for spec in ACTIONS if spec.icon} | {"program"}
    assert used == set(icon_names())


def test_every_action_stands_in_a_menu(empty_window):
    shown = set()
    for top in empty_window.menuBar().actions():
        shown |= {action.objectName() for action in top.menu().actions()}
    assert {spec.name for spec in ACTIONS} <= shown


def test_actions_of_a_plan_are_off_while_there_is_none(empty_window, window):
    assert window.actions_by_name["copy"].isEnabled()
    window.files.close_job()
    assert not window.actions_by_name["copy"].isEnabled()
    assert window.actions_by_name["open"].isEnabled()


def test_the_list_by_name_finds_and_does_an_action(qtbot, window):
    press(qtbot, window, "palette")
    assert window.overlays.action_list.isVisible()
    type_text(qtbot, window.overlays.action_list.field, "how long")
    assert not window.overlays.action_list.isVisible()
    assert window.bench.question == 2


def test_escape_closes_the_list_by_name_and_does_nothing(qtbot, window):
    press(qtbot, window, "palette")
    qtbot.keyClick(window.overlays.action_list.field, Qt.Key.Key_Escape)
    assert not window.overlays.action_list.isVisible()
    assert window.bench.question == 1


def test_the_keyboard_page_names_every_key_of_the_table():
    page = keys_page()
    for spec in ACTIONS:
        assert not spec.keys or spec.text in page


@pytest.mark.parametrize(
    ("name", "words"), [("keys", "Ctrl+K"), ("news", "0.1"), ("about", "eye protection")]
)
def test_the_pages_of_text_open_over_the_window_and_escape_closes_them(qtbot, window, name, words):
    window.actions_by_name[name].trigger()
    assert words in window.overlays.reader.text.toPlainText()
    qtbot.keyClick(window.overlays.reader.text, Qt.Key.Key_Escape)
    assert not window.overlays.reader.isVisible()
