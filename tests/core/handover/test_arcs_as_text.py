"""Paths as blocks: full circles, arcs across quadrants, tiny and flat ones, on the digits."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.geometry.path import Path, circle
from core.handover.nc_arcs import blocks
from core.handover.nc_arcs_read import STEPS_OFF
from core.handover.nc_grid import Grid
from core.library.nc_records import ArcStyle, LongestArc, NcSettings


def opened(path):
    return Path(np.vstack([path.points, path.points[:1]]), path.bulges, closed=False)


def grid(**settings):
    return Grid(NcSettings(**settings))


def arc(start, centre, sweep_deg):
    turn = math.radians(sweep_deg)
    away = np.array(start) - np.array(centre)
    cos, sin = math.cos(turn), math.sin(turn)
    end = centre + np.array([cos * away[0] - sin * away[1], sin * away[0] + cos * away[1]])
    return Path(np.array([start, end]), np.array([math.tan(turn / 4.0)]), closed=False)


def traced(path, made, on):
    """Return the greatest distance of the written blocks from the path, at their thirds. [mm]."""
    from core.geometry.distance import distance_to

    here, worst = np.array(on.place(*path.points[0]), float), 0.0
    for block in made:
        end = np.array(block.end, float)
        for share in (1 / 3, 2 / 3, 1.0):
            if block.centre is None:
                at = here + (end - here) * share
            else:
                centre = np.array(block.centre, float)
                turn = block.sweep_rad * share
                x, y = here - centre
                cos, sin = math.cos(turn), math.sin(turn)
                at = centre + np.array([cos * x - sin * y, sin * x + cos * y])
            worst = max(worst, float(distance_to(path, at * on.step_mm)[0]))
        here = end
    return worst


@pytest.mark.parametrize(
    ("longest", "count"),
    [(LongestArc.WHOLE, 1), (LongestArc.HALF, 2), (LongestArc.QUARTER, 4)],
)
def test_a_full_circle_is_as_many_blocks_as_the_control_wants(longest, count):
    path = opened(circle((10.0, 20.0), 4.0))
    made = blocks(path, grid(longest_arc=longest))
    assert len(made) == count
    assert made[-1].end == (14_000, 20_000)
    assert sum(b.sweep_rad for b in made) == pytest.approx(2.0 * math.pi)
    assert {b.centre for b in made} == {(10_000, 20_000)}


def test_quarters_end_where_the_circle_crosses_the_axes():
    path = arc((10.0, 1.0), (0.0, 0.0), 170.0)
    made = blocks(path, grid(longest_arc=LongestArc.QUARTER))
    assert [b.end for b in made][:1] == [(0, round(1000 * math.hypot(10.0, 1.0)))]
    assert len(made) == 2


def test_radii_come_in_quarters_so_that_the_centre_is_never_in_doubt():
    made = blocks(opened(circle((0.0, 0.0), 4.0)), grid(arc_style=ArcStyle.RADIUS))
    assert len(made) == 4


def test_two_laps_are_two_whole_circles():
    ring = opened(circle((0.0, 0.0), 4.0))
    laps = Path(np.vstack([ring.points, ring.points[1:]]), np.tile(ring.bulges, 2), closed=False)
    made = blocks(laps, grid(longest_arc=LongestArc.WHOLE))
    assert [round(b.sweep_rad / math.pi, 9) for b in made] == [2.0, 2.0]
    assert [round(b.share, 9) for b in made] == [0.5, 1.0]


def test_an_arc_smaller_than_the_digits_is_no_arc():
    made = blocks(arc((0.005, 0.0), (0.0, 0.0), 180.0), grid())
    assert all(b.centre is None for b in made)
    assert made[-1].end == (-5, 0)


def test_an_arc_too_flat_for_the_digits_is_a_line():
    (made,) = blocks(arc((5000.0, 0.0), (0.0, 0.0), 0.02), grid())
    assert made.centre is None or abs(made.sweep_rad) == pytest.approx(math.radians(0.02), rel=0.01)


def test_an_arc_larger_than_the_control_takes_becomes_chords_within_the_error():
    path = arc((300.0, 0.0), (0.0, 0.0), 40.0)
    on = grid(largest_radius_mm=200.0)
    made = blocks(path, on)
    assert len(made) > 50
    assert traced(path, made, on) < 0.002 + 0.001


def test_nothing_is_written_for_a_way_shorter_than_a_digit():
    path = Path(np.array([[0.0, 0.0], [1e-5, 0.0], [1.0, 0.0]]), np.zeros(2), closed=False)
    assert len(blocks(path, grid())) == 1


@settings(max_examples=150, deadline=None)
@given(
    st.floats(0.02, 300.0),
    st.floats(-math.pi, math.pi),
    st.floats(0.5, 180.0),
    st.sampled_from([-1.0, 1.0]),
    st.sampled_from(list(LongestArc)),
)
def test_what_is_written_of_an_arc_stays_on_it_and_agrees_with_itself(
    radius, begin, sweep, side, longest
):
    centre = np.array([123.4567, 89.0123])
    start = centre + radius * np.array([math.cos(begin), math.sin(begin)])
    path = arc(tuple(start), tuple(centre), side * sweep)
    on = grid(longest_arc=longest)
    made = blocks(path, on)
    assert traced(path, made, on) < 0.0025
    here = on.place(*path.points[0])
    for block in made:
        if block.centre is not None:
            one = math.dist(here, block.centre)
            other = math.dist(block.end, block.centre)
            assert abs(one - other) <= STEPS_OFF
        here = block.end


@pytest.mark.parametrize(
    ("steps", "text"), [(0, "0.000"), (-1, "-0.001"), (12345, "12.345"), (-20000, "-20.000")]
)
def test_every_digit_is_written(steps, text):
    assert grid().written(steps) == text


def test_a_feed_is_rounded_down_so_that_it_passes_no_limit():
    assert grid().feed(3420.19) == "3420.1"
    assert grid(feed_decimals=0).feed(3420.99) == "3420"
    assert grid(length_unit="in").feed(2540.0) == "100.0"
