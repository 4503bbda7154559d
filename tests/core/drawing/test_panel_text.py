"""The words of a panel by numbers: what is typed, and what is refused in one line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing.panel import (
    BoltCircle,
    CornerCut,
    CutOut,
    Edge,
    Grid,
    Holes,
    InCorners,
    Notch,
    Row,
    Single,
    Slot,
)
from core.drawing.panel_text import (
    read_corners,
    read_count,
    read_cut_out,
    read_hand_hole,
    read_hole,
    read_holes,
    read_notch,
    read_point,
    read_slot,
)
from core.errors import UnitError

TYPED = [
    (read_hole, "8@20,20", Holes(8.0, Single((20.0, 20.0)))),
    (read_hole, "8.5 @ 20.5 , 30", Holes(8.5, Single((20.5, 30.0)))),
    (read_hole, "8,5@20,5;30", Holes(8.5, Single((20.5, 30.0)))),
    (read_hole, "1/4 in@1,2 in", Holes(6.35, Single((25.4, 50.8)))),
    (read_holes, "corners:8@20", Holes(8.0, InCorners((20.0, 20.0)))),
    (read_holes, "Corners: 8 @ 20,30", Holes(8.0, InCorners((20.0, 30.0)))),
    (read_holes, "row:6@50,300:850,300:9", Holes(6.0, Row((50.0, 300.0), (850.0, 300.0), 9))),
    (read_holes, "grid:6@1,2:3,4:5x6", Holes(6.0, Grid((1.0, 2.0), (3.0, 4.0), 5, 6))),
    (read_holes, "circle:6@4,3:200:8", Holes(6.0, BoltCircle((4.0, 3.0), 200.0, 8))),
    (read_holes, "circle:6@4,3:200:8:15°", Holes(6.0, BoltCircle((4.0, 3.0), 200.0, 8, 15.0))),
    (read_slot, "100x30@450,570", Slot(100.0, 30.0, (450.0, 570.0))),
    (read_slot, "100 x 30 mm@450,570:30 deg", Slot(100.0, 30.0, (450.0, 570.0), 30.0)),
    (read_slot, "30x100@450,570", Slot(100.0, 30.0, (450.0, 570.0), 90.0)),
    (read_hand_hole, "450,560", Slot(100.0, 30.0, (450.0, 560.0), 0.0, True)),
    (read_hand_hole, "110x35@450,560:90", Slot(110.0, 35.0, (450.0, 560.0), 90.0, True)),
    (read_cut_out, "200x120@450,300", CutOut((200.0, 120.0), (450.0, 300.0))),
    (read_cut_out, "200x120@450,300:10:45", CutOut((200.0, 120.0), (450.0, 300.0), 10.0, 45.0)),
    (read_notch, "60x20@bottom:300", Notch(Edge.BOTTOM, 300.0, 60.0, 20.0)),
    (read_notch, "60x20@Left:300:5", Notch(Edge.LEFT, 300.0, 60.0, 20.0, 5.0)),
]


@pytest.mark.parametrize(("read", "text", "feature"), TYPED, ids=[row[1] for row in TYPED])
def test_what_is_typed_is_what_is_meant(read, text, feature):
    assert read(text) == feature


REFUSED = [
    (read_hole, "8", "lacks '@'"),
    (read_hole, "8@20", "'20' is no place"),
    (read_hole, "8@20,5,30", "X;Y where a comma"),
    (read_hole, "8 kg@20,20", "length"),
    (read_holes, "corners", "begin with corners:"),
    (read_holes, "ring:8@20", "corners, row, grid, circle"),
    (read_holes, "row:6@1,2:3,4", "row:DIAMETER@X,Y:X,Y:COUNT"),
    (read_holes, "row:6@1,2:3,4:0", "no count"),
    (read_holes, "grid:6@1,2:3,4:5", "COLUMNSxROWS"),
    (read_holes, "grid:6@1,2:3,4:5x1.5", "no count"),
    (read_holes, "circle:6@1,2:-3:4", "more than 0"),
    (read_slot, "100@1,2", "is not a size"),
    (read_slot, "100x30@1,2:3:4", "X,Y[:ANGLE]"),
    (read_slot, "100x30@1,2:3 mm", "angle"),
    (read_notch, "60x20@side:300", "bottom, right, top, left"),
    (read_notch, "60x20@bottom", "EDGE:PLACE"),
]


@pytest.mark.parametrize(("read", "text", "words"), REFUSED, ids=[row[1] for row in REFUSED])
def test_what_cannot_be_meant_is_refused_with_the_form_that_can(read, text, words):
    with pytest.raises(UnitError) as refusal:
        read(text)
    assert words in str(refusal.value)
    assert "\n" not in str(refusal.value)


def test_the_nearer_word_about_a_corner_wins():
    corners = read_corners([("10", "a"), ("25@top", "b")], [("15@top-left", "c")])
    ten, top, chamfer = CornerCut(10.0, True, "a"), CornerCut(25.0, True, "b"), (15.0, False, "c")
    assert corners == (ten, ten, top, CornerCut(*chamfer))


def test_without_a_word_corners_are_square():
    assert read_corners([], []) == (CornerCut(),) * 4


@pytest.mark.parametrize(
    ("radii", "chamfers", "words"),
    [
        (["10"], ["5"], "second form"),
        (["10@top", "5@left"], [], "top-left a second form"),
        (["10@middle"], [], "no corner"),
        (["10@"], [], "no corner"),
    ],
)
def test_two_words_of_one_rank_about_a_corner_are_refused(radii, chamfers, words):
    with pytest.raises(UnitError, match=words):
        read_corners([(r, "") for r in radii], [(c, "") for c in chamfers])


@given(st.text(max_size=30))
def test_any_text_is_a_feature_or_a_unit_error(text):
    for read in (read_hole, read_holes, read_slot, read_hand_hole, read_cut_out, read_notch):
        try:
            feature = read(text)
        except UnitError:
            continue
        assert feature == read(text)


@given(st.floats(0.0, 5000.0), st.floats(0.0, 5000.0))
def test_a_place_comes_back_from_its_own_words(x, y):
    assert read_point(f"{x:.4f}; {y:.4f}") == (float(f"{x:.4f}"), float(f"{y:.4f}"))


@pytest.mark.parametrize("text", ["", "-1", "0", "1e3", "٣", "9999999"])
def test_a_count_is_a_whole_number_of_one_or_more(text):
    with pytest.raises(UnitError):
        read_count(text)
