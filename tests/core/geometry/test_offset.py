import math

import numpy as np
import pyclipper
import pytest
import shapely

from core.geometry.distance import distance_to
from core.geometry.offset import offset, offset_region
from core.geometry.path import Path, circle
from tests.core.geometry.seeded import QUARTER, along, dumbbell, notched, rectangle, slot, stars


def one(path, distance_mm, corner="roll"):
    """The only ring of an offset that is not flagged."""
    found = offset([path], distance_mm, corner)[0]
    assert not found.flagged, found.reason
    (ring,) = found.paths
    return ring


def clipper_area(path, distance_mm):
    """Area by an independent library on a fine polygon, rolled corners."""
    scale = 1e6
    clipper = pyclipper.PyclipperOffset(2.0, 2e-4 * scale)
    points = np.round(path.flattened(1e-4) * scale).astype(np.int64).tolist()
    clipper.AddPath(points, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    return sum(pyclipper.Area(ring) for ring in clipper.Execute(distance_mm * scale)) / scale**2


# Steiner's formula A + d P + pi d^2, P + 2 pi d for a convex path; printed values in the
# project's table of check values, rows of pyclipper and shapely
@pytest.mark.parametrize(
    ("distance_mm", "area_mm2", "length_mm"),
    [
        (3.0, 6988.2743, 338.84956),
        (3.5, 7158.4845, 320 + 7 * math.pi),
        (-3.0, 5076.0, 296.0),
    ],
)
def test_a_rectangle_grows_by_the_formula_of_steiner(distance_mm, area_mm2, length_mm):
    ring = one(rectangle(), distance_mm)
    assert ring.area_mm2 == pytest.approx(area_mm2, abs=1e-4)
    assert ring.length_mm == pytest.approx(length_mm, abs=1e-5)


@pytest.mark.parametrize("path", [notched(), slot(), dumbbell(9.0), *stars(12, 21)])
@pytest.mark.parametrize("distance_mm", [1.5, -1.5, 4.0, -4.0])
def test_areas_agree_with_an_independent_library(path, distance_mm):
    found = offset([path], distance_mm)[0]
    mine = sum(ring.area_mm2 for ring in found.paths)
    length = path.length_mm + sum(ring.length_mm for ring in found.paths)
    assert mine == pytest.approx(clipper_area(path, distance_mm), abs=6e-4 * length)


def test_a_buffer_of_polygons_is_right_where_it_is_safe():
    grown = shapely.Polygon(rectangle().points).buffer(3.0, quad_segs=64)
    assert one(rectangle(), 3.0).area_mm2 == pytest.approx(grown.area, abs=0.01)


def test_positive_is_outwards_whichever_way_the_path_runs():
    back = one(rectangle().reversed(), 3.0)
    assert back.area_mm2 == pytest.approx(-6988.2743, abs=1e-4)


def test_a_mitred_rectangle_is_a_rectangle():
    ring = one(rectangle(), 3.0, "mitre")
    assert sorted(map(tuple, ring.points.round(9).tolist())) == [
        (-3.0, -3.0),
        (-3.0, 63.0),
        (103.0, -3.0),
        (103.0, 63.0),
    ]


def test_a_mitre_at_a_square_corner_stays_041_radii_off_the_tip():
    # models of the wall's heat, design consequence: the mitre stops 0.41 R away from the part
    tip = one(rectangle(), 3.0, "mitre").points
    least = distance_to(rectangle(), tip) / 3.0 - 1.0
    assert least == pytest.approx([math.sqrt(2) - 1.0] * 4)


def test_a_mitre_sharper_than_sixty_degrees_is_cut_across_at_twice_the_distance():
    spike = Path(np.array([[0, 0], [60, -5], [60, 5]], float), np.zeros(3))
    ring = one(spike, 3.0, "mitre")
    left = ring.points[ring.points[:, 0] < -1]
    assert left[:, 0] == pytest.approx([-6.0, -6.0])
    assert len(ring.points) == 4


def test_an_arc_goes_on_along_its_tangent_into_a_mitre():
    points = np.array([[0, 0], [40, 0], [40, 20], [0, 20]], float)
    bulged = Path(points, np.array([0, 0, 0.2, 0]))
    ring = one(bulged, 2.0, "mitre")
    arcs = ring.segments.is_arc
    assert arcs.sum() == 1
    assert len(ring.points) == 6
    assert ring.segments.radius_mm[arcs] == pytest.approx(bulged.segments.radius_mm[2] + 2.0)


def test_lines_stay_lines_and_arcs_stay_arcs():
    inwards, outwards = one(notched(), -3.0).segments, one(notched(), 3.0).segments
    assert inwards.radius_mm[inwards.is_arc] == pytest.approx([13.0])
    assert sorted(outwards.radius_mm[outwards.is_arc]) == pytest.approx([3.0] * 6 + [7.0])
    assert len(outwards) == 12


def test_the_notch_that_a_polygon_buffer_drops_is_kept():
    # 10 mm notch, 3 mm inwards: the arc of 13 mm about the notch must be there, to 1e-9 mm
    ring = one(notched(), -3.0)
    assert np.abs(distance_to(notched(), along(ring, 50)) - 3.0).max() < 1e-9
    assert distance_to(ring, (50.0, 37.0)) == pytest.approx([0.0], abs=1e-9)


@pytest.mark.parametrize("radius", [3.0, 7.0, 12.345])
def test_a_circle_inwards_by_its_radius_vanishes(radius):
    found = offset([circle((5, 5), radius), slot(40, radius), rectangle(99, 2 * radius)], -radius)
    assert [o.paths for o in found] == [(), (), ()]
    assert not any(o.flagged for o in found)


def test_a_circle_inwards_stays_a_circle():
    ring = one(circle((5, 5), 3.0), -2.999)
    assert ring.area_mm2 == pytest.approx(math.pi * 1e-6, rel=1e-6)


def test_an_inside_corner_with_the_radius_of_the_cutter_becomes_a_corner():
    r, points = 3.0, [(3, 0), (50, 0), (50, 40), (0, 40), (0, 3)]
    path = Path(np.array(points, float), np.array([0, 0, 0, 0, QUARTER]))
    ring = one(path, -r)
    assert len(ring.points) == 4
    assert ring.area_mm2 == pytest.approx(44.0 * 34.0)


def test_a_neck_narrower_than_the_cutter_splits_the_path_in_two():
    found = offset([dumbbell(4.0)], -3.0)[0]
    assert not found.flagged
    assert [ring.area_mm2 for ring in found.paths] == pytest.approx(
        [14.0 * 14.0 + 2 * _cusp(3.0, 2.0)] * 2
    )


def _cusp(radius, half):
    """Area above a chord between the arcs about the corners of a neck, on one side of its axis.

    The ring is 3 mm inside of the square; at the neck's mouth it follows the arcs about both
    corners up to where they meet on the axis.
    """
    reach = math.sqrt(radius**2 - half**2)
    angle = math.asin(half / radius)
    # from x = -radius to the arc x = -sqrt(radius^2 - y^2), y from 0 to half
    return radius * half - (half * reach + radius**2 * angle) / 2.0


def test_a_neck_wider_than_the_cutter_stays_one_path():
    assert len(offset([dumbbell(6.5)], -3.0)[0].paths) == 1


def test_a_neck_as_wide_as_the_cutter_is_parted_and_said():
    found = offset([dumbbell(6.0)], -3.0)[0]
    assert found.flagged
    assert "mm larger" in found.reason
    assert len(found.paths) == 2
    for ring in found.paths:
        assert np.abs(distance_to(dumbbell(6.0), along(ring)) - 3.0).max() < 2e-3


def test_a_gap_closed_from_outside_leaves_a_ring_that_runs_the_other_way():
    # a C of 40 mm with a mouth of 4 mm: 3 mm outwards the mouth closes, the cavity stays
    points = [
        *((0, 0), (40, 0), (40, 18), (30, 18), (30, 10), (10, 10)),
        *((10, 30), (30, 30), (30, 22), (40, 22), (40, 40), (0, 40)),
    ]
    c = Path(np.array(points, float), np.zeros(12))
    found = offset([c], 3.0)[0]
    assert not found.flagged
    outer, cavity = found.paths
    assert outer.area_mm2 > 0 > cavity.area_mm2
    mirrored = offset([c.reversed()], 3.0)[0].paths
    assert [ring.area_mm2 for ring in mirrored] == pytest.approx(
        [-outer.area_mm2, -cavity.area_mm2]
    )


def test_a_mitre_without_room_is_rolled_and_said():
    # seen from the hole the tooth's tip is a convex corner, and the far wall is near
    points = [(0, 0), (60, 0), (60, 30), (33, 30), (30, 6.5), (27, 30), (0, 30)]
    tooth = Path(np.array(points, float), np.zeros(7))
    found = offset([tooth], -3.0, "mitre")[0]
    assert found.flagged
    assert "rolled" in found.reason
    rolled = offset([tooth], -3.0)[0]
    assert not rolled.flagged
    assert sum(r.area_mm2 for r in found.paths) == pytest.approx(
        sum(r.area_mm2 for r in rolled.paths)
    )


def test_each_path_has_its_own_distance():
    grown, shrunk = offset([rectangle(), rectangle()], [3.0, -3.0], "mitre")
    assert grown.paths[0].area_mm2 == pytest.approx(106 * 66)
    assert shrunk.paths[0].area_mm2 == pytest.approx(94 * 54)


def test_no_distance_is_no_change():
    for path in (rectangle(), notched(), *stars(5, 22)):
        ring = one(path, 0.0)
        assert ring.points == pytest.approx(path.points)
        assert ring.bulges == pytest.approx(path.bulges)


def test_nothing_gives_nothing():
    assert offset([], 3.0) == ()


def test_an_open_path_has_no_inside():
    with pytest.raises(ValueError, match="closed"):
        offset([rectangle().cut(0, 50)], 3.0)


def test_a_path_that_crosses_itself_is_refused_in_words():
    bow = Path(np.array([[0, 0], [10, 10], [10, 0], [0, 30]], float), np.zeros(4))
    found = offset([bow], 1.0)[0]
    assert found.flagged
    assert found.paths == ()
    assert "cross" in found.reason


def test_a_region_shrinks_and_its_islands_grow():
    found = offset_region(rectangle(), [circle((50, 30), 10.0)], -3.0)
    outer, island = found.paths
    assert outer.area_mm2 == pytest.approx(94 * 54)
    assert island.area_mm2 == pytest.approx(-math.pi * 13**2)


def test_an_island_near_the_wall_merges_with_it():
    found = offset_region(rectangle(), [circle((50, 14), 10.0).reversed()], -3.0)
    assert not found.flagged
    (ring,) = found.paths
    region = shapely.Polygon(rectangle().points, [circle((50, 14), 10.0).flattened(1e-4)])
    wall = region.boundary.buffer(3.0, quad_segs=200)
    assert ring.area_mm2 == pytest.approx(region.difference(wall).area, abs=0.01)


def test_an_island_that_fills_its_pocket_leaves_nothing():
    found = offset_region(circle((0, 0), 20.0), [circle((0, 0), 15.0)], -3.0)
    assert found.paths == ()
    assert not found.flagged


@pytest.mark.parametrize("corner", ["roll", "mitre"])
def test_a_region_narrower_than_the_cutter_vanishes(corner):
    found = offset_region(circle((0, 0), 2.0), [], -3.0, corner)
    assert found.paths == ()
    assert not found.flagged
