"""The geometry of passes: where the cutter runs, how deep, and that no entry marks a wall."""

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LinearRing, LineString, Point, Polygon

from core.contours.records import Contour, Contours, Kind, Shape
from core.geometry.path import Path, circle
from core.job import DrawingFile, Job, Task
from core.library.records import Direction
from core.library.shelf import Shelf
from core.plan import choose, plan_toolpaths
from core.plan.profile import depth_levels
from core.plan.records import Entry

SHELF = Shelf()
FILE = DrawingFile("panel.dxf", b"")
RECTANGLE = Path(np.array([[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0]]), np.zeros(4))


def contours(*paths_and_tasks):
    """Return contours with tasks, as if a drawing held them."""
    found = tuple(
        Contour(
            number,
            path,
            Kind.OUTER if task is Task.OUTSIDE else Kind.HOLE,
            None,
            0,
            "0",
            f"Contour {number}",
            Shape.OTHER,
            None,
            task,
        )
        for number, (path, task) in enumerate(paths_and_tasks, 1)
    )
    return Contours(found, (), (0.0, 0.0, 80.0, 50.0), (80.0, 50.0), 1, 0, 0, 4000.0, ())


def planned(*paths_and_tasks, **job):
    chosen = choose(Job(**job), SHELF)
    return plan_toolpaths((contours(*paths_and_tasks),), (FILE,), chosen.cutting)


def steps(paths, name):
    return [t for t in paths.toolpaths if t.step.name == name]


@pytest.mark.parametrize(
    ("top", "bottom", "deepest", "levels"),
    [
        (6.0, 0.5, 6.0, (0.5,)),
        (10.0, 0.5, 6.0, (5.25, 0.5)),
        (6.0, 0.0, 2.0, (4.0, 2.0, 0.0)),
        (6.0, 0.0, 0.0, (0.0,)),
        (12.0, 0.0, 6.0 - 1e-12, (6.0, 0.0)),
    ],
)
def test_depth_steps_are_equal_and_never_deeper_than_allowed(top, bottom, deepest, levels):
    steps = depth_levels(top, bottom, deepest)
    assert [level.bottom_mm for level in steps] == pytest.approx(levels)
    assert [level.top_mm for level in steps] == pytest.approx([top, *levels[:-1]])


def test_roughing_leaves_stock_on_wall_and_floor_and_the_skim_takes_both():
    paths = planned((RECTANGLE, Task.OUTSIDE))
    rough, skim = steps(paths, "rough")[-1], steps(paths, "skim")[0]
    assert (rough.wall_stock_mm, rough.floor_stock_mm) == (0.5, 0.5)
    assert (skim.wall_stock_mm, skim.floor_stock_mm) == (0.0, 0.0)
    assert skim.z_bottom_mm < 0.0
    wall, skin = skim.bands
    # sized for the thickest skin: 0.5 mm left, bed flat to 0.1, depths right to 0.05 mm (rule 4 of
    # the skin model, derived)
    assert (wall.radial_width_mm, wall.z_bottom_mm) == (0.5, pytest.approx(0.65))
    assert (skin.radial_width_mm, skin.z_bottom_mm) == (6.0, 0.0)
    assert skin.z_top_mm == pytest.approx(0.65)


def test_only_the_cut_through_the_skin_is_sized_for_its_thickest_place():
    paths = planned((RECTANGLE, Task.OUTSIDE), recipe="rough_finish_part")
    (finish,), (part,) = steps(paths, "finish"), steps(paths, "part")
    assert [band.z_bottom_mm for band in finish.bands] == [0.5]
    assert part.bands[0].z_top_mm == pytest.approx(0.65)


def test_the_cutter_stands_off_the_wall_by_its_radius_and_the_stock():
    paths = planned((RECTANGLE, Task.OUTSIDE))
    part = Polygon(RECTANGLE.points)
    for name, off in (("rough", 3.5), ("skim", 3.0)):
        for path in steps(paths, name):
            least = min(part.distance(Point(p)) for p in path.cut.flattened(0.001))
            assert least == pytest.approx(off, abs=1e-9)


@pytest.mark.parametrize(
    ("task", "direction", "clockwise"),
    [
        # spindle clockwise seen from above (M3): climb has the part on the right of the travel
        (Task.OUTSIDE, Direction.CLIMB, True),
        (Task.INSIDE, Direction.CLIMB, False),
        (Task.OUTSIDE, Direction.CONVENTIONAL, False),
        (Task.INSIDE, Direction.CONVENTIONAL, True),
    ],
)
def test_climb_runs_an_outer_contour_clockwise_and_a_hole_the_other_way(task, direction, clockwise):
    cutting = choose(Job(), SHELF).cutting
    turned = tuple(replace(s, direction=direction) for s in cutting.recipe.steps)
    recipes = (("turned", replace(cutting.recipe, steps=turned)), *cutting.recipes[1:])
    cutting = replace(cutting, recipes=recipes)
    for path in plan_toolpaths((contours((RECTANGLE, task)),), (FILE,), cutting).toolpaths:
        ring = LinearRing(path.cut.flattened(0.01)[:-1])
        assert ring.is_ccw is not clockwise
        assert path.wall_side == (-1 if direction is Direction.CLIMB else 1)


SMALL_AND_LARGE = [
    (RECTANGLE, Task.OUTSIDE),
    (RECTANGLE, Task.INSIDE),
    (circle((20.0, 20.0), 4.0), Task.INSIDE),
    (circle((20.0, 20.0), 3.6), Task.INSIDE),
    (circle((20.0, 20.0), 30.0), Task.OUTSIDE),
]


@pytest.mark.parametrize(("path", "task"), SMALL_AND_LARGE)
def test_no_entry_or_exit_comes_nearer_to_the_finished_wall_than_the_cut_itself(path, task):
    wall = LinearRing(path.flattened(0.0005))
    for toolpath in planned((path, task)).toolpaths:
        radius = toolpath.mounted.diameter_mm / 2.0
        for way in (toolpath.entry, toolpath.exit):
            line = LineString(way.flattened(0.0005))
            assert line.distance(wall) >= radius + toolpath.wall_stock_mm - 0.001


@pytest.mark.parametrize(("path", "task"), SMALL_AND_LARGE)
def test_the_skim_goes_down_where_roughing_cleared_the_wall_stock(path, task):
    wall = LinearRing(path.flattened(0.0005))
    paths = planned((path, task))
    for skim in (s for s in steps(paths, "skim") if len(s.bands) == 2):
        down = Point(skim.entry.points[0])
        assert down.distance(wall) == pytest.approx(3.5, abs=0.001)
        assert skim.entry_kind is Entry.PLUNGE
        assert skim.entry_from_mm == pytest.approx(0.65)


def test_the_skim_meets_and_leaves_the_wall_tangentially():
    for skim in steps(planned((RECTANGLE, Task.OUTSIDE)), "skim"):
        ways = [p.segments for p in (skim.entry, skim.cut, skim.exit)]
        headings = np.concatenate([w.heading_rad for w in ways])
        ends = np.concatenate([w.heading_rad + w.sweep_rad for w in ways])
        corners = {len(ways[0]) + k for k in range(1, len(ways[1]))}
        for node, turn in enumerate(headings[1:] - ends[:-1], 1):
            if node not in corners:
                assert math.remainder(turn, 2 * math.pi) == pytest.approx(0.0, abs=1e-9)


def test_a_cut_goes_all_round_and_past_its_beginning_by_the_seam_overlap():
    for path in planned((RECTANGLE, Task.OUTSIDE)).toolpaths:
        assert np.allclose(path.cut.points[0], path.cut.points[-1])
        over = path.exit.point_and_heading_at(path.step.seam_overlap_mm)[0]
        assert over == pytest.approx(path.cut.point_and_heading_at(path.step.seam_overlap_mm)[0])


def test_a_small_hole_is_entered_on_a_helix_and_a_large_one_on_a_ramp():
    small = steps(planned((circle((0.0, 0.0), 4.5), Task.INSIDE)), "rough")[0]
    large = steps(planned((RECTANGLE, Task.OUTSIDE)), "rough")[0]
    assert (small.entry_kind, large.entry_kind) == (Entry.HELIX, Entry.RAMP)


def test_a_hole_without_room_for_roughing_is_cut_out_of_the_full_sheet_and_said():
    paths = planned((circle((0.0, 0.0), 3.3), Task.INSIDE))
    assert [f.code for f in paths.findings] == ["no-room"]
    assert [t.bands[0].radial_width_mm for t in paths.toolpaths] == [6.0, 6.0]


def test_a_hole_smaller_than_the_cutter_is_outside_and_said_with_its_place():
    paths = planned((circle((7.0, 9.0), 2.0), Task.INSIDE))
    assert not paths.toolpaths
    finding = paths.findings[-1]
    assert (finding.code, finding.severity, finding.contour_id) == ("cutter-too-wide", "outside", 1)
    assert finding.at_mm == pytest.approx((9.0, 9.0))


def test_a_finisher_wider_than_the_slot_is_said_and_counted():
    paths = planned((RECTANGLE, Task.OUTSIDE), finish_cutter="t6_large_8")
    assert "finisher-too-wide" in [f.code for f in paths.findings]
    skim = steps(paths, "skim")[0]
    assert skim.bands[0].radial_width_mm == pytest.approx(0.5 + 8.0 - 6.5)


def test_holes_take_the_hole_cutter():
    paths = planned(
        (RECTANGLE, Task.OUTSIDE),
        (circle((9.0, 9.0), 5.0), Task.INSIDE),
        hole_cutter="t4_small_4",
    )
    cutters = {t.contour_id: t.mounted.key for t in paths.toolpaths if t.step.name == "skim"}
    assert cutters == {1: "t2_finisher_6", 2: "t4_small_4"}


def test_the_job_s_stock_takes_the_place_of_the_recipe_s():
    rough = steps(
        planned((RECTANGLE, Task.OUTSIDE), wall_stock_mm=0.8, floor_stock_mm=0.3), "rough"
    )
    assert (rough[0].wall_stock_mm, rough[-1].floor_stock_mm) == (0.8, 0.3)
