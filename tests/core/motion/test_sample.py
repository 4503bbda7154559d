"""Samples: exact in way and time, dense where the machine is slow."""

import numpy as np
import pytest

from core.motion import move
from core.motion.reached import feed_per_tooth_reached_mm, spreads, thin_places
from tests.core.motion.cuts import (
    cut_pass,
    facetted_ring,
    obround,
    profile,
    ring,
    rounded_rectangle,
    router,
    square,
    star,
)

SHAPES = {
    "square": square(50.0),
    "small square": square(3.0),
    "star": star(),
    "filleted star": star(1.0),
    "rounded rectangle": rounded_rectangle(100.0, 60.0, 5.0),
    "obround": obround(30.0, 3.0),
    "hole": ring(2.0),
    "facets": facetted_ring(20.0, 300),
}
ONE = np.array([18_000.0]), np.array([1.0])


@pytest.fixture(scope="module")
def motion():
    return move([cut_pass(path) for path in SHAPES.values()], router())


def test_the_weights_add_up_to_way_and_time(motion):
    along, begin = motion.along, motion.along.first[:-1]
    length = [path.length_mm for path in SHAPES.values()]
    assert np.add.reduceat(along.length_weight_mm, begin) == pytest.approx(length, abs=1e-9)
    assert np.add.reduceat(along.time_weight_s, begin) == pytest.approx(motion.cutting_s, abs=1e-9)


def test_every_pass_runs_from_its_start_to_its_end(motion):
    along = motion.along
    assert along.s_mm[along.first[:-1]].tolist() == [0.0] * len(SHAPES)
    ends = along.first[1:] - 1
    assert along.s_mm[ends] == pytest.approx([p.length_mm for p in SHAPES.values()], abs=1e-9)
    assert along.time_s[ends] == pytest.approx(motion.cutting_s, abs=1e-9)


def test_samples_lie_on_the_path():
    along = move([cut_pass(ring(2.0))], router()).along
    away = np.hypot(*(along.xy_mm - [0.0, 2.0]).T)
    assert away == pytest.approx(np.full(len(away), 2.0), abs=1e-12)


def test_between_samples_the_speed_and_time_agree(motion):
    along = motion.along
    same = np.diff(along.pass_index) == 0
    mean = (along.speed_mm_s[1:] + along.speed_mm_s[:-1]) / 2.0
    way = np.diff(along.time_s) * mean
    assert way[same] == pytest.approx(np.diff(along.s_mm)[same], abs=1e-9)


def test_the_places_where_it_stops_to_accelerate_and_begins_to_brake_are_samples():
    along = move([cut_pass(square(50.0))], router()).along
    ramp = 99.0**2 / 2000.0
    for place in (ramp, 50.0 - ramp, 50.0 + ramp):
        assert np.abs(along.s_mm - place).min() < 1e-9


def test_a_corner_is_marked_on_both_of_its_samples():
    along = move([cut_pass(square(50.0))], router()).along
    corner = along.corner_rad != 0.0
    assert along.corner_rad[corner] == pytest.approx(np.full(6, np.pi / 2.0))
    assert (along.speed_mm_s[corner] == 0.0).all()


def fine(path, machine):
    """Return way and speed of one main cut on a grid fine enough to integrate."""
    found = profile(path, machine)
    ends = np.concatenate([[0.0], np.cumsum(found.length_mm)])
    s = (np.arange(200_000) + 0.5) / 200_000 * ends[-1]
    i = np.searchsorted(ends, s, "right") - 1
    gain = 2.0 * found.acceleration_mm_s2[i]
    rising = found.node_speed_mm_s[i] ** 2 + gain * (s - ends[i])
    falling = found.node_speed_mm_s[i + 1] ** 2 + gain * (ends[i + 1] - s)
    return np.sqrt(np.minimum(np.minimum(rising, falling), found.peak_mm_s[i] ** 2))


@pytest.mark.parametrize("name", SHAPES)
def test_the_statistics_are_right_to_half_a_per_cent(name):
    along = move([cut_pass(SHAPES[name])], router()).along
    found = spreads(feed_per_tooth_reached_mm(along, *ONE), along)
    exact = fine(SHAPES[name], router()) / 300.0
    assert found.mean[0] == pytest.approx(exact.mean(), rel=0.005)
    assert found.p5[0] == pytest.approx(np.quantile(exact, 0.05), rel=0.005)
    assert found.max[0] == pytest.approx(exact.max(), rel=1e-4)


@pytest.mark.parametrize("below", [0.02, 0.1, 0.25])
def test_the_thin_places_are_exact(below):
    along = move([cut_pass(square(50.0))], router()).along
    thin = thin_places(along, np.array([below]), *ONE)
    speed = below * 300.0
    assert thin.length_mm[0] == pytest.approx(8.0 * speed**2 / 2000.0, rel=1e-9)
    assert thin.revolutions[0] == pytest.approx(8.0 * speed / 1000.0 * 300.0, rel=1e-9)


def test_the_worst_thin_place_is_where_it_is_slowest():
    along = move([cut_pass(rounded_rectangle(100.0, 60.0, 1.0), None)], router()).along
    worst = thin_places(along, np.array([0.2]), *ONE).worst[0]
    assert along.speed_mm_s[worst] == along.speed_mm_s.min()


def test_a_pass_at_full_feed_has_no_thin_place():
    along = move([cut_pass(square(50.0))], router()).along
    none = thin_places(along, np.array([0.0]), *ONE)
    assert (none.length_mm[0], none.revolutions[0], none.worst[0]) == (0.0, 0.0, -1)


def test_thin_places_of_a_job_are_those_of_its_passes(motion):
    count = len(SHAPES)
    whole = thin_places(motion.along, np.full(count, 0.1), np.full(count, 18_000.0), np.ones(count))
    for i, path in enumerate(SHAPES.values()):
        along = move([cut_pass(path)], router()).along
        alone = thin_places(along, np.array([0.1]), *ONE)
        assert whole.length_mm[i] == pytest.approx(alone.length_mm[0], abs=1e-9)
        assert whole.revolutions[i] == pytest.approx(alone.revolutions[0], abs=1e-6)
