"""Drilled holes: which drill fits, its pecks, its time, its feeds, and a program that is proven."""

import io
import math
from dataclasses import replace
from itertools import pairwise

import ezdxf
import pytest

from core.contours.records import Contour, Contours, Kind, Shape
from core.errors import PlanError
from core.geometry.path import circle
from core.handover.nc_writer import nc_programs
from core.handover.proof import prove
from core.handover.read_time import cycle_time_s
from core.handover.work import Work
from core.job import ContourChoice, DrawingFile, Job, Task
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose, plan_toolpaths
from core.plan.drilling import drill_for, pecks_of, with_drilled_holes
from core.report.as_json import report_fields

SHELF = Shelf()
CUTTING = choose(Job(), SHELF).cutting
STEP = CUTTING.recipe_for(Task.DRILL, None).steps[0]


def planned(diameter, task=Task.DRILL, **job):
    """Plan one circle of a 6 mm sheet."""
    hole = Contour(
        1,
        circle((20.0, 30.0), diameter / 2.0),
        Kind.HOLE,
        None,
        1,
        "0",
        "Hole",
        Shape.CIRCLE,
        diameter,
        task,
    )
    group = Contours((hole,), (), (0, 0, 40, 60), (40, 60), 1, 1, 0, 1.0, ())
    file = DrawingFile("panel.dxf", b"")
    return plan_toolpaths((group,), (file,), choose(Job(drawings=(file,), **job), SHELF).cutting)


def plate(**job):
    """Return what follows from a plate with two 5 mm holes and one of 25 mm."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    space = doc.modelspace()
    space.add_lwpolyline([(0, 0), (120, 0), (120, 80), (0, 80)], close=True)
    for x, y, radius in ((15, 15, 2.5), (105, 15, 2.5), (60, 40, 12.5)):
        space.add_circle((x, y), radius)
    text = io.StringIO()
    doc.write(text)
    drawing = DrawingFile("plate.dxf", text.getvalue().encode())
    return Pipeline().results(Job(name="plate", drawings=(drawing,), **job))


@pytest.fixture(scope="module")
def drilled():
    return plate(drill_holes=True)


@pytest.mark.parametrize(
    ("diameter", "drill"),
    [(5.0, 5.0), (5.05, 5.0), (4.95, 5.0), (5.06, None), (5.5, 5.5), (7.0, None)],
)
def test_a_drill_fits_a_hole_as_wide_as_itself_within_a_twentieth_of_a_millimetre(diameter, drill):
    found = drill_for(diameter, CUTTING.drills)
    assert (found and found.diameter_mm) == drill


@pytest.mark.parametrize("thickness", [1.0, 3.0, 6.0, 12.0, 20.0])
@pytest.mark.parametrize("drill", CUTTING.drills, ids=lambda d: d.key)
def test_pecks_are_a_diameter_deep_at_most_until_the_point_breaks_through(drill, thickness):
    pecks = pecks_of(STEP, drill, thickness, 0.2)
    *above, last = pecks
    assert pecks[0].from_mm == thickness
    for before, after in pairwise(pecks):
        assert before.bottom_mm < after.from_mm <= before.bottom_mm + 0.5 + 1e-12
    depths = [thickness, *(peck.bottom_mm for peck in above)]
    steps = [a - b for a, b in pairwise(depths)]
    assert all(step <= drill.diameter_mm + 1e-9 for step in steps)
    assert steps == pytest.approx([steps[0]] * len(steps))
    assert all(peck.feed_share == 1.0 for peck in above)
    assert last.feed_share == 0.5


def test_a_hole_is_through_where_the_full_diameter_is():
    (hole,) = planned(8.0).toolpaths
    # the point of an 8 mm drill of 90 degrees is 4 mm long: plane geometry
    assert hole.z_bottom_mm == pytest.approx(-0.2 - 4.0)
    assert hole.diameter_at_mm(hole.z_bottom_mm, -0.2) == pytest.approx(8.0)
    assert hole.diameter_at_mm(hole.z_bottom_mm, -1.2) == pytest.approx(6.0)


def test_a_point_deep_in_the_board_is_told():
    (finding,) = planned(8.0).findings
    assert (finding.code, "4.2 mm into the board" in finding.message) == ("point-in-board", True)


def test_a_hole_that_no_drill_fits_is_not_drilled_and_says_which_there_are():
    paths = planned(7.3)
    assert paths.toolpaths == ()
    (finding,) = paths.findings
    assert (finding.code, finding.severity) == ("no-drill", "outside")
    assert "4, 5, 5.5, 6.6, 8 mm" in finding.message


def test_a_job_may_name_the_drills_that_it_uses():
    assert [f.code for f in planned(5.0, drills=("t15_drill_8",)).findings] == ["no-drill"]
    with pytest.raises(PlanError, match="a drill is needed"):
        planned(5.0, drills=("t1_rougher_6",))


def test_a_drill_cuts_no_outline():
    with pytest.raises(PlanError, match="an end mill is needed"):
        planned(5.0, rough_cutter="t12_drill_5")
    with pytest.raises(PlanError, match="not for outlines"):
        planned(5.0, recipe="drill")


def test_only_holes_that_nobody_decided_about_are_drilled(drilled):
    contours, drills = drilled.contours, CUTTING.drills
    file = DrawingFile("plate.dxf", b"", contours=(ContourChoice(2, task=Task.INSIDE),))
    plain = plate().contours
    assert [c.task for c in contours[0].contours] == ["outside", "drill", "drill", "inside"]
    chosen = with_drilled_holes(plain, (file,), drills)
    assert [c.task for c in chosen[0].contours] == ["outside", "inside", "drill", "inside"]


def of_holes(results):
    return [
        (k, one) for k, one in enumerate(results.plan.passes) if one.toolpath.contour_id in (2, 3)
    ]


def test_a_drill_is_fed_by_the_turn_and_no_faster_than_its_cutting_speed(drilled):
    for _, one in of_holes(drilled):
        # 0.05 to 0.13 mm a turn: Mechanical Engineer's Data Handbook, section 5.7.5
        assert 0.05 <= one.feed_speed_mm_min / one.spindle_speed_rpm <= 0.13
        assert one.bounds_on_speed[0].name == "cutting_speed"
        speed = math.pi * 0.005 * one.spindle_speed_rpm
        assert speed == pytest.approx(180.0)


def test_what_was_set_for_end_mills_does_not_drive_a_drill():
    results = plate(drill_holes=True, spindle_speed_rpm=18_000.0, feed_per_tooth_mm=0.2)
    for _, one in of_holes(results):
        assert one.spindle_speed_rpm < 12_000.0
        assert one.feed_per_tooth_mm == pytest.approx(0.045)


def test_the_time_of_a_hole_is_that_of_its_pecks_and_lifts(drilled):
    index, one = of_holes(drilled)[0]
    machine = drilled.chosen.machine

    def straight(way_mm, speed_mm_min):
        speed = speed_mm_min / 60.0
        ramp = speed**2 / machine.acceleration_mm_s2
        assert way_mm > ramp
        return way_mm / speed + speed / machine.acceleration_mm_s2

    # 6 mm, a 5 mm drill of 60 degrees: 6 to 3.25 to 0.5, then slowly to -0.2 - 4.330
    feed = one.feed_speed_mm_min
    end = -0.2 - 2.5 * math.sqrt(3.0)
    cutting = straight(2.75, feed) + straight(3.25, feed) + straight(1.0 - end, feed / 2.0)
    assert float(drilled.motion.cutting_s[index]) == pytest.approx(cutting, rel=1e-9)
    lifts = [7.0 - 3.25, 7.0 - 3.75, 7.0 - 0.5, 7.0 - 1.0]
    lifted = sum(straight(way, machine.plunge_mm_min) for way in lifts)
    assert float(drilled.motion.entering_s[index]) == pytest.approx(lifted, rel=1e-9)
    assert float(drilled.motion.cutting_jerk_s[index]) > cutting


def test_the_samples_of_a_drill_stand_still_and_add_up_to_its_way(drilled):
    index, one = of_holes(drilled)[0]
    along = drilled.motion.along
    part = slice(int(along.first[index]), int(along.first[index + 1]))
    assert along.xy_mm[part] == pytest.approx(
        along.xy_mm[part][:1].repeat(len(along.s_mm[part]), 0)
    )
    assert along.length_weight_mm[part].sum() == pytest.approx(one.toolpath.length_mm)


def test_what_is_not_modelled_for_a_drill_is_null_in_the_report(drilled):
    fields = report_fields(drilled.report, "test")
    (one,) = next(c for c in fields["contours"] if c["task"] == "drill")["passes"]
    for name in ("power_w", "lateral_force_n", "feed_mark_um", "direction", "wall_temperature_c"):
        assert one[name] is None
    assert one["heat_margin_k"] is None
    assert one["depth_from"] == "bed"
    assert one["engagement"] == [{"z_top_mm": 6.0, "z_bottom_mm": 0.0, "radial_width_mm": 5.0}]
    # an edge that lies aslant by half of 60 degrees cuts half as thick: h = f_z sin(30)
    reached, chip = one["feed_per_tooth_reached_mm"], one["chip_thickness_mm"]
    assert chip["max"] == pytest.approx(reached["max"] / 2.0)
    names = {limit["name"] for limit in one["limits"]}
    assert {"rubbing", "chip_load_high", "cutting_length", "maker_speed"} <= names
    assert not {"heat", "spindle_power", "bending", "chip_packing"} & names


def test_drilling_leaves_the_heat_of_the_other_passes_modelled(drilled):
    for one, heat in zip(drilled.plan.passes, drilled.heat, strict=True):
        assert (heat is None) == bool(one.toolpath.pecks)


def work(results):
    parts = (results.job, results.chosen, results.contours, results.plan)
    return Work(*parts, results.layout, results.order)


def test_the_program_of_a_drilled_plate_is_proven_and_takes_the_planned_time(drilled):
    mine = work(drilled)
    (program,) = nc_programs(mine)
    proof = prove(mine, program.text)
    assert proof.complaints == ()
    assert (proof.outlines, proof.severed) == (4, 4)
    planned_s = drilled.report.totals.cycle_time_s
    assert cycle_time_s([proof.program], drilled.chosen.machine) == pytest.approx(
        planned_s, abs=0.01
    )


@pytest.mark.parametrize(
    ("written", "instead", "code"),
    [
        ("Z-4.530", "Z-4.200", "uncut"),  # the full diameter does not come through
        ("Z-4.530", "Z-5.000", "depth"),  # deeper than planned
        ("G1 Z0.500", "G1 Z-4.530", "path"),  # a peck left out
        ("X36.000 Y36.000", "X36.100 Y36.000", "gouge"),
    ],
)
def test_a_drilled_program_that_was_changed_is_not_proven(drilled, written, instead, code):
    mine = work(drilled)
    (program,) = nc_programs(mine)
    assert written in program.text
    changed = prove(mine, program.text.replace(written, instead, 1))
    assert code in {complaint.code for complaint in changed.complaints}


def test_a_drill_a_little_wider_than_its_hole_is_no_gouge():
    hole = planned(4.96).toolpaths[0]
    assert hole.beyond_mm == pytest.approx(0.02)
    assert hole.reach_mm == pytest.approx(2.48)


def test_a_damaged_drill_on_the_shelf_stops_no_plan(tmp_path):
    folder = tmp_path / "mounted"
    folder.mkdir()
    (folder / "t99_broken.toml").write_text("name = 3")
    assert len(choose(Job(), Shelf(folder=tmp_path)).cutting.drills) == len(CUTTING.drills)


def test_a_recipe_of_the_shop_can_drill_in_one_go():
    whole = replace(STEP, peck_times_diameter=0.0, break_through_share=1.0)
    pecks = pecks_of(whole, CUTTING.drills[0], 12.0, 0.2)
    assert [round(peck.bottom_mm, 3) for peck in pecks][:1] == [0.5]
    assert len(pecks) == 2
