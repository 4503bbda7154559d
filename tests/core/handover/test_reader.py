"""The reader, on its own: what a control takes for granted it does not, and arcs of every kind."""

import math
from itertools import pairwise

import numpy as np
import pytest

from core.handover.nc_program import Did, Kind
from core.handover.nc_reader import AT_ONCE, read_parts, read_program
from core.library.nc_records import ArcStyle, NcSettings, NcWords

PLAIN = NcSettings(head_lines=())
HEAD = "G71\nG17 G90 G94\nG40\nG80\nG54\n"
TAIL = "M2\n"


def read(body, nc=PLAIN, head=HEAD, zero_mm=0.0):
    return read_program(head + body + TAIL, nc, zero_mm)


def faults(body, nc=PLAIN, head=HEAD):
    return [f.message for f in read(body, nc, head).faults]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("G1 X1 Y1 Z1 Q3 F100", "Q3 is no word of this machine"),
        ("G38 X1", "G38 is no word of this machine"),
        ("M98", "M98 is no word of this machine"),
        ("G0 X1 X2", "X stands twice in one block"),
        ("G0 G1 X1 F100", "rapid and straight in one block"),
        ("G0 X1 Y--1", "'G0 X1 Y--1' is not made of words"),
        ("G0 X1.2.3", "is not made of words"),
        ("(never ends", "a comment does not end"),
        ("G0 x1", "'G0 x1' is not made of words"),
        ("G1 X1 Y1", "a cut without a feed"),
        ("G4", "a dwell without its time (P)"),
        ("S18000", "a spindle speed without M3"),
        ("T1", "a tool number without M6"),
        ("G70", "the units are not those of the machine file"),
        ("G0 X1 F-5", "a feed of -5"),
        ("G0 I1 X2", "I cannot stand in this block"),
    ],
)
def test_a_line_that_could_mean_something_else_is_refused(line, said):
    program = read(f"G0 X0 Y0 Z5\n{line}\n")
    assert any(said in f.message for f in program.faults), program.faults
    assert program.faults[0].line == 7


@pytest.mark.parametrize("missing", ["G71", "G17", "G90", "G94", "G40", "G80", "G54"])
def test_nothing_is_taken_for_granted_before_the_first_move(missing):
    head = HEAD.replace(missing, "").replace("  ", " ")
    found = faults("G0 X1 Y1 Z1\n", head=head)
    assert len(found) == 1
    assert found[0].startswith("not said before the first move")


def test_a_program_that_does_not_end_is_no_program():
    found = read_program(HEAD + "G0 X1 Y1 Z1\n", PLAIN, 0.0).faults
    assert [f.message for f in found] == ["the program does not end with M2"]


def test_nothing_may_follow_the_end():
    assert "something follows the program's end" in faults("M2\n")


def test_words_hold_until_another_of_their_group():
    moves = read("G0 X0 Y0 Z5\nG1 Z-1 F300\nX10\nY10\nG0 Z5\n").moves
    assert moves.kind.tolist() == [0, 1, 1, 1, 0]
    assert moves.feed_mm_min[1:4].tolist() == [300.0, 300.0, 300.0]
    assert moves.end[3].tolist() == [10.0, 10.0, -1.0]


def test_increments_add_up_from_a_known_place():
    moves = read("G0 X1 Y2 Z5\nG91\nG0 X1\nG0 Y-1 Z2\n").moves
    assert moves.end.tolist() == [[1, 2, 5], [2, 2, 5], [2, 1, 7]]


def test_inches_become_millimetres():
    nc = NcSettings(head_lines=(), length_unit="in", decimals=4)
    program = read("G0 X1 Y2 Z0.5\nG1 X2 F10\n", nc, HEAD.replace("G71", "G70"))
    assert program.faults == ()
    assert program.moves.end[1].tolist() == pytest.approx([50.8, 50.8, 12.7])
    assert program.moves.feed_mm_min[1] == pytest.approx(254.0)


def test_heights_are_told_from_the_bed_whatever_the_zero_is():
    assert read("G0 X0 Y0 Z5\n", zero_mm=6.0).moves.end[0, 2] == 11.0


def arc(body, nc=PLAIN):
    program = read(f"G0 X0 Y0 Z1\n{body}\n", nc)
    assert program.faults == ()
    return program.moves.part(slice(1, 2))


@pytest.mark.parametrize(
    ("body", "sweep_deg", "length_mm"),
    [
        ("G3 X0 Y10 I0 J5 F100", 180.0, 5.0 * math.pi),
        ("G2 X0 Y10 I0 J5 F100", -180.0, 5.0 * math.pi),
        ("G3 X0 Y0 I10 J0 F100", 360.0, 20.0 * math.pi),
        ("G2 X0 Y0 I-3 J4 F100", -360.0, 10.0 * math.pi),
        ("G3 X-5 Y5 I-5 J0 F100", 90.0, 2.5 * math.pi),
        ("G2 X-5 Y5 I-5 J0 F100", -270.0, 7.5 * math.pi),
        ("G3 X-0.01 Y0.01 I-0.01 J0 F100", 90.0, 0.005 * math.pi),
        ("G3 X-9.66 Y2.588 I-10 J-1 F100", None, None),
    ],
)
def test_arcs_turn_as_far_as_they_say(body, sweep_deg, length_mm):
    if sweep_deg is None:
        program = read(f"G0 X0 Y0 Z1\n{body}\n")
        assert "radius differs" in program.faults[0].message
        return
    move = arc(body)
    assert math.degrees(move.sweep_rad[0]) == pytest.approx(sweep_deg)
    assert move.plane_mm[0] == pytest.approx(length_mm)


def test_an_arc_may_go_down_on_its_way():
    move = arc("G3 X0 Y10 Z-2 I0 J5 F100")
    assert move.length_mm[0] == pytest.approx(math.hypot(5.0 * math.pi, 3.0))


@pytest.mark.parametrize(
    ("style", "body"),
    [
        (ArcStyle.FROM_START, "G3 X0 Y10 I0 J5 F100"),
        (ArcStyle.ABSOLUTE, "G3 X0 Y10 I0 J5 F100"),
        (ArcStyle.RADIUS, "G3 X5 Y5 R5 F100"),
    ],
)
def test_a_centre_is_where_the_machine_file_says(style, body):
    move = arc(body, NcSettings(head_lines=(), arc_style=style))
    assert move.centre[0].tolist() == pytest.approx([0.0, 5.0])


def test_a_radius_too_small_for_its_ends_is_refused():
    nc = NcSettings(head_lines=(), arc_style=ArcStyle.RADIUS)
    assert "radius differs" in faults("G0 X0 Y0 Z1\nG3 X10 Y0 R4 F100\n", nc)[0]


def test_switches_stand_where_they_are_done():
    body = "T3 M6\nG0 X0 Y0 Z5\nS18000 M3\nG4 P4.5\nM8\nG1 X5 F100\nM9\nM5\nM0\n"
    done = [(e.did, e.move, e.value) for e in read(body).events]
    assert done == [
        (Did.CUTTER, 0, 3.0),
        (Did.SPINDLE_ON, 1, 18000.0),
        (Did.DWELL, 1, 4.5),
        (Did.AIR_ON, 1, 0.0),
        (Did.AIR_OFF, 2, 0.0),
        (Did.SPINDLE_OFF, 2, 0.0),
        (Did.STOP, 2, 0.0),
        (Did.END, 2, 0.0),
    ]


def test_the_words_are_those_of_the_machine_file():
    words = NcWords(rapid="G10", straight="G11", metric="G21")
    nc = NcSettings(head_lines=(), words=words)
    program = read("G10 X0 Y0 Z5\nG11 X5 F100\n", nc, HEAD.replace("G71", "G21"))
    assert program.faults == ()
    assert program.moves.kind.tolist() == [Kind.RAPID, Kind.STRAIGHT]
    assert faults("G0 X0 Y0 Z5\n", nc, HEAD.replace("G71", "G21"))[0].startswith("G0 is no word")


def test_leading_zeros_and_spaces_are_the_same_word():
    assert read("G00 X 1 Y+2.50 Z.5\n").moves.end[0].tolist() == [1.0, 2.5, 0.5]


def test_a_line_without_end_is_refused_at_once():
    # a pattern that could read the digits in many ways would never come to an end here
    assert faults("G1 X" + "1" * 50_000 + "x\n")


def test_a_long_program_is_handed_on_in_parts_that_join_up():
    lines = [*HEAD.splitlines(), "G0 X0 Y0 Z1", "G1 X0 F100"]
    count = 2 * AT_ONCE + 7
    lines += [f"G1 X{k % 10} Y{k % 7}" for k in range(count)]
    parts = list(read_parts([*lines, "M2"], PLAIN, 0.0))
    assert len(parts) == 3
    assert max(len(p.moves) for p in parts) == AT_ONCE
    assert sum(len(p.moves) for p in parts) == count + 2
    for one, after in pairwise(parts):
        assert np.array_equal(one.moves.end[-1], after.moves.start[0])
    assert sum(p.lines for p in parts) == len(lines) + 1
