import math

import numpy as np
import pytest

from core.geometry.distance import contains, distance_to, encloses, way_to
from core.geometry.path import Path, circle
from tests.core.geometry.seeded import along, notched, rectangle, slot, stars


@pytest.mark.parametrize(
    ("point", "distance"),
    [((50, 20), 20), ((-3, -4), 5), ((50, 60), 0), ((120, 30), 20), ((100, 61), 1)],
)
def test_distance_to_a_rectangle(point, distance):
    assert distance_to(rectangle(), point) == pytest.approx([distance])


def test_the_centre_of_a_circle_is_a_radius_away_to_the_last_digit():
    at = [(0, 0), (1e-9, 0), (3, 4), (0.25, 0), (70, 0)]
    assert distance_to(circle((0, 0), 10), at) == pytest.approx([10, 10 - 1e-9, 5, 9.75, 60])


def test_distance_to_a_nearly_flat_arc_keeps_its_digits():
    arc = Path(np.array([[0, 0], [1000.0, 0]]), np.array([1e-11]), closed=False)
    assert distance_to(arc, (500.0, 3.0)) == pytest.approx([3.0], abs=1e-8)


def test_distance_to_the_open_end_of_a_path():
    path = Path(np.array([[0, 0], [10, 0]]), np.zeros(1), closed=False)
    assert distance_to(path, [(-3, 4), (13, 4), (5, 4)]) == pytest.approx([5, 5, 4])
    single = Path(np.array([[1.0, 1.0]]), np.zeros(0), closed=False)
    assert distance_to(single, (4, 5)) == pytest.approx([5])


@pytest.mark.parametrize("path", stars(20, 11))
def test_distance_agrees_with_a_fine_polygon(path):
    at = np.random.default_rng(0).uniform(-70, 70, (200, 2))
    fine = path.flattened(1e-5)
    edge = np.roll(fine, -1, axis=0) - fine
    away = at[:, None] - fine
    share = np.clip((away * edge).sum(-1) / (edge**2).sum(-1), 0, 1)
    least = np.hypot(*(away - share[..., None] * edge).transpose(2, 0, 1)).min(axis=1)
    assert distance_to(path, at) == pytest.approx(least, abs=2e-5)


def test_a_far_job_loses_no_digits():
    far = slot().moved((18_000.0, -18_000.0))
    assert distance_to(far, (18_020.0, -18_000.0)) == pytest.approx([5.0], abs=1e-11)


@pytest.mark.parametrize("path", stars(20, 12))
def test_inside_agrees_with_the_turns_of_a_fine_polygon(path):
    at = np.random.default_rng(1).uniform(-60, 60, (200, 2))
    at = at[distance_to(path, at) > 1e-3]
    to = path.flattened(1e-4) - at[:, None]
    after = np.roll(to, -1, axis=1)
    cross = to[..., 0] * after[..., 1] - to[..., 1] * after[..., 0]
    turns = np.arctan2(cross, (to * after).sum(-1)).sum(axis=1) / (2 * math.pi)
    assert (contains(path, at) == (np.round(turns) != 0)).all()


def test_inside_a_notch_is_outside():
    assert contains(notched(), [(50, 45), (50, 35), (50, 51)]).tolist() == [False, True, False]


@pytest.mark.parametrize("turn_rad", [0.0, 0.5 * math.pi, 1.0, math.pi])
def test_a_place_on_the_chord_of_two_arcs_lies_inside_their_circle(turn_rad):
    ring = circle((0.0, 0.0), 3.0).moved((56.0, 41.0), turn_rad)
    at = [(56.0 + away, 41.0) for away in (0.0, 2.9, -2.9)]
    outside = [(56.0 + away, 41.0) for away in (3.1, -3.1)]
    assert contains(ring, at).all()
    assert not contains(ring, outside).any()


def test_a_hole_lies_in_its_part_and_not_the_other_way_round():
    hole = circle((20, 20), 5)
    assert encloses(rectangle(), hole)
    assert not encloses(hole, rectangle())
    assert not encloses(rectangle(), hole.moved((200, 0)))


def test_a_hole_that_touches_the_outline_still_lies_in_it():
    assert encloses(rectangle(), circle((20, 5), 5))
    assert not encloses(rectangle(), rectangle())


@pytest.mark.parametrize("path", [rectangle(), slot(), circle((3, 4), 10), *stars(10, 13)])
def test_the_way_to_a_point_of_the_path_is_the_way_it_was_taken_from(path):
    ways = np.linspace(0.0, path.length_mm, 37, endpoint=False) + 0.01
    points = np.array([path.point_and_heading_at(s)[0] for s in ways])
    assert way_to(path, points) == pytest.approx(ways, abs=1e-9)


def test_the_way_to_a_point_beside_the_path_leads_to_its_foot():
    assert way_to(rectangle(), [(30, -5), (95, 20)]) == pytest.approx([30, 120])


def test_points_along_a_path_lie_on_it():
    for path in stars(20, 14):
        assert distance_to(path, along(path)).max() < 1e-11
