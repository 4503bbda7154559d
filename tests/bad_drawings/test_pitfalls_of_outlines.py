"""One small drawing of ours for each pitfall of outlines: gaps, copies, nesting, ambiguity."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from core.contours.records import Kind, Shape
from core.errors import Severity
from core.job.job import ContourChoice, Task


def outline(space, corners, closed=True, **attributes):
    """Draw loose lines through corners."""
    for start, end in pairwise([*corners, *corners[: int(closed)]]):
        space.add_line(start, end, dxfattribs=attributes)


def box(x, y, width, height):
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


# 2: gaps and overshoots


@pytest.mark.parametrize("gap", [0.02, 0.2, 0.35])
def test_a_small_gap_is_closed_and_told_at_its_place(drawn, gap):
    def artist(doc):
        outline(doc.modelspace(), [(0, gap), (0, 60), (90, 60), (90, 0), (gap, 0)], closed=False)

    read = drawn(artist)
    assert read.counts() == (1, 0, 0)
    told = read.finding("gap-closed")
    assert told.repaired
    assert math.hypot(*told.at_mm) < gap
    assert told.contour_id == 1


def test_two_lines_that_stop_short_of_their_corner_are_drawn_on_to_it(drawn):
    def artist(doc):
        outline(doc.modelspace(), [(0, 0.3), (0, 60), (90, 60), (90, 0), (0.3, 0)], closed=False)

    read = drawn(artist)
    assert read.contours.area_mm2 == pytest.approx(5400.0)
    assert read.contours.size_mm == pytest.approx((90.0, 60.0))


def test_ends_within_a_hundredth_meet_without_a_word(drawn):
    def artist(doc):
        outline(doc.modelspace(), [(0, 0.006), (0, 60), (90, 60), (90, 0), (0, 0)], closed=False)

    read = drawn(artist)
    assert read.counts() == (1, 0, 0)
    assert "gap-closed" not in read.codes()


def test_hairline_work_finer_than_the_tolerance_is_not_clumped(drawn):
    def artist(doc):
        angles = [2.0 * math.pi * k / 1200 for k in range(1200)]
        ring = [(1.5 * math.cos(a), 1.5 * math.sin(a)) for a in angles]
        outline(doc.modelspace(), ring)  # pieces of 0.008 mm

    read = drawn(artist)
    assert read.counts() == (1, 0, 0)
    assert read.contours.area_mm2 == pytest.approx(math.pi * 1.5**2, rel=1e-3)


def test_short_arcs_and_small_holes_near_a_gap_stay_as_they_are(drawn):
    def artist(doc):
        space = doc.modelspace()
        outline(space, [(0, 0.3), (0, 60), (90, 60), (90, 0), (0, 0)], closed=False)
        for k in range(5):
            space.add_circle((2 + 0.25 * k, 2), 0.1)

    assert drawn(artist).counts() == (1, 5, 0)


@pytest.mark.parametrize("past", [0.1, 0.33])
def test_lines_that_run_past_their_corner_are_cut_back(drawn, past):
    def artist(doc):
        space = doc.modelspace()
        space.add_line((0, -past), (0, 60))
        space.add_line((-past, 0), (90, 0))
        outline(space, [(0, 60), (90, 60), (90, 0)], closed=False)

    read = drawn(artist)
    assert read.finding("overshoot-trimmed").at_mm == pytest.approx((0.0, 0.0))
    assert read.contours.area_mm2 == pytest.approx(5400.0)


def test_an_arc_that_runs_past_a_line_is_cut_back_and_keeps_its_radius(drawn):
    def artist(doc):
        space = doc.modelspace()
        space.add_arc((0, 0), 20, -1, 180)
        space.add_line((-20, 0), (20.2, 0))

    read = drawn(artist)
    ring = read.contours.contours[0].path
    assert "overshoot-trimmed" in read.codes()
    assert ring.segments.radius_mm[ring.segments.is_arc] == pytest.approx(20.0, rel=1e-9)
    assert ring.area_mm2 == pytest.approx(math.pi * 200.0, rel=1e-9)


def test_a_join_that_the_user_refuses_is_not_made(drawn):
    def artist(doc):
        outline(doc.modelspace(), [(0, 0.2), (0, 60), (90, 60), (90, 0), (0, 0)], closed=False)

    read = drawn(artist).again(refused_repairs=frozenset({"gap-closed"}))
    assert read.counts() == (0, 0, 1)
    assert "meant-gap" in read.asked()


# 3: a lost outline


def test_holes_in_an_open_outline_are_not_silently_parts(drawn):
    def artist(doc):
        space = doc.modelspace()
        outline(space, [(0, 20), (0, 60), (90, 60), (90, 0), (0, 0)], closed=False)
        for x in (20, 40, 60):
            space.add_circle((x, 30), 4)

    read = drawn(artist)
    lost = read.contours.findings[0]
    assert (lost.code, lost.severity) == ("outline-lost", Severity.OUTSIDE)
    assert read.counts() == (3, 0, 1)


def test_small_circles_with_nothing_around_them_are_asked_about(drawn):
    def artist(doc):
        for x in range(6):
            doc.modelspace().add_circle((30 * x, 0), 4)

    assert "outline-lost" in drawn(artist).asked()


# 4: meant gaps


@pytest.mark.parametrize("gap", [0.99, 1.5, 4.0])
def test_a_gap_of_a_holding_tab_stays_open_and_is_asked_about(drawn, gap):
    def artist(doc):
        corners = [(45 + gap, 0), (90, 0), (90, 60), (0, 60), (0, 0), (45, 0)]
        outline(doc.modelspace(), corners, closed=False)

    read = drawn(artist)
    assert read.counts() == (0, 0, 1)
    assert f"open by {gap:g} mm" in read.finding("meant-gap").message
    assert read.contours.contours[0].task is Task.NONE


# 5: duplicates, overlaps, specks


def test_lines_and_circles_drawn_up_to_four_times_are_cut_once(drawn):
    def artist(doc):
        for k in range(4):
            outline(doc.modelspace(), box(0, 0, 90, 60)[:: 1 if k % 2 else -1])
            doc.modelspace().add_circle((30, 30), 5)

    read = drawn(artist)
    assert read.counts() == (1, 1, 0)
    removed = [f for f in read.findings if f.code == "duplicate-removed"]
    assert len(removed) == 3 * 4 + 3
    assert all(finding.repaired for finding in removed)


def test_the_same_circle_begun_elsewhere_is_a_duplicate(drawn):
    def artist(doc):
        doc.modelspace().add_circle((30, 30), 5)
        doc.modelspace().add_lwpolyline([(30, 25, 1.0), (30, 35, 1.0)], format="xyb", close=True)

    assert drawn(artist).counts() == (1, 0, 0)


def test_a_doubled_open_edge_makes_no_ring(drawn):
    def artist(doc):
        doc.modelspace().add_line((0, 0), (50, 0))
        doc.modelspace().add_line((50, 0), (0, 0))

    assert drawn(artist).counts() == (0, 0, 1)


@pytest.mark.parametrize(
    "extra",
    [
        [((20, 0), (60, 0))],
        [((-0.0, 0), (50, 0)), ((50, 0), (90, 0))],
        [((90, 0), (40, 0)), ((70, 60), (90, 60)), ((0, 10), (0, 30))],
    ],
    ids=["inside a side", "a side in two pieces", "at corners"],
)
def test_lines_that_lie_partly_on_each_other_become_one(drawn, extra):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        for start, end in extra:
            doc.modelspace().add_line(start, end)

    read = drawn(artist)
    assert read.counts() == (1, 0, 0)
    assert "overlap-removed" in read.codes()
    assert read.contours.area_mm2 == pytest.approx(5400.0)


def test_two_lines_that_overlap_in_the_middle_of_a_side_close_it(drawn):
    def artist(doc):
        outline(doc.modelspace(), [(0, 0), (0, 60), (90, 60), (90, 0)], closed=False)
        doc.modelspace().add_line((0, 0), (60, 0))
        doc.modelspace().add_line((40, 0), (90, 0))

    assert drawn(artist).counts() == (1, 0, 0)


def test_arcs_that_lie_partly_on_a_circle_are_dropped(drawn):
    def artist(doc):
        doc.modelspace().add_circle((0, 0), 40)
        doc.modelspace().add_arc((0, 0), 40, 20, 130)

    assert drawn(artist).counts() == (1, 0, 0)


def test_specks_are_dropped_and_counted(drawn):
    def artist(doc):
        outline(doc.modelspace(), [(0, 0), (0, 60), (90, 60), (90, 0), (0.004, 0)])
        doc.modelspace().add_line((30, 30), (30.003, 30))

    read = drawn(artist)
    assert read.counts() == (1, 0, 0)
    assert sum(f.code == "speck-removed" for f in read.findings) == 2


def test_a_refused_duplicate_comes_out_as_an_outline_of_its_own(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        outline(doc.modelspace(), box(0, 0, 90, 60))

    read = drawn(artist).again(refused_repairs=frozenset({"duplicate-removed"}))
    assert read.counts() == (2, 0, 0)
    assert "duplicate-removed" in read.asked()


# 10: rings in rings


def test_a_circle_in_a_round_hole_is_asked_about_as_a_countersink(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        doc.modelspace().add_circle((30, 30), 6)
        doc.modelspace().add_circle((30, 30), 3)

    read = drawn(artist)
    assert read.counts() == (2, 1, 0)
    assert "countersink" in read.asked()
    by_diameter = {c.circle_diameter_mm: c for c in read.contours.contours}
    assert by_diameter[6.0].kind is Kind.ISLAND
    assert by_diameter[6.0].task is Task.INSIDE
    assert by_diameter[12.0].task is Task.NONE


def test_the_inside_of_a_letter_is_no_part(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        outline(doc.modelspace(), box(20, 20, 20, 20))
        outline(doc.modelspace(), box(25, 25, 8, 10))

    read = drawn(artist)
    assert "island" in read.asked()
    assert [c.task for c in read.contours.contours] == [Task.OUTSIDE, Task.INSIDE, Task.NONE]


# 12: stroke outlines


def test_lines_drawn_as_ribbons_are_told_with_the_width_of_the_pen(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        outline(doc.modelspace(), box(0.15, 0.15, 89.7, 59.7))
        doc.modelspace().add_circle((30, 30), 5)
        doc.modelspace().add_circle((30, 30), 4.85)

    told = drawn(artist).finding("stroke-outline")
    assert told.severity is Severity.TIGHT
    assert "0.15 mm wide" in told.message


# 13: what is asked and not guessed


def test_an_outline_that_goes_out_and_back_on_itself_is_asked_about(drawn):
    corners = [(0, 0), (90, 0), (90, 60), (90, 0), (0, 0)]
    read = drawn(lambda doc: doc.modelspace().add_lwpolyline(corners))
    assert "retraced-outline" in read.asked()
    assert read.counts() == (0, 0, 1)


def test_an_outline_traced_twice_in_one_go_is_cut_once_and_asked_about(drawn):
    corners = box(0, 0, 90, 60) * 2
    read = drawn(lambda doc: doc.modelspace().add_lwpolyline(corners, close=True))
    assert "retraced-outline" in read.asked()
    assert read.counts() == (1, 0, 0)


def test_a_wall_shared_by_two_parts_is_asked_about_and_the_whole_kept(drawn):
    def artist(doc):
        outline(doc.modelspace(), [(0, 0), (50, 0), (100, 0), (100, 60), (50, 60), (0, 60)])
        doc.modelspace().add_line((50, 0), (50, 60))

    read = drawn(artist)
    assert read.counts() == (1, 0, 1)
    assert read.contours.area_mm2 == pytest.approx(6000.0)
    assert {f.at_mm for f in read.findings if f.code == "branch-point"} == {(50, 0), (50, 60)}


def test_two_closed_outlines_side_by_side_stay_two_and_the_edge_is_asked_about(drawn):
    def artist(doc):
        doc.modelspace().add_lwpolyline(box(0, 0, 50, 60), close=True)
        doc.modelspace().add_lwpolyline(box(50, 0, 50, 60), close=True)

    read = drawn(artist)
    assert read.counts() == (2, 0, 0)
    assert "branch-point" in read.asked()


def test_parts_that_touch_in_a_corner_stay_two_parts(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 50, 60))
        outline(doc.modelspace(), box(50, 60, 50, 60))

    read = drawn(artist)
    assert read.counts() == (2, 0, 0)
    assert "branch-point" in read.asked()


def test_a_stub_on_an_outline_leaves_it_closed(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        doc.modelspace().add_line((90, 60), (95, 65))

    read = drawn(artist)
    assert read.counts() == (1, 0, 1)
    assert read.contours.area_mm2 == pytest.approx(5400.0)


def test_an_outline_that_crosses_itself_is_asked_about_where_it_does(drawn):
    corners = [(0, 0), (90, 60), (90, 0), (0, 60)]
    read = drawn(lambda doc: doc.modelspace().add_lwpolyline(corners, close=True))
    assert read.finding("self-crossing").at_mm == pytest.approx((45.0, 30.0))
    assert "self-crossing" in read.asked()


def test_outlines_that_cross_each_other_are_asked_about(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        doc.modelspace().add_circle((90, 30), 10)

    assert "crossing-contours" in drawn(artist).asked()


def test_outlines_that_only_touch_are_not_said_to_cross(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        doc.modelspace().add_circle((80, 30), 10)

    assert "crossing-contours" not in drawn(artist).codes()


def test_a_frame_around_parts_with_holes_is_asked_about(drawn):
    def artist(doc):
        space = doc.modelspace()
        outline(space, box(0, 0, 297, 210))
        for x in (20, 150):
            outline(space, box(x, 60, 90, 60))
            space.add_circle((x + 20, 90), 5)

    assert "frame-or-dimension" in drawn(artist).asked()


def test_dimension_lines_drawn_as_plain_lines_are_asked_about(drawn):
    def artist(doc):
        space = doc.modelspace()
        outline(space, box(0, 0, 90, 60))
        for y in (-10, -20):
            space.add_line((0, y), (90, y))
        space.add_line((100, 0), (100, 60))

    read = drawn(artist)
    assert "frame-or-dimension" in read.asked()
    assert read.counts() == (1, 0, 3)


def test_many_open_lines_are_asked_about_in_a_list_and_a_sum(drawn):
    def artist(doc):
        for k in range(200):
            doc.modelspace().add_line((0, 10 * k), (50 + k, 10 * k))

    asked = [f for f in drawn(artist).findings if f.code == "open-contour"]
    assert len(asked) == 21
    assert "180 more open lines" in asked[-1].message


def test_a_mesh_of_lines_is_asked_about_and_not_taken_apart_forever(drawn):
    def artist(doc):
        for x in range(25):
            for y in range(25):
                doc.modelspace().add_line((x, y), (x + 1, y))
                doc.modelspace().add_line((x, y), (x, y + 1))

    read = drawn(artist)
    assert "branch-point" in read.asked()
    assert read.counts()[2] > 100


# understanding


def test_circles_slots_and_rectangles_are_known_by_their_form(drawn):
    def artist(doc):
        space = doc.modelspace()
        outline(space, [(0, 0), (300, 0), (300, 200), (150, 230), (0, 200)])
        space.add_circle((30, 30), 4)
        slot = [(100, 85, 0), (160, 85, 1), (160, 115, 0), (100, 115, 1)]
        space.add_lwpolyline(slot, format="xyb", close=True)
        space.add_lwpolyline(box(200, 50, 40, 30), close=True)

    found = drawn(artist).contours.contours
    assert [c.shape for c in found] == [Shape.OTHER, Shape.CIRCLE, Shape.SLOT, Shape.RECTANGLE]
    assert [c.name for c in found] == [
        "Outline 1",
        "Hole ø 8 mm",
        "Slot 90 × 30 mm",
        "Cut-out 40 × 30 mm",
    ]
    assert [c.parent for c in found] == [None, 1, 1, 1]


def test_closed_contours_run_counter_clockwise(drawn):
    def artist(doc):
        doc.modelspace().add_lwpolyline(box(0, 0, 90, 60)[::-1], close=True)

    assert drawn(artist).contours.contours[0].path.area_mm2 == pytest.approx(5400.0)


def test_the_same_part_turned_is_grouped_and_its_mirror_image_is_not(drawn):
    shape = [(0, 0), (60, 0), (60, 20), (20, 20), (20, 50), (0, 50)]

    def artist(doc):
        space = doc.modelspace()
        outline(space, shape)
        outline(space, [(200 - y, x) for x, y in shape])
        outline(space, [(400 - x, y) for x, y in shape])
        space.add_circle((10, 10), 3)
        space.add_circle((190, 10), 3)

    found = drawn(artist).contours
    assert len(found.groups) == 1
    assert {found.contours[k - 1].kind for k in found.groups[0]} == {Kind.OUTER}
    assert len(found.groups[0]) == 2


def test_a_task_chosen_by_hand_is_kept(drawn):
    def artist(doc):
        outline(doc.modelspace(), box(0, 0, 90, 60))
        doc.modelspace().add_line((10, 30), (80, 30))

    choice = ContourChoice(2, task=Task.ON_LINE)
    found = drawn(artist).again(contours=(choice,)).contours.contours
    assert [contour.task for contour in found] == [Task.OUTSIDE, Task.ON_LINE]
