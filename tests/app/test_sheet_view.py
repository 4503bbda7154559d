"""The sheet: true scale, painted by a number, hover tells it, a click selects."""

import math
from dataclasses import replace

import numpy as np
import pytest
from by_hand import FINDINGS, HandPlanner, drain, job_by_hand, ring
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QMouseEvent
from PySide6.QtWidgets import QApplication

from app.selection import Looked
from app.views.camera import Camera
from app.views.reach import arc_pieces
from app.views.scales import Paint, Scale, ramp
from app.views.sheet_overlay import tip_lines
from app.views.sheet_scene import nice_step
from app.views.strokes import BINS, UNKNOWN, Strokes
from core.report.traces import Traces

places = st.floats(-1e4, 1e4)


@given(
    x=places,
    y=places,
    scale=st.floats(1e-2, 1e2),
    at=st.tuples(st.floats(0, 1e3), st.floats(0, 1e3)),
)
def test_a_pixel_and_its_place_belong_together(x, y, scale, at):
    camera = Camera(QRectF(40, 0, 800, 600), scale, QPointF(x, y))
    back = camera.transform().map(camera.to_sheet(QPointF(*at)))
    assert math.hypot(back.x() - at[0], back.y() - at[1]) < 1e-6 * (1 + abs(x) * scale)


def test_the_scale_is_the_same_along_both_axes_and_y_points_up():
    camera = Camera(QRectF(0, 0, 800, 600))
    camera.show(QRectF(0, 0, 2000, 1000))
    matrix = camera.transform()
    assert matrix.m11() == -matrix.m22() > 0
    assert matrix.m12() == matrix.m21() == 0


def test_zooming_keeps_the_place_under_the_pointer():
    camera = Camera(QRectF(0, 0, 800, 600), 2.0, QPointF(10, 20))
    about = QPointF(200, 100)
    before = camera.to_sheet(about)
    camera.zoom(1.5, about)
    after = camera.to_sheet(about)
    assert (after.x(), after.y()) == pytest.approx((before.x(), before.y()))


@pytest.mark.parametrize(("span", "count", "step"), [(900, 8, 100), (33, 7, 5), (0.9, 4, 0.2)])
def test_marks_of_a_ruler_stand_at_round_numbers(span, count, step):
    assert nice_step(span, count) == pytest.approx(step)


def strokes_of(*rings, curvature=None):
    """Return the strokes of passes along rings of points."""
    xy = np.concatenate(rings)
    count, values = len(rings), np.full(len(xy), 0.2)
    planned = np.full(count, 0.2)
    first = np.concatenate([[0], np.cumsum([len(points) for points in rings])])
    bend = np.zeros(len(xy)) if curvature is None else curvature
    places = tuple((0, index) for index in range(count))
    state = np.zeros(count, dtype=np.int8)
    none = (None,) * count
    return Strokes(
        Traces(places, first, xy, bend, values, values, planned, planned, planned, state, none)
    )


def test_strokes_of_two_passes_are_not_joined():
    strokes = strokes_of(ring(0, 0, 10, 10, 5), ring(50, 0, 10, 10, 5))
    assert strokes.owner.tolist() == [0] * 4 + [1] * 4
    assert strokes.sample.tolist() == [0, 1, 2, 3, 5, 6, 7, 8]


def test_the_nearest_stroke_is_found_and_none_beyond_the_reach():
    strokes = strokes_of(ring(0, 0, 10, 10), ring(50, 0, 10, 10))
    index, sample = strokes.nearest(55.0, 0.4, 1.0)
    assert index == 1
    place = strokes.traces.xy_mm[strokes.traces.first[index] + sample]
    assert np.hypot(*(place - [55.0, 0.0])) < 0.5
    assert strokes.nearest(30.0, 5.0, 5.0) is None


def test_joined_strokes_keep_the_worst_colour_and_the_ends():
    line = np.column_stack([np.linspace(0, 1, 101), np.zeros(101)])
    strokes = strokes_of(line)
    goodness = np.ones(101)
    goodness[50] = 0.0
    strokes.set_goodness(goodness)
    lines, counts = strokes._arranged(0)
    assert counts[UNKNOWN] == 1, "the worst one is painted last"
    assert sum(counts) == len(lines) <= 2
    assert lines[:, [0, 2]].min() == 0.0
    assert lines[:, [0, 2]].max() == 1.0


def test_a_long_stroke_keeps_its_colour_beside_a_bad_one_shorter_than_a_pixel():
    # a stop at both ends of a straight: two short slow strokes, a long fast one between them
    line = np.array([[0.0, 0.0], [0.4, 0.0], [99.6, 0.0], [100.0, 0.0]])
    strokes = strokes_of(line)
    strokes.set_goodness(np.array([0.0, 1.0, 1.0, 0.0]))
    lines, counts = strokes._arranged(0)
    lengths = np.hypot(lines[:, 2] - lines[:, 0], lines[:, 3] - lines[:, 1])
    assert counts[UNKNOWN] == 2
    assert lengths[: -counts[UNKNOWN]].sum() == pytest.approx(99.2)


def test_what_is_not_modelled_has_a_colour_of_its_own():
    strokes = strokes_of(ring(0, 0, 10, 10))
    strokes.set_goodness(np.full(120, np.nan))
    assert set(strokes.bins.tolist()) == {UNKNOWN}


@given(
    radius=st.floats(0.5, 500.0),
    turn=st.floats(0.05, 1.5),
    left=st.sampled_from([1.0, -1.0]),
    tolerance=st.floats(0.01, 1.0),
)
def test_pieces_of_an_arc_stay_on_the_arc(radius, turn, left, tolerance):
    angles = np.array([0.3, 0.3 + left * turn])
    xy = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    strokes = strokes_of(xy, curvature=np.full(2, left / radius))
    lines, of = arc_pieces(strokes.traces, strokes.sample, tolerance)
    ends = np.concatenate([lines[:, :2], lines[:, 2:]])
    assert np.hypot(*ends.T) == pytest.approx(radius, rel=1e-9)
    middles = (lines[:, :2] + lines[:, 2:]) / 2.0
    assert np.all(radius - np.hypot(*middles.T) <= tolerance * 1.001)
    assert lines[1:, :2] == pytest.approx(lines[:-1, 2:], abs=1e-9 * radius)
    assert of.tolist() == [0] * len(lines)


@given(st.lists(st.floats(0, 1), min_size=2, max_size=20))
def test_a_better_number_never_gets_a_worse_colour(values):
    scale = Scale(Paint.CHIP, "", "mm", 0.0, 1.0, 0.4)
    goodness = scale.goodness(np.sort(values))
    assert np.all(np.diff(goodness) >= 0)
    assert np.all((goodness >= 0) & (goodness <= 1))


def test_the_limit_is_the_step_between_warm_and_cold_colours(window):
    colours = window.theme.palette
    scale = Scale(Paint.CHIP, "", "mm", 0.0, 0.25, 0.15)
    just_below, just_above = scale.goodness(np.array([0.149, 0.151])) * BINS
    steps = ramp(colours, is_state=False)
    warm, cold = QColor(steps[int(just_below)]), QColor(steps[int(just_above)])
    assert warm.red() > warm.blue()
    assert cold.blue() > cold.red()


def test_hot_is_the_bad_end_of_temperature(window):
    scale = window.bench.sheet.view.scene.scale(Paint.TEMPERATURE)
    cold, hot = scale.goodness(np.array([20.0, 145.0]))
    assert hot < cold
    assert scale.limit < 145.0, "tight begins below the softening temperature"


def pixel_of(view, x_mm, y_mm):
    """Return the pixel of a place in drawing coordinates; the copy lies at (20, 20)."""
    at = view.transform().map(QPointF(x_mm + 20.0, y_mm + 20.0))
    return QPoint(round(at.x()), round(at.y()))


@pytest.fixture
def view(window):
    view = window.bench.sheet.view
    drain()
    return view


def test_hovering_tells_the_numbers_at_the_place(qtbot, view):
    qtbot.mouseMove(view, pixel_of(view, 150.0, 0.0))
    assert view.hovered.contour.id == 1
    lines = tip_lines(view, view.hovered)
    sample = view.hovered.sample
    reached = view.hovered.contour.passes[view.hovered.step].trace.feed_per_tooth_mm[sample]
    assert f"{reached:.3f}".rstrip("0") in lines[1]
    assert "wall" in lines[-1]


def test_a_click_selects_the_contour_pass_and_place(qtbot, window, view):
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=pixel_of(view, 200.0, 80.0))
    now = window.desk.selection.now
    assert now.contour == (0, 3)
    assert now.step is not None
    assert now.place_mm == pytest.approx((200.0, 80.0), abs=3.0)


def test_a_click_beside_everything_keeps_the_selection(qtbot, window, view):
    before = window.desk.selection.now
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=pixel_of(view, 40.0, 160.0))
    assert window.desk.selection.now == before


def test_a_click_on_a_mark_goes_to_its_warning(qtbot, window, view):
    qtbot.mouseClick(view, Qt.MouseButton.LeftButton, pos=pixel_of(view, *FINDINGS[1].at_mm))
    assert window.desk.selection.now.contour == (0, 2)
    assert window.desk.selection.now.place_mm == FINDINGS[1].at_mm


def drag_to(view, at):
    """Move the mouse with the left button down, which QTest's own move does not say."""
    left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    place = QPointF(at)
    event = QMouseEvent(QEvent.Type.MouseMove, place, view.mapToGlobal(place), left, left, none)
    QApplication.sendEvent(view, event)


def test_a_drag_pans_and_selects_nothing(qtbot, window, view):
    before, looked = view.camera.centre, window.desk.selection.now
    start = pixel_of(view, 200.0, 80.0)
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    for step in (QPoint(30, 10), QPoint(60, 20)):
        drag_to(view, start + step)
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + QPoint(60, 20))
    assert view.camera.centre.x() < before.x()
    assert window.desk.selection.now == looked


def test_plus_minus_nought_and_f_zoom(qtbot, window, view):
    view.setFocus()
    first = view.camera.scale
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    assert view.camera.scale > first
    window.desk.selection.set(Looked((0, 3), 0))
    qtbot.keyClick(view, Qt.Key.Key_F)
    assert view.camera.scale > 3 * first
    qtbot.keyClick(view, Qt.Key.Key_0)
    drain()
    everything = view.transform().mapRect(view.scene.bounds())
    assert QRectF(view.rect()).contains(everything)


def test_a_lever_paints_anew_over_the_same_ground(view, window):
    view.set_paint(Paint.TEMPERATURE)
    before, ground = view.grab().toImage(), view._ground[0]
    document = window.desk.document
    document.edit("speed", lambda job: replace(job, spindle_speed_rpm=24000.0), key="speed")
    document.worker._pool.waitForDone()
    drain()
    assert view.grab().toImage() != before
    assert view._ground[0] is ground, "sheet and outlines are painted once"


def test_the_path_is_painted_in_the_colours_of_its_bins(view, window):
    view.set_paint(Paint.CHIP)
    window.desk.selection.clear()
    image = view.grab().toImage()
    steps = {QColor(colour).rgb() for colour in ramp(window.theme.palette, is_state=False)}
    at = view.transform().map(QPointF(20.0, 120.0))
    near = {
        image.pixel(round(at.x() * image.devicePixelRatio()) + dx, round(at.y()))
        for dx in range(-3, 4)
    }
    assert near & steps


def test_panning_moves_the_picture_and_paints_anew_when_it_settles(qtbot, view):
    view.grab()
    still = view._still[0]
    view.pan(15.0, 0.0)
    view.grab()
    assert view._still[0] is still, "while it moves the old picture is moved"
    qtbot.waitUntil(lambda: not view._moving)
    view.grab()
    assert view._still[0] is not still


def test_copies_lie_where_the_layout_put_them(view):
    bounds = view.scene.parts_bounds()
    assert (bounds.left(), bounds.top()) == (20.0, 20.0)
    assert view.scene.sheet_rect() == QRectF(0, 0, 400, 300)


def test_a_report_without_contours_is_painted(qtbot, made, job_file):
    window = made(planner=HandPlanner([]))
    window.show()
    window.desk.document.replace(job_by_hand(), None, HandPlanner([]).results(job_by_hand()))
    drain()
    assert not window.bench.sheet.view.grab().isNull()
    window.close()
