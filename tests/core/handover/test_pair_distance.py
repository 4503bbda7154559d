"""Distances between lines and arcs against dense points of both, and cases that can be told."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.handover.pair_distance import Pieces, pair_distance


def line(start, end):
    return Pieces(np.array([start]), np.array([end]), np.full((1, 2), np.nan), np.zeros(1))


def arc(centre, radius, begin, sweep):
    centre = np.array(centre, float)
    ends = [centre + radius * np.array([math.cos(a), math.sin(a)]) for a in (begin, begin + sweep)]
    return Pieces(ends[0][None], ends[1][None], centre[None], np.array([sweep]))


def dense(piece, count=4001):
    share = np.linspace(0.0, 1.0, count)[:, None]
    if piece.sweep_rad[0] == 0.0:
        return piece.start + (piece.end - piece.start) * share
    out = piece.start[0] - piece.centre[0]
    angle = math.atan2(out[1], out[0]) + piece.sweep_rad[0] * share[:, 0]
    return piece.centre + math.hypot(*out) * np.column_stack([np.cos(angle), np.sin(angle)])


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        (line((0.0, 0.0), (10.0, 0.0)), line((0.0, 3.0), (10.0, 3.0)), 3.0),
        (line((0.0, 0.0), (10.0, 0.0)), line((5.0, -1.0), (5.0, 1.0)), 0.0),
        (line((0.0, 0.0), (10.0, 0.0)), line((13.0, 4.0), (20.0, 9.0)), 5.0),
        (line((-10.0, 6.0), (10.0, 6.0)), arc((0.0, 0.0), 5.0, 0.0, math.pi), 1.0),
        (line((-10.0, 6.0), (10.0, 6.0)), arc((0.0, 0.0), 5.0, math.pi, math.pi), 6.0),
        (line((-10.0, 3.0), (10.0, 3.0)), arc((0.0, 0.0), 5.0, 0.0, 2.0 * math.pi), 0.0),
        (arc((0.0, 0.0), 5.0, 0.0, 6.0), arc((0.0, 0.0), 8.0, 1.0, 2.0), 3.0),
        (arc((0.0, 0.0), 5.0, -1.0, 2.0), arc((20.0, 0.0), 5.0, 2.0, 2.0), 10.0),
        (arc((0.0, 0.0), 5.0, 0.0, 3.0), arc((6.0, 0.0), 5.0, 1.0, 3.0), 0.0),
    ],
)
def test_distances_that_can_be_told(one, other, distance):
    assert pair_distance(one, other)[0] == pytest.approx(distance, abs=1e-9)
    assert pair_distance(other, one)[0] == pytest.approx(distance, abs=1e-9)


place = st.tuples(st.floats(-10.0, 10.0), st.floats(-10.0, 10.0))
lines = st.builds(line, place, place)
arcs = st.builds(arc, place, st.floats(0.5, 12.0), st.floats(-3.0, 3.0), st.floats(0.2, 6.2))


@settings(max_examples=200, deadline=None)
@given(st.one_of(lines, arcs), st.one_of(lines, arcs))
def test_no_two_points_are_nearer_and_two_are_as_near(one, other):
    found = pair_distance(one, other)[0]
    here, there = dense(one, 801), dense(other, 801)
    gap = np.sqrt(((here[:, None] - there[None]) ** 2).sum(axis=2)).min()
    assert found <= gap + 1e-9
    # the nearest of 801 points lies within half a step of the nearest point
    step = max(np.hypot(*np.diff(p, axis=0).T).max() for p in (here, there))
    assert gap - found <= step
