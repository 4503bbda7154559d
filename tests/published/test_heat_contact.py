"""Contact times in closed form, against printed values and against following the cutter.

Printed values: D 6 mm, spring-back 2 um; tolerance 1 %. Following the cutter: the time in which the
circumference is nearer to the wall point than the spring-back, summed over steps of 0.2 um of way.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.geometry.path import Path, points_on
from core.heat.contact import Timeline, find_runs, half_ways_mm
from core.motion.move import move
from tests.core.heat.cards import MACHINE, arc, corner, cut_pass, line, rounded

SPRING_BACK_MM = 0.002
RADIUS_MM = 3.0


def contacts_s(path: Path, wall_side: int, acceleration_mm_s2: float, feed_per_tooth_mm=0.33):
    """Contact time at every sample: closed form, timeline and runs."""
    cut = cut_pass(path, wall_side=wall_side, feed_per_tooth_mm=feed_per_tooth_mm)
    along = move([cut], replace(MACHINE, acceleration_mm_s2=acceleration_mm_s2)).along
    runs = find_runs(along, np.array([wall_side]), np.array([RADIUS_MM]))
    timeline, of = Timeline(along), along.pass_index
    radius = np.full(len(of), RADIUS_MM)
    back, ahead = half_ways_mm(runs, runs.of_sample, along.s_mm, radius, SPRING_BACK_MM)
    begin, end = timeline.at(along.s_mm - back, of)[0], timeline.at(along.s_mm + ahead, of)[0]
    return end - begin, timeline, runs


@pytest.mark.parametrize(
    ("path", "wall_side", "feed", "printed_ms"),
    [
        (line(20.0), 1, 0.33, 2.213),
        (arc(2.0, math.pi), -1, 0.149, 3.100),
        (arc(8.0, math.pi), 1, 0.149, 6.200),
    ],
)
def test_printed_contact_times(path, wall_side, feed, printed_ms):
    """Straight at 99 mm/s; in a hole of 10 mm and round a convex radius of 5 mm at 44.7 mm/s."""
    contact, _, _ = contacts_s(path, wall_side, 1e6, feed)
    assert 1e3 * contact[len(contact) // 2] == pytest.approx(printed_ms, rel=0.01)


def test_a_stop_on_a_straight_wall():
    """1 m/s2, both sides of a slight corner that the machine stops at: 29.60 ms."""
    contact, _, _ = contacts_s(corner(20.0, -0.1), -1, 1000.0)
    assert 1e3 * contact.max() == pytest.approx(29.60, rel=0.01)


def test_a_corner_that_leads_away_from_the_wall_halves_the_stop():
    contact, _, _ = contacts_s(corner(20.0, math.pi / 2), -1, 1000.0)
    assert 1e3 * contact.max() < 29.60 * 0.75


def followed_s(path: Path, wall_side: int, timeline: Timeline, s_mm: float, segment: int) -> float:
    """Follow the cutter past the wall point beside `s_mm` on a segment of the path."""
    seg = path.segments
    ends = np.concatenate([[0.0], np.cumsum(seg.length_mm)])
    share = np.array([(s_mm - ends[segment]) / seg.length_mm[segment]])
    heading = seg.heading_rad[segment] + seg.sweep_rad[segment] * share[0]
    left = np.array([-math.sin(heading), math.cos(heading)])
    centre = points_on(seg, np.array([segment]), share)[0]
    wall = centre + wall_side * RADIUS_MM * left
    way = np.arange(max(s_mm - 6.0, 0.0), min(s_mm + 6.0, ends[-1]), 2e-4)
    which = np.clip(np.searchsorted(ends, way, "right") - 1, 0, len(seg) - 1)
    places = points_on(seg, which, (way - ends[which]) / seg.length_mm[which])
    near = ((places - wall) ** 2).sum(axis=1) <= (RADIUS_MM + SPRING_BACK_MM) ** 2
    time = timeline.at(way, np.zeros(len(way), np.intp))[0]
    return float(np.gradient(time)[near].sum())


@pytest.mark.parametrize(
    ("path", "wall_side"),
    [
        (corner(20.0, math.pi / 2), -1),
        (corner(20.0, math.pi / 3), -1),
        (corner(20.0, 2 * math.pi / 3), -1),
        (rounded(20.0, 0.05, math.pi / 2), -1),
        (rounded(20.0, 0.2, math.pi / 2), -1),
        (rounded(20.0, 2.0, math.pi / 2), -1),
        (rounded(20.0, 3.2, math.pi / 2), 1),
        (rounded(20.0, 5.0, math.pi / 2), 1),
        (rounded(20.0, 3.0, math.pi / 2), 1),
    ],
    ids=lambda value: "" if isinstance(value, Path) else str(value),
)
def test_closed_form_against_following_the_cutter(path, wall_side):
    """Inside corners with a stop, small fillets, convex and rolled corners; within 3 %."""
    contact, timeline, runs = contacts_s(path, wall_side, 1000.0)
    along = timeline.along
    bends = np.cumsum(path.segments.length_mm)[:-1]
    chosen = [
        i
        for i in range(len(along.s_mm))
        if 5.0 < along.s_mm[i] < along.s_mm[-1] - 5.0 and np.abs(along.s_mm[i] - bends).min() < 1.5
    ]
    assert len(chosen) > 5
    # a joint of two segments is two samples at one place
    segment = (np.diff(along.s_mm, prepend=-1.0) == 0.0).cumsum()
    for i in chosen[:: max(len(chosen) // 12, 1)]:
        by_steps = followed_s(path, wall_side, timeline, along.s_mm[i], int(segment[i]))
        assert contact[i] == pytest.approx(by_steps, rel=0.03)
    assert len(runs.pass_index) >= 2
