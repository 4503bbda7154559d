"""Along the cut: the time slider, the cutter on the sheet, the numbers and the chart are one."""

from dataclasses import replace

import numpy as np
import pytest
from by_hand import press, settled
from PySide6.QtCore import QPoint, Qt
from real_plans import SAMPLES, real_window

from app.views.along_timeline import Phase, Timeline
from core.job.file import read_job
from core.layout.order import placed
from core.pipeline import Pipeline

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(scope="module")
def timeline():
    return Timeline(Pipeline().results(read_job(SAMPLES / "guard_panel" / "guard_panel.pane")))


@pytest.fixture
def window(qtbot, tmp_path):
    return real_window(qtbot, tmp_path, "shop_sign", size=(1500, 1000))


def test_the_timeline_is_as_long_as_the_cycle_time(timeline):
    assert timeline.whole_s == pytest.approx(timeline.results.report.totals.cycle_time_s)


def test_every_line_is_entered_cut_and_left_in_this_order(timeline):
    for line in (0, 1, len(timeline.lines) // 2, len(timeline.lines) - 1):
        begin = timeline.cut_begins_s(line)
        middle = timeline.at(begin + 0.5 * float(timeline.cutting_s[line]))
        assert (middle.line, middle.phase) == (line, Phase.CUTTING)
        before = timeline.at(begin - 0.5 * float(timeline.entry_s[line]))
        assert (before.line, before.phase) == (line, Phase.ENTERING)
        after = timeline.at(float(timeline.end_s[line]) - 0.3 * float(timeline.exit_s[line]))
        assert (after.line, after.phase) == (line, Phase.LEAVING)


def test_an_instant_of_a_cut_is_a_sample_of_the_motion_on_the_copy_that_is_cut(timeline):
    line = len(timeline.lines) // 3
    along = timeline.results.motion.along
    index = timeline.lines[line].pass_index
    sample = int(along.first[index]) + 7
    instant = timeline.at(timeline.cut_begins_s(line) + float(along.time_s[sample]))
    assert instant.speed_mm_min == pytest.approx(60.0 * along.speed_mm_s[sample], rel=1e-6)
    on_sheet = placed(along.xy_mm[sample], timeline.copy(line))
    assert instant.at_mm == pytest.approx(tuple(on_sheet), abs=1e-6)


def test_the_cutter_never_jumps_while_it_cuts(timeline):
    """In a tenth of a second it goes no farther than the fastest feed allows, and a little."""
    begin = timeline.cut_begins_s(2)
    times = begin + np.linspace(0.0, float(timeline.cutting_s[2]), 40)
    at = np.array([timeline.at(float(t)).at_mm for t in times])
    fastest = max(one.feed_speed_mm_min for one in timeline.results.plan.passes) / 60.0
    steps = np.hypot(*np.diff(at, axis=0).T)
    assert steps.max() <= 1.01 * fastest * (times[1] - times[0])


def test_the_slider_moves_the_cutter_and_says_what_holds(qtbot, window):
    along, view = window.bench.sheet.along, window.bench.sheet.view
    assert view.cutter is None
    along.slider.setFocus()
    for _ in range(4):
        qtbot.keyClick(along.slider, Qt.Key.Key_PageUp)
    assert along.time_s == pytest.approx(20.0)
    assert view.cutter is not None
    line = along.timeline().line_at(20.0)
    contour, _ = along.timeline().places[along.timeline().lines[line].pass_index]
    assert window.desk.report.contours[contour].name in along.words.text()
    assert along.clock.text().startswith("0:20")


def test_the_numbers_at_an_instant_stand_in_words_and_chart_alike(window):
    along = window.bench.sheet.along
    timeline = along.timeline()
    along.go(timeline.cut_begins_s(0) + 0.4 * float(timeline.cutting_s[0]))
    speed, load, wall = along.chart.curves
    assert along.chart.value(speed) == pytest.approx(along.instant.speed_mm_min)
    assert along.chart.value(load) == pytest.approx(along.instant.feed_per_tooth_mm)
    assert along.chart.value(wall) == pytest.approx(along.instant.wall_c)
    assert "modelled" in along.words.text()
    assert "planned" in along.chart.accessibleDescription()


def test_a_click_in_the_chart_goes_to_that_time_of_the_pass(qtbot, window):
    along = window.bench.sheet.along
    along.go(along.timeline().cut_begins_s(0) + 0.1)
    assert along.chart.isVisible()
    box = along.chart._boxes()[1]
    at = QPoint(round(box.center().x()), round(box.center().y()))
    qtbot.mouseClick(along.chart, LEFT, pos=at)
    middle = 0.5 * float(along.timeline().cutting_s[0])
    assert along.instant.cut_s == pytest.approx(middle, rel=0.02)


def test_the_place_of_the_cutter_is_selected_when_asked_and_not_before(qtbot, window):
    along, selection = window.bench.sheet.along, window.desk.selection
    before = selection.now
    last = len(along.timeline().lines) - 1
    along.go(along.timeline().cut_begins_s(last) + 0.2)
    assert selection.now == before
    qtbot.mouseClick(along.select, LEFT)
    row, place = along.timeline().places[along.timeline().lines[last].pass_index]
    contour = window.desk.report.contours[row]
    assert selection.now.contour == (contour.drawing, contour.id)
    assert selection.now.step == place
    assert selection.now.place_mm == pytest.approx(along.instant.in_drawing_mm)


def test_selecting_another_pass_goes_to_where_it_begins(qtbot, window):
    along = window.bench.sheet.along
    along.go(along.timeline().cut_begins_s(0) + 0.1)
    for _ in range(2):
        press(qtbot, window, "next_contour")
    index = along.timeline().lines[along.instant.line].pass_index
    row, _ = along.timeline().places[index]
    assert window.desk.report.contours[row] is window.desk.contour()
    assert along.instant.cut_s == pytest.approx(0.0, abs=1e-3)


def test_play_runs_to_the_end_and_stops_there(qtbot, window):
    along = window.bench.sheet.along
    along.go(along.timeline().whole_s - 0.3)
    press(qtbot, window, "play")
    assert along.play.text() == "Stop"
    qtbot.waitUntil(lambda: along.play.text() == "Play", timeout=5000)
    assert along.slider.value() == along.slider.maximum()


def test_a_new_plan_takes_the_cutter_away_and_is_not_worked_through_until_it_is_looked_at(
    qtbot, window
):
    along = window.bench.sheet.along
    along.go(5.0)
    press(qtbot, window, "apply_remedy")
    window.desk.document.edit("slower", _slower)
    settled(qtbot, window)
    assert window.bench.sheet.view.cutter is None
    assert along._timeline is None
    whole = window.desk.report.totals.cycle_time_s
    assert along.slider.maximum() == pytest.approx(1000.0 * whole, abs=1.0)


def _slower(job):
    return replace(job, spindle_speed_rpm=12_000.0)


def test_a_low_window_leaves_the_chart_out_and_a_high_one_shows_it(qtbot, window):
    window.bench.sheet.along.go(5.0)
    window.resize(1180, 720)
    qtbot.waitUntil(lambda: not window.bench.sheet.along.chart.isVisible())
    window.resize(1500, 1000)
    qtbot.waitUntil(lambda: window.bench.sheet.along.chart.isVisible())
