"""Motion against closed forms, ruckig, and the printed results of toppra."""

import math

import numpy as np
import pytest

from core.motion import move
from core.motion.jerk import jerk_times_s
from core.motion.profile import corner_speed_mm_s
from core.motion.reached import feed_per_tooth_reached_mm, spreads, thin_places
from tests.core.motion.cuts import (
    FEED_MM_S,
    cut_pass,
    drawn,
    facetted_ring,
    jerk_time_s,
    obround,
    profile,
    ring,
    rounded_rectangle,
    router,
    square,
    star,
    time_s,
)

ONE = np.array([18_000.0]), np.array([1.0])
"""Spindle speed and edges of the reference cut: 6 mm, one edge, 0.33 mm, 5.94 m/min."""


# uniform acceleration, closed form: 1e-6 s
@pytest.mark.parametrize(
    ("length", "acceleration", "seconds"),
    [(100.0, 1000.0, 1.109101), (100.0, 3000.0, 1.043101), (5.0, 1000.0, 0.1414214)],
)
def test_a_line_from_rest_to_rest(length, acceleration, seconds):
    assert time_s(drawn(("line", length)), router(acceleration)) == pytest.approx(seconds, abs=1e-6)


# ruckig 0.19.4, printed to six digits: 5e-6 of the value
@pytest.mark.parametrize(
    ("length", "before", "after", "acceleration", "jerk", "seconds"),
    [
        (100.0, 0.0, 0.0, 2000.0, 50_000.0, 1.099601),
        (5.0, 0.0, 0.0, 2000.0, 50_000.0, 0.147361),
        (1.0, 0.0, 0.0, 2000.0, 50_000.0, 0.086177),
        (20.0, 0.0, 44.7, 2000.0, 50_000.0, 0.264845),
        (10.0, 44.7, 0.0, 1000.0, 20_000.0, 0.209622),
        (50.0, 99.0, 44.7, 2000.0, 50_000.0, 0.523126),
    ],
)
def test_an_s_curve(length, before, after, acceleration, jerk, seconds):
    leg = np.array([length]), np.array([99.0]), np.array([before, after])
    assert float(jerk_times_s(*leg, acceleration, jerk)[0]) == pytest.approx(seconds, rel=5e-6)


# ruckig 0.19.4; a double-S in closed form (Biagiotti and Melchiorri) matched to 9 digits: 1e-8 s
@pytest.mark.parametrize(
    ("length", "speed", "acceleration", "jerk", "seconds"),
    [
        (500.0, 200.0, 1000.0, 20_000.0, 2.750),
        (50.0, 200.0, 1000.0, 20_000.0, 0.500),
        (10.0, 200.0, 1000.0, 20_000.0, 0.256155281),
        (0.5, 200.0, 1000.0, 20_000.0, 0.092831777),
        (1000.0, 166.6667, 500.0, 5000.0, 6.4333322),
        (500.0, 200.0, 1000.0, 1e12, 2.700),
        (40.0, 200.0, 1000.0, 1e12, 0.400),
        (10.0, 200.0, 1000.0, 1e12, 0.200),
    ],
)
def test_a_double_s(length, speed, acceleration, jerk, seconds):
    leg = np.array([length]), np.array([speed]), np.zeros(2)
    assert float(jerk_times_s(*leg, acceleration, jerk)[0]) == pytest.approx(seconds, abs=5e-8)


def test_a_short_s_curve():
    # T = (32 L / j)^(1/3) for L <= 2 a^3 / j^2, closed form: 1e-9 s
    leg = np.array([1.0]), np.array([1000.0]), np.zeros(2)
    assert float(jerk_times_s(*leg, 2000.0, 50_000.0)[0]) == pytest.approx(
        (32.0 / 50_000.0) ** (1.0 / 3.0), abs=1e-9
    )


# sum of ruckig's legs, printed to 1e-6 s
@pytest.mark.parametrize(
    ("path", "seconds"),
    [
        (square(50.0), 2.378202),
        (star(), 3.064973),
        (rounded_rectangle(100.0, 60.0, 5.0), 3.235115),
        (rounded_rectangle(100.0, 60.0, 1.0), 3.526027),
        (obround(30.0, 3.0), 0.956972),
    ],
)
def test_contours_with_jerk_are_the_sum_of_their_legs(path, seconds):
    assert jerk_time_s(path, router(2000.0)) == pytest.approx(seconds, abs=2e-6)


# toppra 0.6.10, time-optimal with |a| <= a on each axis; printed by tests/studies/path_timing.py
TOPPRA_S = [
    (rounded_rectangle(100.0, 60.0, 5.0), 1000.0, 3.39010, 0.41, 5.8),
    (rounded_rectangle(100.0, 60.0, 5.0), 3000.0, 3.17862, 0.00, 0.4),
    (rounded_rectangle(100.0, 60.0, 2.0), 1000.0, 3.55527, 0.41, 5.8),
    (rounded_rectangle(100.0, 60.0, 2.0), 3000.0, 3.26627, 0.18, 2.0),
    (obround(30.0, 3.0), 1000.0, 1.07748, 1.04, 14.7),
    (obround(30.0, 3.0), 3000.0, 0.83349, 0.53, 7.1),
    (ring(2.0), 1000.0, 0.31946, 1.96, 21.3),
    (ring(2.0), 3000.0, 0.18444, 1.96, 21.3),
    (star(1.0), 1000.0, 2.80569, 3.12, 17.7),
    (star(1.0), 3000.0, 2.20782, 1.19, 7.4),
]


@pytest.mark.parametrize(("path", "acceleration", "optimal", "ours", "strict"), TOPPRA_S)
def test_against_the_time_optimal_motion(path, acceleration, optimal, ours, strict):
    # 0 to 3.12 % slower than the optimum; with a / sqrt 2 up to 21 %: printed digits
    machine, careful = router(acceleration), router(acceleration / math.sqrt(2.0))
    assert 100.0 * (time_s(path, machine) / optimal - 1.0) == pytest.approx(ours, abs=0.01)
    assert 100.0 * (time_s(path, careful) / optimal - 1.0) == pytest.approx(strict, abs=0.06)


def plateau_mm(diameter, acceleration):
    """Return the chip load on the plateau of a hole, 6 mm cutter, and the pass's samples."""
    motion = move([cut_pass(ring((diameter - 6.0) / 2.0))], router(acceleration))
    reached = feed_per_tooth_reached_mm(motion.along, *ONE)
    return motion, float(reached.max())


# v = sqrt(a r), closed form; times of the whole circle from rest to rest: printed digits
@pytest.mark.parametrize(
    ("diameter", "acceleration", "m_min", "chip_load", "mean", "seconds", "with_jerk"),
    [
        (10, 1000.0, 2.683, 0.14907, 0.129, 0.326, 0.346),
        (10, 2000.0, 3.795, 0.21082, 0.182, 0.230, 0.270),
        (10, 3000.0, 4.648, 0.25820, 0.223, 0.188, 0.241),
        (20, 1000.0, 5.020, 0.27889, 0.241, 0.609, 0.629),
        (20, 2000.0, 5.94, 0.33, 0.297, 0.494, None),
        (20, 3000.0, 5.94, 0.33, 0.307, 0.477, None),
        (50, 1000.0, 5.94, 0.33, 0.308, 1.495, None),
        (50, 3000.0, 5.94, 0.33, 0.322, 1.429, None),
    ],
)
def test_the_chip_load_in_holes(diameter, acceleration, m_min, chip_load, mean, seconds, with_jerk):
    motion, reached = plateau_mm(diameter, acceleration)
    assert reached == pytest.approx(chip_load, abs=5e-6)
    assert reached * 18.0 == pytest.approx(m_min, abs=6e-4)
    along = motion.along
    load = feed_per_tooth_reached_mm(along, *ONE)
    assert (load * along.time_weight_s).sum() / motion.cutting_s[0] == pytest.approx(mean, abs=6e-4)
    assert motion.cutting_s[0] == pytest.approx(seconds, abs=6e-4)
    if with_jerk is not None:
        assert motion.cutting_jerk_s[0] == pytest.approx(with_jerk, abs=6e-4)


@pytest.mark.parametrize(
    ("diameter", "acceleration", "below", "per_cent"),
    [
        (10, 1000.0, 0.1, 18),
        (10, 1000.0, 0.2, 100),
        (10, 2000.0, 0.1, 13),
        (10, 2000.0, 0.2, 26),
        (10, 3000.0, 0.2, 21),
        (20, 1000.0, 0.1, 10),
        (50, 3000.0, 0.2, 2.8),
    ],
)
def test_time_with_a_thin_chip_in_holes(diameter, acceleration, below, per_cent):
    # closed form; printed digits (0.7 percentage points)
    motion, _ = plateau_mm(diameter, acceleration)
    thin = thin_places(motion.along, np.array([below]), *ONE)
    share = thin.revolutions[0] / 300.0 / motion.cutting_s[0]
    assert 100.0 * share == pytest.approx(per_cent, abs=0.7)


# a square corner with an exact stop, both sides together, closed form 2 v / a: printed digits
@pytest.mark.parametrize(
    ("acceleration", "below", "ms", "turns"),
    [
        (1000.0, 0.2, 120, 36),
        (1000.0, 0.1, 60, 18),
        (1000.0, 0.05, 30, 9),
        (1000.0, 0.02, 12, 3.6),
        (2000.0, 0.1, 30, 9),
        (3000.0, 0.1, 20, 6),
        (3000.0, 0.02, 4, 1.2),
    ],
)
def test_thin_chip_at_a_square_corner(acceleration, below, ms, turns):
    motion = move([cut_pass(square(200.0))], router(acceleration))
    thin = thin_places(motion.along, np.array([below]), *ONE)
    # four stops on a square from corner to corner: half a stop at either end
    assert thin.revolutions[0] / 4.0 == pytest.approx(turns, rel=1e-6)
    assert thin.revolutions[0] / 4.0 / 300.0 * 1000.0 == pytest.approx(ms, rel=1e-6)


@pytest.mark.parametrize(
    ("acceleration", "ramp_mm"), [(1000.0, 4.90), (2000.0, 2.45), (3000.0, 1.63)]
)
def test_the_way_to_full_feed(acceleration, ramp_mm):
    # v^2 / 2a, closed form: last digit
    along = move([cut_pass(square(200.0))], router(acceleration)).along
    full = along.s_mm[np.flatnonzero(along.speed_mm_s >= FEED_MM_S - 1e-9)[0]]
    assert full == pytest.approx(ramp_mm, abs=0.005)


@pytest.mark.parametrize(
    ("side", "acceleration", "per_cent"),
    [
        (5, 1000.0, 42),
        (5, 3000.0, 24),
        (10, 1000.0, 30),
        (10, 3000.0, 15),
        (20, 1000.0, 20),
        (20, 3000.0, 8.5),
        (50, 1000.0, 10),
        (50, 3000.0, 3.7),
        (200, 1000.0, 3),
        (200, 3000.0, 1.1),
    ],
)
def test_share_of_time_with_a_thin_chip_on_squares(side, acceleration, per_cent):
    # closed form; printed digits (3 % of the value or half a point)
    motion = move([cut_pass(square(float(side)))], router(acceleration))
    thin = thin_places(motion.along, np.array([0.1]), *ONE)
    share = 100.0 * thin.revolutions[0] / 300.0 / motion.cutting_s[0]
    assert share == pytest.approx(per_cent, rel=0.03, abs=0.5)


# inscribed arc, derived; turn of 90 degrees at 1 m/s2: last digit of the chip load
@pytest.mark.parametrize(("deviation", "load"), [(0.01, 0.016), (0.05, 0.037), (0.2, 0.073)])
def test_the_chip_load_through_a_rounded_corner(deviation, load):
    speed = float(corner_speed_mm_s(math.pi / 2.0, deviation, np.inf, 1000.0))
    assert speed / 300.0 == pytest.approx(load, abs=5e-4)


@pytest.mark.parametrize("count", [64, 256, 1024])
@pytest.mark.parametrize("deviation", [0.01, 0.1])
def test_a_facetted_circle_runs_at_7_10_m_min(count, deviation):
    # sqrt(a r) for r 7 mm at 2 m/s2 = 7.10 m/min; never more, whatever the deviation
    machine = router(2000.0, corner_deviation_mm=deviation)
    speed = np.median(profile(facetted_ring(7.0, count), machine, 1000.0).node_speed_mm_s)
    assert speed * 0.06 == pytest.approx(7.10, abs=0.02)


def test_a_slower_spindle_keeps_the_time_and_restores_the_chip():
    # hole 10 mm at 1 m/s2: 18 000 -> 8131 rpm keeps 0.326 s and 0.33 mm (closed form: last digit)
    motion, _ = plateau_mm(10, 1000.0)
    along = motion.along
    reached = feed_per_tooth_reached_mm(along, np.array([8131.0]), np.array([1.0]))
    assert float(spreads(reached, along).max[0]) == pytest.approx(0.33, abs=5e-5)
