"""A straight slot without a drawing: explored in the window, held against the core's own map."""

import numpy as np
import pytest
from by_hand import press, type_text
from PySide6.QtCore import Qt

from app.views.map_slot import Slot, slot_map
from core.advice.map import settings_map
from core.job.job import Job
from core.library.shelf import Shelf


@pytest.fixture
def page(empty_window):
    empty_window.actions_by_name["slot"].trigger()
    return empty_window.overlays.slot_page


def test_the_page_opens_without_a_job_and_begins_at_the_house_rule(page, empty_window):
    assert page.isVisible()
    assert page.map.hasFocus()
    assert page.fields["rpm"].value == page.found.house_rpm
    assert page.fields["load_mm"].value == page.found.house_load_mm
    assert empty_window.desk.document.is_empty


def test_a_thin_chip_at_full_speed_is_outside_by_heat_and_says_why(qtbot, page):
    type_text(qtbot, page.fields["rpm"], "24 krpm")
    type_text(qtbot, page.fields["load_mm"], "0.03 mm")
    assert page.found.at(24_000.0, 0.03)[0].name == "heat"
    assert "<b>heat" in page.limits.text()
    assert "thicker chips carry more heat" in page.told.text()
    assert "\u2212" in page.words.text()


def test_the_slope_of_heat_says_that_a_thicker_chip_helps(page):
    heat = next(one for one in page.found.at(24_000.0, 0.03) if one.name == "heat")
    assert heat.per_load > 0.0
    assert heat.per_speed < 0.0


def test_the_margins_at_a_setting_are_those_of_the_map_around_it():
    found = slot_map(Slot(Job(), 6.0), Shelf())
    rpm, load = found.settings.spindle_speed_rpm[90], found.settings.feed_per_tooth_mm[70]
    worst = found.at(float(rpm), float(load))[0]
    assert worst.margin == pytest.approx(found.settings.worst_ratio[90, 70], abs=0.01)


def test_a_slope_is_the_change_that_the_model_itself_makes():
    found = slot_map(Slot(Job(), 6.0), Shelf())
    rpm, load = 12_000.0, 0.15
    loads = np.array([load, 1.01 * load])
    made = settings_map(found.cut, np.array([rpm, 1.01 * rpm]), loads)
    packing = next(m for m in made.margins if m.name == "chip_packing").margin_ratio
    told = next(one for one in found.at(rpm, load) if one.name == "chip_packing")
    assert told.per_load == pytest.approx(float(packing[0, 1] - packing[0, 0]))
    assert told.per_speed == 0.0


def test_another_material_and_a_deeper_cut_make_another_map(qtbot, page):
    first = page.found.settings
    page.choices["material"].setFocus()
    qtbot.keyClick(page.choices["material"], Qt.Key.Key_Down)
    second = page.found.settings
    assert second is not first
    assert page.slot.job.material != Job().material
    type_text(qtbot, page.fields["depth_mm"], "2 mm")
    assert page.found.settings is not second
    assert page.found.cut.bands[0].axial_depth_mm == pytest.approx(2.0)


def test_a_cut_deeper_than_the_sheet_is_the_sheet_and_its_field_says_so(qtbot, page):
    type_text(qtbot, page.fields["depth_mm"], "20 mm")
    assert page.slot.depth_mm == page.slot.job.thickness_mm
    assert page.fields["depth_mm"].value == page.slot.job.thickness_mm


def test_arrows_move_the_cross_and_escape_goes_back(qtbot, page, empty_window):
    rpm = page.fields["rpm"].value
    qtbot.keyClick(page.map, Qt.Key.Key_Left)
    assert page.fields["rpm"].value == rpm - 100.0
    qtbot.keyClick(page.map, Qt.Key.Key_Escape)
    assert not page.isVisible()
    assert empty_window.pages.currentWidget() is empty_window.empty_page


def test_inches_are_shown_in_every_field(qtbot, page, empty_window):
    press(qtbot, empty_window, "units")
    assert page.fields["load_mm"].text().endswith("in")
    assert " in:" in page.words.text() or "in," in page.words.text()
