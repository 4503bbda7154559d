"""The time with jerk: equal to the fastest point-to-point motion, leg by leg."""

import numpy as np
import pytest
import ruckig
from hypothesis import given
from hypothesis import strategies as st

from core.motion.jerk import jerk_times_s, ramp, reach_mm_s
from core.motion.profile import speed_profile
from tests.core.motion.cuts import (
    jerk_time_s,
    obround,
    ring,
    rounded_rectangle,
    router,
    square,
    star,
    time_s,
)


def fastest_s(way, before, after, limit, acceleration, jerk):
    """Return the duration of ruckig's motion from point to point."""
    wish, found = ruckig.InputParameter(1), ruckig.Trajectory(1)
    wish.current_position, wish.target_position = [0.0], [way]
    wish.current_velocity, wish.target_velocity = [before], [after]
    wish.max_velocity, wish.max_acceleration, wish.max_jerk = [limit], [acceleration], [jerk]
    ruckig.Ruckig(1).calculate(wish, found)
    return found.duration


@pytest.mark.parametrize("acceleration", [1000.0, 3000.0])
@pytest.mark.parametrize("jerk", [20_000.0, 50_000.0, 200_000.0])
@pytest.mark.parametrize("way", [0.5, 3.0, 20.0, 100.0])
@pytest.mark.parametrize("ends", [(0.0, 0.0), (0.0, 20.0), (20.0, 20.0), (44.7, 30.0)])
def test_a_leg_takes_as_long_as_the_fastest_motion(way, ends, acceleration, jerk):
    fits = float(ramp(np.array([ends[0]]), np.array([ends[1]]), acceleration, jerk)[0][0])
    leg = way + fits
    ours = jerk_times_s(np.array([leg]), np.array([99.0]), np.array(ends), acceleration, jerk)
    theirs = fastest_s(leg, *ends, 99.0, acceleration, jerk)
    assert float(ours[0]) == pytest.approx(theirs, rel=1e-5)


@given(st.floats(0.0, 100.0), st.floats(1e-3, 100.0), st.floats(500.0, 5000.0))
def test_a_ramp_to_the_reached_speed_uses_the_whole_way(before, way, acceleration):
    top = reach_mm_s(np.array([before]), np.array([way]), acceleration, 30_000.0)
    assert ramp(np.array([before]), top, acceleration, 30_000.0)[0][0] == pytest.approx(
        way, rel=1e-6
    )


@given(
    st.lists(
        st.tuples(st.floats(0.05, 40.0), st.floats(5.0, 100.0), st.floats(0.0, 100.0)), min_size=1
    )
)
def test_jerk_never_makes_a_contour_faster(rows):
    length, limit, node = map(np.array, zip(*rows, strict=True))
    without = speed_profile(length, limit, np.append(node, 0.0), 2000.0)
    with_jerk = jerk_times_s(length, limit, without.node_limit_mm_s, 2000.0, 50_000.0)
    assert with_jerk.sum() >= without.time_s.sum() * (1.0 - 1e-9)


@pytest.mark.parametrize(
    "path", [square(50.0), star(), star(1.0), rounded_rectangle(100.0, 60.0, 5.0), obround(30.0, 3)]
)
def test_the_bracket_closes_as_the_jerk_grows(path):
    low = time_s(path, router(2000.0))
    high = jerk_time_s(path, router(2000.0, jerk_mm_s3=1e9))
    assert high == pytest.approx(low, rel=1e-3)


def test_every_ramp_from_a_stop_costs_acceleration_over_jerk():
    machine = router(2000.0, jerk_mm_s3=50_000.0)
    extra = jerk_time_s(square(50.0), machine) - time_s(square(50.0), machine)
    assert extra == pytest.approx(4 * 2000.0 / 50_000.0, abs=1e-9)


def test_a_circle_in_two_arcs_is_one_run():
    machine = router(2000.0)
    plateau = (2000.0 * 2.0) ** 0.5
    one = jerk_times_s(
        np.array([4.0 * np.pi]), np.array([plateau]), np.zeros(2), 2000.0, machine.jerk_mm_s3
    )
    assert jerk_time_s(ring(2.0), machine) == pytest.approx(float(one[0]), abs=1e-9)
