"""Passes on a machine: leads, plunges and corners."""

import math

import numpy as np
import pytest

from core.errors import PlanError
from core.geometry.path import Path
from core.motion import move, rapid_time_s, spindle_ramp_s
from core.plan.records import Entry
from tests.core.motion.cuts import FEED_MM_S, cut_pass, drawn, profile, ring, router, square

CUT = drawn(("line", 200.0))


def before(length, turn=0.0):
    """Return a straight way in that ends at the origin, turned against the cut."""
    direction = np.array([math.cos(turn), math.sin(turn)])
    return Path(np.array([-length * direction, [0.0, 0.0]]), np.zeros(1), closed=False)


def after(length):
    """Return a straight way out that goes on from the cut."""
    return Path(np.array([[200.0, 0.0], [200.0 + length, 0.0]]), np.zeros(1), closed=False)


def test_a_cut_with_long_tangential_leads_runs_at_full_feed_from_end_to_end():
    motion = move([cut_pass(CUT, before(120.0), after(20.0), drop_mm=0.1)], router())
    assert motion.cutting_s[0] == pytest.approx(200.0 / FEED_MM_S, abs=1e-9)


def test_without_leads_the_cut_starts_and_ends_at_rest():
    motion = move([cut_pass(CUT)], router())
    assert motion.along.speed_mm_s[[0, -1]].tolist() == [0.0, 0.0]


def test_a_sharp_corner_into_the_cut_is_a_stop_on_the_wall():
    motion = move([cut_pass(CUT, before(120.0, turn=0.5), after(20.0))], router())
    assert motion.along.speed_mm_s[0] == 0.0
    assert motion.along.corner_rad[0] == pytest.approx(-0.5)


def test_a_ramp_goes_down_no_faster_than_the_plunge_speed():
    # 30 degrees: 12 mm down on 20.78 mm of way, 24 mm in space, at 20 mm/s down = 40 mm/s
    way = 12.0 / math.tan(math.radians(30.0))
    slow = move([cut_pass(CUT, before(way), after(5.0), drop_mm=12.0)], router(1e9))
    assert slow.entering_s[0] == pytest.approx(24.0 / 40.0 + 5.0 / FEED_MM_S, rel=1e-3)


def test_a_gentle_ramp_runs_at_the_feed_of_the_pass():
    way = 6.0 / math.tan(math.radians(3.0))
    motion = move([cut_pass(CUT, before(way), after(5.0))], router(1e9))
    in_space = 6.0 / math.sin(math.radians(3.0))
    assert motion.entering_s[0] == pytest.approx((in_space + 5.0) / FEED_MM_S, rel=1e-3)


def test_a_plunge_adds_a_straight_move_down():
    leads = before(20.0), after(20.0)
    level = move([cut_pass(CUT, *leads, drop_mm=0.0)], router()).entering_s[0]
    plunged = move([cut_pass(CUT, *leads, kind=Entry.PLUNGE)], router()).entering_s[0]
    assert plunged - level == pytest.approx(6.0 / 20.0 + 20.0 / 1000.0, abs=1e-9)


def test_a_drop_without_a_way_in_is_a_plunge():
    motion = move([cut_pass(CUT)], router())
    assert motion.entering_s[0] == pytest.approx(6.0 / 20.0 + 20.0 / 1000.0, abs=1e-9)


def test_a_helix_is_bound_by_its_radius_in_space():
    # 45 degrees down on a radius of 2 mm: curvature in space is half
    turn = Path(np.array([[0.0, 0.0], [0.0, 4.0], [0.0, 0.0]]), np.ones(2), closed=False)
    drop = 4.0 * math.pi
    slow = router(1000.0, plunge_mm_min=1e6)
    motion = move([cut_pass(CUT, turn, after(5.0), kind=Entry.HELIX, drop_mm=drop)], slow)
    plateau = math.sqrt(1000.0 * 4.0)
    assert motion.entering_s[0] > math.sqrt(2.0) * drop / plateau


def test_jobs_are_moved_as_their_passes_are_alone():
    passes = [cut_pass(CUT, before(60.0), after(9.0)), cut_pass(ring(2.0)), cut_pass(square(10.0))]
    together = move(passes, router())
    alone = [move([one], router()) for one in passes]
    assert together.cutting_s == pytest.approx([m.cutting_s[0] for m in alone], abs=1e-9)
    assert together.entering_s == pytest.approx([m.entering_s[0] for m in alone], abs=1e-9)
    assert together.cutting_jerk_s == pytest.approx([m.cutting_jerk_s[0] for m in alone], abs=1e-9)


def test_a_toolpath_without_a_cut_is_refused():
    nothing = Path(np.array([[0.0, 0.0], [0.0, 0.0]]), np.zeros(1), closed=False)
    with pytest.raises(PlanError, match="main cut"):
        move([cut_pass(nothing)], router())


def test_no_passes_make_no_motion():
    motion = move([], router())
    assert len(motion.along.s_mm) == len(motion.cutting_s) == 0


def test_segments_without_length_make_no_corner():
    twice = Path(
        np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 0.0], [100.0, 0.0]]), np.zeros(3), closed=False
    )
    motion = move([cut_pass(twice)], router())
    assert motion.cutting_s[0] == pytest.approx(100.0 / FEED_MM_S + FEED_MM_S / 1000.0, abs=1e-9)


@pytest.mark.parametrize(("turn_deg", "stops"), [(4.9, False), (5.1, True)])
def test_only_turns_above_five_degrees_are_sharp_corners(turn_deg, stops):
    path = drawn(("line", 80.0), ("turn", math.radians(turn_deg)), ("line", 80.0))
    assert bool(profile(path, router()).node_speed_mm_s[1] == 0.0) is stops


def test_a_rapid_is_a_trapezoid():
    assert rapid_time_s(1000.0, router()) == pytest.approx(1000.0 / 400.0 + 0.4, abs=1e-9)


def test_a_spindle_ramps_both_ways_at_its_rate():
    assert spindle_ramp_s(18_000.0, 8000.0, router()) == spindle_ramp_s(8000.0, 18_000.0, router())
    assert spindle_ramp_s(18_000.0, 8000.0, router()) == 2.5
