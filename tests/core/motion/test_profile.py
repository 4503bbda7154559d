"""The speed profile is exact: equal to a plain loop, and blind to how a path is cut up."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.geometry.path import Path
from core.motion.profile import corner_speed_mm_s, speed_profile, travel_time_s
from tests.core.motion.cuts import drawn, facetted_ring, profile, ring, router, square, time_s

lengths = st.floats(0.01, 50.0)
speeds = st.floats(0.1, 120.0)
segments = st.lists(
    st.tuples(lengths, speeds, st.floats(0.0, 120.0), st.floats(200.0, 5000.0)), min_size=1
)


def plain_loop(length, limit, node, acceleration):
    """Return node speeds by the scan that everybody would write first."""
    cap = node.copy()
    for i in range(len(length)):
        cap[i] = min(cap[i], limit[i])
        cap[i + 1] = min(cap[i + 1], limit[i])
    square = cap**2
    for i in range(len(length)):
        square[i + 1] = min(square[i + 1], square[i] + 2.0 * acceleration[i] * length[i])
    for i in reversed(range(len(length))):
        square[i] = min(square[i], square[i + 1] + 2.0 * acceleration[i] * length[i])
    return np.sqrt(square)


@given(segments)
def test_the_running_minimum_equals_a_plain_loop(rows):
    length, limit, node, acceleration = map(np.array, zip(*rows, strict=True))
    nodes = np.append(node, 0.0)
    found = speed_profile(length, limit, nodes, acceleration)
    expected = plain_loop(length, limit, nodes, acceleration)
    # in energies, which is what the sums round: 1e-7 mm2/s2 is 1e-9 mm/s at 50 mm/s
    assert found.node_speed_mm_s**2 == pytest.approx(expected**2, abs=1e-7)


def test_a_long_polyline_equals_a_plain_loop_to_a_nanometre_a_second():
    draw = np.random.default_rng(3)
    length, limit = draw.exponential(1.0, 500) + 1e-3, draw.uniform(20.0, 100.0, 500)
    nodes = np.concatenate([[0.0], draw.uniform(1.0, 100.0, 499), [0.0]])
    acceleration = np.full(500, 2000.0)
    found = speed_profile(length, limit, nodes, acceleration)
    expected = plain_loop(length, limit, nodes, acceleration)
    assert found.node_speed_mm_s == pytest.approx(expected, abs=1e-9)


@given(segments)
def test_no_segment_accelerates_faster_than_it_may(rows):
    length, limit, node, acceleration = map(np.array, zip(*rows, strict=True))
    found = speed_profile(length, limit, np.append(node, 0.0), acceleration)
    speed = found.node_speed_mm_s
    gain = np.abs(np.diff(speed**2)) - 2.0 * acceleration * length
    assert (gain < 1e-6).all()
    assert (found.peak_mm_s <= limit * (1.0 + 1e-12)).all()


def test_a_stop_is_a_speed_of_exactly_zero():
    found = profile(square(50.0), router())
    assert found.node_speed_mm_s.tolist() == [0.0] * 5


def test_passes_do_not_leak_into_each_other():
    length, limit = np.array([1.0, 40.0, 1.0]), np.full(3, 99.0)
    one = speed_profile(length, limit, np.array([0.0, 99.0, 99.0, 0.0]), 1000.0)
    both = speed_profile(
        np.tile(length, 2),
        np.tile(limit, 2),
        np.array([0.0, 99.0, 99.0, 0.0, 99.0, 99.0, 0.0]),
        1000.0,
    )
    assert both.node_speed_mm_s[3:] == pytest.approx(one.node_speed_mm_s, abs=1e-9)


def cut_in_parts(path, parts):
    """Return the same path with every segment cut in equal parts."""
    points, bulges = [path.points[:1]], []
    seg = path.segments
    for i in range(len(seg)):
        sweep = seg.sweep_rad[i] / parts
        chord = seg.length_mm[i] / parts * np.sinc(sweep / 2.0 / math.pi)
        along = seg.heading_rad[i] + sweep * (np.arange(parts) + 0.5)
        steps = chord * np.column_stack([np.cos(along), np.sin(along)])
        points.append(seg.start[i] + np.cumsum(steps, axis=0))
        bulges += [math.tan(sweep / 4.0)] * parts
    return Path(np.concatenate(points), np.array(bulges), closed=False)


SHAPES = [
    square(20.0),
    ring(4.0),
    facetted_ring(10.0, 200),
    drawn(("line", 30.0), ("turn", 0.6), ("arc", 5.0, -2.0), ("turn", -0.03), ("line", 12.0)),
]


@pytest.mark.parametrize("path", SHAPES)
@pytest.mark.parametrize("deviation", [None, 0.05])
@pytest.mark.parametrize("parts", [2, 7])
def test_cutting_segments_in_parts_changes_nothing(path, deviation, parts):
    machine = router(corner_deviation_mm=deviation)
    assert time_s(cut_in_parts(path, parts), machine) == pytest.approx(
        time_s(path, machine), abs=1e-9
    )


@pytest.mark.parametrize("count", [100, 256, 1024])
def test_a_circle_drawn_in_facets_runs_like_the_arc(count):
    machine = router(2000.0)
    facets = np.median(profile(facetted_ring(7.0, count), machine, 400.0).node_speed_mm_s)
    assert facets == pytest.approx(math.sqrt(2000.0 * 7.0), rel=2e-3)


@pytest.mark.parametrize("count", [64, 256])
@pytest.mark.parametrize("deviation", [0.1, 1.0])
def test_a_generous_deviation_does_not_run_a_facetted_circle_faster_than_its_arc(count, deviation):
    machine = router(2000.0, corner_deviation_mm=deviation)
    found = profile(facetted_ring(7.0, count), machine, 400.0)
    assert found.node_speed_mm_s.max() <= math.sqrt(2000.0 * 7.0)


def test_a_deviation_lets_the_cutter_through_a_corner_without_a_stop():
    found = profile(square(50.0), router(corner_deviation_mm=0.01))
    assert found.node_speed_mm_s[1] == pytest.approx(4.9135, abs=1e-4)


@given(st.floats(0.0, math.pi), st.floats(1e-4, 1.0), st.floats(1e-3, 100.0))
def test_a_rounded_corner_never_asks_for_more_than_the_centripetal_limit(turn, deviation, fit):
    speed = float(corner_speed_mm_s(turn, deviation, fit, 1000.0))
    assert speed**2 / fit <= 1000.0 * (1.0 + 1e-9)


@given(st.floats(0.0, 2000.0))
def test_a_straight_move_takes_as_long_as_its_profile(way):
    expected = speed_profile(np.array([way + 1e-9]), np.array([400.0]), np.zeros(2), 1500.0)
    assert float(travel_time_s(way + 1e-9, 400.0, 1500.0)) == pytest.approx(
        float(expected.time_s[0]), rel=1e-9
    )
