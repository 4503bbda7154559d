"""The quantity field: typed as people write it, marked where it cannot be read."""

import pytest
from by_hand import type_text
from PySide6.QtCore import Qt

from app.widgets.quantity_field import QuantityField
from core.units import UnitSystem


@pytest.fixture
def field(qtbot):
    field = QuantityField("mm", 6.0, low=0.2, high=60.0, step=0.5)
    qtbot.addWidget(field)
    field.show()
    qtbot.waitExposed(field)
    return field


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("8", 8.0),
        ("8 mm", 8.0),
        ("0,33 mm", 0.33),
        ("1/4 in", 6.35),
        ('1 1/8"', 28.575),
        ("330 um", 0.33),
        ("0.013 in", 0.3302),
    ],
)
def test_a_length_is_read_as_people_write_it(qtbot, field, text, mm):
    with qtbot.waitSignal(field.committed):
        type_text(qtbot, field, text)
    assert field.value == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize("text", ["", "abc", "3 rpm", "1,500", "9**9**9", "0 mm", "1 m", "nan"])
def test_bad_input_is_marked_and_the_last_good_value_kept(qtbot, field, text):
    heard = []
    field.committed.connect(heard.append)
    field.setFocus()
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Delete)
    type_text(qtbot, field, text)
    assert field.property("bad") is True
    assert field.accessibleDescription() == field.fault != ""
    assert field.value == 6.0
    assert heard == []


def test_escape_brings_the_last_good_text_back(qtbot, field):
    type_text(qtbot, field, "3 rpm")
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert field.text() == "6 mm"
    assert field.property("bad") is False


def test_a_good_text_after_a_bad_one_takes_the_mark_away(qtbot, field):
    type_text(qtbot, field, "abc")
    type_text(qtbot, field, "7")
    assert field.property("bad") is False
    assert field.value == 7.0


def test_up_and_down_step_and_shift_steps_by_ten(qtbot, field):
    qtbot.keyClick(field, Qt.Key.Key_Up)
    assert field.value == 6.5
    qtbot.keyClick(field, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert field.value == 1.5


def test_steps_stop_at_the_bounds(qtbot, field):
    for _ in range(3):
        qtbot.keyClick(field, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert field.value == 0.2


def test_a_switch_of_units_shows_the_value_in_inches_and_reads_bare_numbers_so(qtbot, field):
    field.set_system(UnitSystem.INCH)
    assert field.text() == "0.2362 in"
    type_text(qtbot, field, "0.25")
    assert field.value == pytest.approx(6.35)


def test_a_switch_of_units_keeps_a_text_that_is_being_typed(qtbot, field):
    type_text(qtbot, field, "5.5 m", key=None)
    field.set_system(UnitSystem.INCH)
    assert field.text() == "5.5 m"


def test_a_new_value_from_outside_keeps_a_text_that_is_being_typed(qtbot, field):
    type_text(qtbot, field, "5.5", key=None)
    field.set_value(9.0)
    assert field.text() == "5.5"
