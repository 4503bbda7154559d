import math

import numpy as np
import pytest

from core.geometry.distance import contains
from core.geometry.path import Path, circle
from core.geometry.swept import opening, unreached, unreached_of
from tests.core.geometry.seeded import QUARTER, dumbbell, notched, rectangle, slot, stars


def test_a_square_inside_corner_keeps_what_a_quarter_disc_leaves():
    # (1 - pi / 4) r^2 a corner, geometry
    area, places = unreached(rectangle(), 3.0, inside=True)
    assert area == pytest.approx((4.0 - math.pi) * 9.0)
    assert [place.area_mm2 for place in places] == pytest.approx([(1 - math.pi / 4) * 9.0] * 4)
    corners = sorted(place.at_mm for place in places)
    assert corners == [pytest.approx(c, abs=1e-6) for c in ((0, 0), (0, 60), (100, 0), (100, 60))]


def test_outside_a_convex_path_everything_is_reached():
    assert unreached(rectangle(), 3.0, inside=False) == (0.0, ())


@pytest.mark.parametrize("path", [slot(40, 5.0), circle((0, 0), 5.0)])
def test_a_round_of_the_cutter_s_own_radius_is_reached_by_a_smaller_one(path):
    assert unreached(path, 4.999, inside=True) == (0.0, ())


def test_a_hole_that_the_cutter_does_not_enter_is_left_whole():
    area, (place,) = unreached(circle((0, 0), 2.5), 3.0, inside=True)
    assert area == pytest.approx(math.pi * 2.5**2)
    assert place.outline.area_mm2 == pytest.approx(area)


def test_an_inside_round_smaller_than_the_cutter_keeps_a_sickle():
    # between the arcs of 2 mm and of 3 mm tangent to the same square corner: (1 - pi / 4)(9 - 4)
    points = [(2, 0), (50, 0), (50, 40), (0, 40), (0, 2)]
    path = Path(np.array(points, float), np.array([0, 0, 0, 0, QUARTER]))
    _, places = unreached(path, 3.0, inside=True)
    assert min(place.area_mm2 for place in places) == pytest.approx((1 - math.pi / 4) * 5.0)


def test_a_neck_too_narrow_is_one_place():
    area, places = unreached(dumbbell(4.0), 3.0, inside=True)
    assert area == pytest.approx(sum(place.area_mm2 for place in places))
    # the cutter rests on both corners of the mouths and reaches a cap into the neck
    assert max(p.area_mm2 for p in places) == pytest.approx(4.0 * 20.0 - 2 * _cap(3.0, 2.0))


def test_a_notch_too_small_for_the_cutter_is_left_on_the_outside():
    area, (place,) = unreached(notched(4.0), 6.0, inside=False)
    assert area == pytest.approx(math.pi * 8.0 - _cap(6.0, 4.0))
    assert place.at_mm == pytest.approx((50.0, 46.0))


def _cap(radius, half_chord):
    """Area between a chord and its arc."""
    angle = math.asin(half_chord / radius)
    return radius**2 * (angle - math.sin(angle) * math.cos(angle))


@pytest.mark.parametrize("inside", [True, False])
@pytest.mark.parametrize("radius_mm", [1.0, 3.0, 6.0])
def test_places_make_up_the_difference_to_the_opening(radius_mm, inside):
    paths = stars(25, 41)
    flipped = [path.reversed() for path in paths[::2]]
    for path in [*paths[1::2], *flipped]:
        area, places = unreached(path, radius_mm, inside)
        swept = sum(edge.area_mm2 for edge in opening(path, radius_mm, inside))
        assert area == pytest.approx(abs(abs(path.area_mm2) - swept), abs=1e-4)
        for place in places:
            assert place.area_mm2 > 0


def test_many_paths_at_once_give_what_each_gives():
    paths = [rectangle(), slot(), notched(), circle((0, 0), 2.0)]
    inside = [True, True, False, True]
    together = unreached_of(paths, 3.0, inside)
    for path, within, (area, places) in zip(paths, inside, together, strict=True):
        alone = unreached(path, 3.0, within)
        assert (area, len(places)) == (pytest.approx(alone[0]), len(alone[1]))


def test_what_is_left_lies_inside_the_hole():
    path = stars(1, 43)[0]
    for place in unreached(path, 4.0, inside=True)[1]:
        x, y = place.outline.flattened(0.01).mean(axis=0)
        near = contains(place.outline, (x, y))[0]
        assert not near or contains(path, (x, y))[0]
