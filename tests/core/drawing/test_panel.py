"""A panel by numbers: its exact outline, its drawing read back, and every way it cannot be made."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.contours import find_contours
from core.drawing import read_drawing
from core.drawing.panel import (
    BoltCircle,
    CornerCut,
    CutOut,
    Edge,
    Grid,
    Holes,
    InCorners,
    Notch,
    Panel,
    Row,
    Single,
    Slot,
)
from core.drawing.panel_check import MOST_OPENINGS, panel_faults
from core.drawing.panel_drawing import panel_drawing, panel_strokes, with_panel
from core.drawing.panel_outline import outline
from core.errors import DrawingError
from core.job import Job

GUARD = Panel(
    (900.0, 600.0),
    corners=(CornerCut(10.0),) * 4,
    holes=(Holes(8.0, InCorners((20.0, 20.0))),),
    slots=(Slot(100.0, 30.0, (450.0, 570.0)),),
    notches=(Notch(Edge.BOTTOM, 300.0, 60.0, 20.0, 5.0),),
    cut_outs=(CutOut((200.0, 120.0), (450.0, 300.0), 15.0),),
    quantity=25,
)


def reread(panel):
    """Return the contours that the reader finds in the panel's drawing."""
    file = panel_drawing(panel)
    drawing = read_drawing(file)
    assert drawing.findings == ()
    return find_contours(drawing, file)


def corner_area(cut):
    """What a corner loses: the square beside a quarter disc, or half the square."""
    return cut.size_mm**2 * (1.0 - math.pi / 4.0 if cut.is_round else 0.5)


def notch_area(notch):
    return notch.width_mm * notch.depth_mm - 2.0 * corner_area(CornerCut(notch.radius_mm))


def test_the_outline_of_a_panel_runs_counter_clockwise_and_has_its_exact_area():
    path = outline(GUARD)
    lost = sum(map(corner_area, GUARD.corners)) + sum(map(notch_area, GUARD.notches))
    assert path.area_mm2 == pytest.approx(900.0 * 600.0 - lost, rel=1e-13)
    assert path.bounds_mm == pytest.approx((0.0, 0.0, 900.0, 600.0), abs=1e-12)


def test_a_guard_comes_back_as_one_outline_with_its_openings():
    found = reread(GUARD)
    assert [c.name for c in found.contours] == [
        "Outline 1",
        *(f"Hole ø 8 mm ({k} of 4)" for k in range(1, 5)),
        "Slot 100 × 30 mm",
        "Cut-out 200 × 120 mm",
    ]
    assert found.findings == ()
    assert [c.layer for c in found.contours] == ["outline", *["holes"] * 4, "slots", "cut-outs"]


@pytest.mark.parametrize(
    ("edge", "box"),
    [
        (Edge.BOTTOM, (40.0, 0.0, 60.0, 8.0)),
        (Edge.RIGHT, (192.0, 40.0, 200.0, 60.0)),
        (Edge.TOP, (40.0, 92.0, 60.0, 100.0)),
        (Edge.LEFT, (0.0, 40.0, 8.0, 60.0)),
    ],
)
def test_a_notch_lies_where_it_is_measured_from_the_left_or_from_the_bottom(edge, box):
    path = outline(Panel((200.0, 100.0), notches=(Notch(edge, 50.0, 20.0, 8.0),)))
    inner = [p for p in path.points.tolist() if 0 < p[0] < 200 or 0 < p[1] < 100]
    assert (*np.min(inner, axis=0), *np.max(inner, axis=0)) == box
    assert path.area_mm2 == pytest.approx(200.0 * 100.0 - 160.0)


def test_two_notches_of_an_edge_may_be_given_in_any_order():
    near, far = Notch(Edge.TOP, 30.0, 10.0, 5.0), Notch(Edge.TOP, 70.0, 10.0, 5.0)
    one = outline(Panel((100.0, 100.0), notches=(near, far)))
    other = outline(Panel((100.0, 100.0), notches=(far, near)))
    assert np.array_equal(one.points, other.points)


def test_radii_of_half_the_side_make_a_round_end_without_a_seam():
    path = outline(Panel((200.0, 100.0), corners=(CornerCut(50.0),) * 4))
    assert len(path.points) == 6
    assert path.area_mm2 == pytest.approx(100.0 * 100.0 + math.pi * 50.0**2)


@pytest.mark.parametrize(
    ("pattern", "places"),
    [
        (Single((1.0, 2.0)), [(1, 2)]),
        (InCorners((20.0, 30.0)), [(20, 30), (880, 30), (880, 570), (20, 570)]),
        (Row((0.0, 5.0), (30.0, 5.0), 4), [(0, 5), (10, 5), (20, 5), (30, 5)]),
        (Row((7.0, 5.0), (30.0, 5.0), 1), [(7, 5)]),
        (Grid((0.0, 0.0), (20.0, 5.0), 3, 2), [(0, 0), (10, 0), (20, 0), (0, 5), (10, 5), (20, 5)]),
        (BoltCircle((50.0, 50.0), 20.0, 4, 90.0), [(50, 60), (40, 50), (50, 40), (60, 50)]),
    ],
)
def test_a_pattern_gives_its_places(pattern, places):
    got = np.array(pattern.places_mm((900.0, 600.0)))
    assert got == pytest.approx(np.array(places, dtype=float), abs=1e-12)


def test_a_turned_slot_keeps_its_area_and_turns_about_its_middle():
    level, turned = (
        panel_strokes(Panel((300.0, 300.0), slots=(Slot(100.0, 30.0, (150.0, 150.0), angle),)))
        for angle in (0.0, 37.0)
    )
    assert turned[1].path.area_mm2 == pytest.approx(level[1].path.area_mm2)
    low_x, low_y, high_x, high_y = turned[1].path.bounds_mm
    assert ((low_x + high_x) / 2, (low_y + high_y) / 2) == pytest.approx((150.0, 150.0))
    assert high_x - low_x == pytest.approx(70.0 * math.cos(math.radians(37.0)) + 30.0)


CUTS = st.builds(CornerCut, st.just(0.0) | st.floats(0.5, 60.0), st.booleans())
SHARES = st.sampled_from([0.0, 1.0]) | st.floats(0.1, 0.9)
"""Of the largest radius: none, all of it, or between, but no sliver of a straight line."""


@st.composite
def panels(draw):
    """Panels that can be made: features in cells of their own, notches on the straight part."""
    width, height = draw(st.floats(400.0, 3000.0)), draw(st.floats(400.0, 2000.0))
    corners = tuple(draw(CUTS) for _ in range(4))
    x, y = width / 4.0, height / 4.0
    notch_width = draw(st.floats(10.0, 70.0))
    depth = draw(st.floats(5.0, 30.0))
    radius = draw(SHARES) * min(notch_width / 2.0, depth)
    length, thick = draw(st.floats(40.0, 90.0)), draw(st.floats(5.0, 35.0))
    side = draw(st.tuples(st.floats(10.0, 60.0), st.floats(10.0, 60.0)))
    return Panel(
        (width, height),
        corners=corners,
        holes=(
            Holes(draw(st.floats(3.0, 20.0)), Single((2 * x, y))),
            Holes(draw(st.floats(3.0, 15.0)), Row((2 * x, 2 * y), (3 * x - 60.0, 2 * y), 2)),
        ),
        slots=(Slot(length, thick, (x, y), draw(st.floats(-180.0, 180.0))),),
        cut_outs=(
            CutOut(
                side,
                (3 * x, 3 * y),
                draw(SHARES) * min(side) / 2.0,
                draw(st.floats(-90.0, 90.0)),
            ),
        ),
        notches=(Notch(draw(st.sampled_from(Edge)), 200.0, notch_width, depth, radius),),
    )


@settings(max_examples=60, deadline=None)
@given(panels())
def test_a_panel_read_back_from_its_drawing_is_the_panel(panel):
    assert panel_faults(panel) == ()
    drawn, found = panel_strokes(panel), reread(panel)
    assert (found.outer_count, found.hole_count, found.open_count) == (1, len(drawn) - 1, 0)
    for stroke, contour in zip(drawn, found.contours, strict=True):
        assert contour.layer == stroke.layer
        assert contour.path.bounds_mm == pytest.approx(stroke.path.bounds_mm, abs=1e-6)
        assert contour.path.length_mm == pytest.approx(stroke.path.length_mm, rel=1e-9)
        assert contour.path.area_mm2 == pytest.approx(stroke.path.area_mm2, rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(panels())
def test_the_area_of_a_panel_is_its_rectangle_less_what_is_taken_off(panel):
    lost = sum(map(corner_area, panel.corners)) + sum(map(notch_area, panel.notches))
    width, height = panel.size_mm
    assert outline(panel).area_mm2 == pytest.approx(width * height - lost, rel=1e-12)


FAULTS = {
    "a side of nothing": (Panel((0.0, 300.0)), "0 x 300 mm"),
    "a side that is no number": (Panel((math.nan, 300.0)), "nan x 300"),
    "no quantity": (Panel((400.0, 300.0), quantity=0), "quantity of 0"),
    "a negative radius": (
        Panel((400.0, 300.0), corners=(CornerCut(-1.0),) * 4),
        "corner: -1 mm cannot be cut",
    ),
    "radii larger than half the side": (
        Panel((400.0, 300.0), corners=(CornerCut(151.0, label="--radius 151"),) * 4),
        "--radius 151: 151 mm at bottom-right and 151 mm at top-right do not fit on the 300 mm",
    ),
    "a hole outside": (
        Panel((400.0, 300.0), holes=(Holes(8.0, Single((500.0, 20.0)), "--hole 8@500,20"),)),
        "--hole 8@500,20: is not wholly inside the panel of 400 x 300 mm",
    ),
    "a hole through the edge": (
        Panel((400.0, 300.0), holes=(Holes(8.0, Single((4.0, 20.0))),)),
        "hole ø 8, at 4, 20: is not wholly inside",
    ),
    "a hole in a rounded corner": (
        Panel(
            (400.0, 300.0),
            corners=(CornerCut(60.0),) * 4,
            holes=(Holes(8.0, Single((12.0, 12.0))),),
        ),
        "is not wholly inside",
    ),
    "a hole without a diameter": (
        Panel((400.0, 300.0), holes=(Holes(0.0, Single((9.0, 9.0))),)),
        "diameter of 0.1 mm or more",
    ),
    "two holes in one place": (
        Panel((400.0, 300.0), holes=(Holes(8.0, Single((50.0, 50.0))),) * 2),
        "hole ø 8, at 50, 50: runs into hole ø 8, at 50, 50",
    ),
    "holes that touch": (
        Panel((400.0, 300.0), holes=(Holes(10.0, Row((50.0, 50.0), (60.0, 50.0), 2)),)),
        "runs into",
    ),
    "a hole inside a cut-out": (
        Panel(
            (400.0, 300.0),
            holes=(Holes(8.0, Single((200.0, 150.0))),),
            cut_outs=(CutOut((100.0, 80.0), (200.0, 150.0)),),
        ),
        "cut-out 100 x 80: runs into hole ø 8",
    ),
    "a slot as long as wide": (
        Panel((400.0, 300.0), slots=(Slot(30.0, 30.0, (200.0, 150.0)),)),
        "longer than wide",
    ),
    "a corner radius beyond half the side": (
        Panel((400.0, 300.0), cut_outs=(CutOut((100.0, 80.0), (200.0, 150.0), 41.0),)),
        "0.1 to 40 mm",
    ),
    "a notch in a corner": (
        Panel((400.0, 300.0), notches=(Notch(Edge.TOP, 5.0, 20.0, 10.0),)),
        "straight part of the top edge",
    ),
    "notches that overlap": (
        Panel((400.0, 300.0), notches=(Notch(Edge.TOP, 50.0, 20.0, 10.0),) * 2),
        "notch 20 x 10: runs into notch 20 x 10",
    ),
    "a notch through the panel": (
        Panel((400.0, 300.0), notches=(Notch(Edge.LEFT, 50.0, 20.0, 400.0),)),
        "cuts the panel apart",
    ),
    "notches that meet in the middle": (
        Panel(
            (400.0, 300.0),
            notches=(Notch(Edge.TOP, 200.0, 20.0, 160.0), Notch(Edge.BOTTOM, 200.0, 20.0, 160.0)),
        ),
        "run into each other",
    ),
    "an inner radius that does not fit": (
        Panel((400.0, 300.0), notches=(Notch(Edge.TOP, 200.0, 20.0, 5.0, 6.0),)),
        "0.1 to 5 mm",
    ),
    "a grid of a thousand million": (
        Panel((400.0, 300.0), holes=(Holes(1.0, Grid((1.0, 1.0), (399.0, 299.0), 31623, 31623)),)),
        f"at most {MOST_OPENINGS}",
    ),
}


@pytest.mark.parametrize(("panel", "words"), FAULTS.values(), ids=FAULTS.keys())
def test_what_cannot_be_made_is_said_in_one_clear_line(panel, words):
    faults = panel_faults(panel)
    assert words in faults[0]
    assert "\n" not in faults[0]
    with pytest.raises(DrawingError):
        panel_drawing(panel)


def test_of_many_faults_of_one_kind_a_few_are_told_and_the_rest_counted():
    heap = Panel((400.0, 300.0), holes=(Holes(20.0, Grid((20.0, 20.0), (100.0, 100.0), 9, 9)),))
    faults = panel_faults(heap)
    assert len(faults) == 11
    assert faults[-1].startswith("and ")


def test_a_panel_becomes_the_drawing_of_a_job_with_its_quantity():
    job = with_panel(Job(name="guard"), GUARD, "guard.dxf")
    assert job.quantity == 25
    assert [drawing.name for drawing in job.drawings] == ["guard.dxf"]
    assert job.drawings[0].content == panel_drawing(GUARD).content


def test_a_panel_with_as_many_openings_as_are_allowed_is_made():
    columns, rows = 100, MOST_OPENINGS // 100
    plate = Panel(
        (2000.0, 1000.0), holes=(Holes(8.0, Grid((10.0, 10.0), (1990.0, 990.0), columns, rows)),)
    )
    assert panel_faults(plate) == ()
    assert len(panel_strokes(plate)) == MOST_OPENINGS + 1
