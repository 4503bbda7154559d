"""What becomes of waste, and the recipes beside the default: pockets, bores, relief, tabs, skin."""

import itertools

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, union_all

from core.contours.records import Contour, Contours, Kind, Shape
from core.geometry.path import Path, circle
from core.job import ContourChoice, DrawingFile, Job, Task
from core.library.shelf import Shelf
from core.plan import choose, plan_toolpaths

SHELF = Shelf()
TOL = 0.002


def slot(x, y, width, height):
    """Return a slot with round ends, counter-clockwise."""
    r = height / 2.0
    points = [[x + r, y], [x + width - r, y], [x + width - r, y + height], [x + r, y + height]]
    return Path(np.array(points), np.array([0.0, 1.0, 0.0, 1.0]))


def rectangle(x, y, width, height):
    corners = [[x, y], [x + width, y], [x + width, y + height], [x, y + height]]
    return Path(np.array(corners, dtype=float), np.zeros(4))


def planned(*contours, choices=(), **job):
    """Plan (path, task, parent) contours of a 6 mm sheet."""
    found = tuple(
        Contour(n, path, Kind.HOLE, parent, 0, "0", f"Contour {n}", Shape.OTHER, None, task)
        for n, (path, task, parent) in enumerate(contours, 1)
    )
    group = Contours(found, (), (0, 0, 300, 200), (300, 200), 1, 0, 0, 1.0, ())
    file = DrawingFile("panel.dxf", b"", contours=tuple(choices))
    return plan_toolpaths((group,), (file,), choose(Job(drawings=(file,), **job), SHELF).cutting)


def swept(toolpaths):
    """Return the region that cutters sweep in their main cuts, by shapely."""
    return union_all(
        [
            LineString(t.cut.flattened(TOL)).buffer(t.mounted.diameter_mm / 2.0, quad_segs=64)
            for t in toolpaths
        ]
    )


def inside_of(path):
    return Polygon(path.flattened(TOL))


@pytest.mark.parametrize(
    "path", [circle((50.0, 50.0), 12.5), slot(20.0, 20.0, 100.0, 30.0), circle((50.0, 50.0), 4.0)]
)
def test_a_narrow_hole_is_cut_to_chips_and_leaves_nothing_loose(path):
    paths = planned((path, Task.INSIDE, None))
    through = [t for t in paths.toolpaths if t.z_bottom_mm <= 0.0]
    left = inside_of(path).buffer(-0.01).difference(swept(through))
    assert left.area == pytest.approx(0.0, abs=1e-3)
    assert paths.freed == {}


def test_roughing_clears_a_narrow_hole_down_to_the_skin_everywhere():
    path = slot(20.0, 20.0, 100.0, 30.0)
    rough = [t for t in planned((path, Task.INSIDE, None)).toolpaths if t.z_bottom_mm > 0.0]
    left = inside_of(path).buffer(-0.51).difference(swept(rough))
    assert left.area == pytest.approx(0.0, abs=1e-3)


def test_a_wide_window_frees_its_waste_and_stops_for_a_person_to_take_it_out():
    paths = planned((rectangle(10.0, 10.0, 200.0, 120.0), Task.INSIDE, None))
    (piece,) = paths.freed.values()
    assert piece.is_waste
    assert piece.area_mm2 == pytest.approx((200.0 - 13.0) * (120.0 - 13.0), rel=1e-3)
    assert "take out" in paths.toolpaths[-1].stop_after
    assert not any(t.stop_after for t in paths.toolpaths[:-1])


def test_rings_are_cut_from_the_inside_out_and_step_over_less_than_half_the_cutter():
    paths = planned((slot(20.0, 20.0, 100.0, 30.0), Task.INSIDE, None))
    rough = [t for t in paths.toolpaths if t.z_bottom_mm > 0.0]
    standing = [t.wall_stock_mm for t in rough]
    assert standing == sorted(standing, reverse=True)
    assert rough[0].bands[0].radial_width_mm == 6.0
    assert all(t.bands[0].radial_width_mm == pytest.approx(2.7) for t in rough[1:])
    assert [t.clearing for t in rough] == [True] * (len(rough) - 1) + [False]


def test_a_pocket_keeps_its_floor_and_the_islands_in_it():
    outer, island = rectangle(10.0, 10.0, 100.0, 70.0), circle((60.0, 45.0), 10.0)
    choice = ContourChoice(1, depth_mm=2.5)
    paths = planned(
        (outer, Task.POCKET, None), (island, Task.NONE, 1), choices=[choice], thickness_mm=6.0
    )
    assert min(t.z_bottom_mm for t in paths.toolpaths) == pytest.approx(3.5)
    floors = sorted({round(t.floor_stock_mm, 6) for t in paths.toolpaths})
    assert floors == [3.5, 3.8]
    region = swept(paths.toolpaths)
    # the circle is flattened: a strip of TOL along its 63 mm counts for nothing
    assert region.intersection(inside_of(island)).area < 63.0 * TOL
    assert region.difference(inside_of(outer).buffer(TOL)).area == pytest.approx(0.0, abs=1e-2)
    floor = inside_of(outer).difference(inside_of(island))
    reachable = floor.buffer(-3.0).buffer(3.0, quad_segs=64)
    last = [t for t in paths.toolpaths if t.z_bottom_mm == pytest.approx(3.5)]
    assert reachable.buffer(-0.01).difference(swept(last)).area == pytest.approx(0.0, abs=1e-2)


def test_a_pocket_without_a_depth_is_asked_about_and_not_cut():
    paths = planned((rectangle(0.0, 0.0, 50.0, 50.0), Task.POCKET, None))
    assert paths.toolpaths == ()
    assert [f.code for f in paths.findings] == ["task-not-planned"]
    assert "depth" in paths.findings[0].message


def test_a_bore_goes_down_on_a_helix_through_the_sheet_and_then_round_its_wall():
    paths = planned((circle((30.0, 30.0), 6.0), Task.BORE, None))
    helix, wall = (t for t in paths.toolpaths if not t.clearing)
    assert (helix.step.name, wall.step.name) == ("helix", "wall")
    assert helix.z_bottom_mm < 0.0
    assert helix.entry_kind == "helix"
    assert wall.wall_stock_mm == 0.0


def test_a_relief_keeps_the_parting_cut_off_the_finished_wall():
    path = rectangle(0.0, 0.0, 80.0, 50.0)
    paths = planned((path, Task.OUTSIDE, None), recipe="rough_finish_part")
    rough, finish, part = paths.toolpaths
    wall = inside_of(path)
    assert (finish.wall_stock_mm, finish.floor_stock_mm) == (0.0, 0.5)
    assert len(finish.bands) == 1
    nearest = min(wall.distance(Point(p)) for p in part.cut.flattened(TOL))
    assert nearest == pytest.approx(3.08, abs=1e-6)
    (skin,) = part.bands
    # 0.5 mm left, and 0.15 mm by which the skin may be thicker
    assert (skin.z_top_mm, skin.z_bottom_mm, skin.radial_width_mm) == (0.65, 0.0, 6.0)
    assert part.entry_from_mm == 0.65
    assert (rough.stage, finish.stage, part.stage) == (0, 1, 2)


def test_tabs_stand_at_full_length_between_the_pieces_of_the_parting_cut():
    path = rectangle(0.0, 0.0, 80.0, 50.0)
    paths = planned((path, Task.OUTSIDE, None), recipe="rough_finish_tabs")
    pieces = [t for t in paths.toolpaths if t.step.name == "part"]
    assert len(pieces) == 4
    ends = [(t.cut.points[-1], u.cut.points[0]) for t, u in itertools.pairwise(pieces)]
    for end, start in ends:
        assert np.hypot(*(start - end)) <= 10.0 + 1e-6
    gaps = path.length_mm + 8 * 3.08 - sum(t.cut.length_mm for t in pieces)
    assert gaps == pytest.approx(4 * 10.0, abs=1e-6)
    assert paths.freed == {}


def test_a_skin_that_is_left_frees_nothing():
    path = rectangle(0.0, 0.0, 80.0, 50.0)
    paths = planned((path, Task.OUTSIDE, None), recipe="skin_by_hand")
    assert min(t.z_bottom_mm for t in paths.toolpaths) == pytest.approx(0.4)
    assert paths.freed == {}


def test_one_contour_can_take_a_recipe_of_its_own():
    small, large = rectangle(0.0, 0.0, 40.0, 30.0), rectangle(60.0, 0.0, 80.0, 60.0)
    paths = planned(
        (small, Task.OUTSIDE, None),
        (large, Task.OUTSIDE, None),
        choices=[ContourChoice(1, recipe="skin_by_hand")],
    )
    steps = {n: {t.step.name for t in paths.toolpaths if t.contour_id == n} for n in (1, 2)}
    assert steps == {1: {"rough", "finish"}, 2: {"rough", "skim"}}
