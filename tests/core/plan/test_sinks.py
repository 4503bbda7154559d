"""Countersinks and counterbores from two circles about one middle."""

import io
import re

import ezdxf
import pytest

from core.handover.nc_writer import nc_programs
from core.handover.proof import prove
from core.handover.work import Work
from core.job import ContourChoice, DrawingFile, Job, Task
from core.pipeline import Pipeline


def plate(*rings, **job):
    """Return what follows from a plate with rings about (30, 20); a ring is (diameter, choice)."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    space = doc.modelspace()
    space.add_lwpolyline([(0, 0), (60, 0), (60, 40), (0, 40)], close=True)
    for diameter, _ in rings:
        space.add_circle((30, 20), diameter / 2.0)
    text = io.StringIO()
    doc.write(text)
    choices = [ContourChoice(n, **choice) for n, (_, choice) in enumerate(rings, 2) if choice]
    drawing = DrawingFile("plate.dxf", text.getvalue().encode(), contours=tuple(choices))
    return Pipeline().results(Job(name="plate", drawings=(drawing,), **job))


def sunk(diameter=10.4, hole=5.5, **job):
    return plate((diameter, {"task": Task.COUNTERSINK}), (hole, {}), drill_holes=True, **job)


def bored():
    return plate((16.0, {"task": Task.COUNTERBORE, "depth_mm": 2.5}), (9.0, {}))


def trip_of(results, contour):
    return [p.toolpath for p in results.plan.passes if p.toolpath.contour_id == contour]


def codes(results):
    return {f.code for f in results.plan.findings}


def proof_of(results):
    parts = (results.job, results.chosen, results.contours, results.plan)
    work = Work(*parts, results.layout, results.order)
    (program,) = nc_programs(work)
    return prove(work, program.text)


def test_a_countersink_is_as_wide_at_the_top_as_its_ring():
    (trip,) = trip_of(sunk(), 2)
    assert trip.cutting_diameter_mm == pytest.approx(10.4)
    # a V of 90 degrees with a flat of 0.2 mm: (10.4 - 0.2) / 2 deep, plane geometry
    assert trip.z_bottom_mm == pytest.approx(6.0 - 5.1)
    assert trip.bands[0].axial_depth_mm == pytest.approx((10.4 - 5.5) / 2.0)
    assert trip.from_top


def test_it_is_made_after_its_hole_was_drilled_and_before_the_part_is_free():
    results = sunk()
    steps = [
        results.plan.passes[line.pass_index].toolpath.step.name for line in results.order.lines
    ]
    assert steps.index("drill") < steps.index("countersink") < steps.index("skim")


def test_a_countersunk_plate_plans_without_a_gouge_and_its_program_is_proven():
    results = sunk()
    assert "cutter-enters-part" not in codes(results)
    proof = proof_of(results)
    assert proof.complaints == ()
    assert proof.severed == proof.outlines == 2


@pytest.mark.parametrize(
    ("diameter", "hole", "thickness", "code"),
    [
        (12.5, 6.6, 6.0, "sink-too-wide"),  # wider than the V cutter's 12 mm
        (10.4, 5.5, 2.0, "sink-too-deep"),  # the cone is 2.45 mm deep
        (10.4, 5.5, 4.0, "sink-too-deep"),  # the end of the V would run 1.1 mm into the board
    ],
)
def test_a_countersink_that_cannot_be_made_is_not_cut(diameter, hole, thickness, code):
    results = sunk(diameter, hole, thickness_mm=thickness)
    assert trip_of(results, 2) == []
    assert code in codes(results)
    assert "task-not-planned" not in codes(results)


@pytest.mark.parametrize(
    ("material", "told"), [("acrylic_cast", True), ("acrylic_extruded", True), ("petg", False)]
)
def test_brittle_sheet_is_warned_of_countersinks(material, told):
    assert ("brittle-countersink" in codes(sunk(material=material))) == told


def test_a_counterbore_is_a_recess_with_a_hole_through_its_floor():
    results = bored()
    recess, hole = trip_of(results, 2), trip_of(results, 3)
    assert min(t.z_bottom_mm for t in recess) == pytest.approx(3.5)
    assert all(t.from_top for t in recess)
    assert min(t.z_bottom_mm for t in hole) == pytest.approx(-0.2)
    assert "cutter-enters-part" not in codes(results)
    assert proof_of(results).complaints == ()


def test_a_counterbore_without_a_depth_is_asked_for_it():
    results = plate((16.0, {"task": Task.COUNTERBORE}), (9.0, {}))
    (finding,) = [f for f in results.plan.findings if f.code == "task-not-planned"]
    assert "counterbore's depth" in finding.message
    assert trip_of(results, 2) == []


def test_a_hole_cut_aside_in_the_floor_of_a_recess_is_still_a_gouge():
    results = bored()
    parts = (results.job, results.chosen, results.contours, results.plan)
    work = Work(*parts, results.layout, results.order)
    (program,) = nc_programs(work)
    head, run = program.text.rsplit("CONTOUR 3", 1)
    run, rest = run.split("(", 1)
    shifted = re.sub(r"X([0-9.]+)", lambda x: f"X{float(x[1]) + 0.05:.3f}", run)
    complaints = prove(work, f"{head}CONTOUR 3{shifted}({rest}").complaints
    assert "gouge" in {c.code for c in complaints}
