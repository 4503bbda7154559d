"""Edge breaks: the flank of a V makes a chamfer as wide as asked for, before the piece parts."""

import io
import math
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from core.contours.records import Contour, Contours, Kind, Shape
from core.errors import PlanError
from core.geometry.path import Path, circle
from core.handover.nc_writer import nc_programs
from core.handover.proof import prove
from core.handover.work import Work
from core.job import ContourChoice, DrawingFile, Job, Task
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose, plan_toolpaths
from core.plan.edges import chamfer_of
from core.plan.safety import gouges

SHELF = Shelf()
V = SHELF.cutter("v_90")
PART = Path(np.array([[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0]]), np.zeros(4))
HOLE = circle((40.0, 25.0), 8.0)


def group_of(*rows):
    found = tuple(
        Contour(n, path, kind, parent, 0, "0", f"Contour {n}", Shape.OTHER, None, task)
        for n, (path, kind, task, parent) in enumerate(rows, 1)
    )
    return Contours(found, (), (0, 0, 80, 50), (80, 50), 1, 0, 0, 1.0, ())


def planned(*rows, choices=(), **job):
    file = DrawingFile("panel.dxf", b"", contours=tuple(choices))
    cutting = choose(Job(drawings=(file,), **job), SHELF).cutting
    return plan_toolpaths((group_of(*rows),), (file,), cutting)


def both(**job):
    rows = ((PART, Kind.OUTER, Task.OUTSIDE, None), (HOLE, Kind.HOLE, Task.INSIDE, 1))
    return planned(*rows, **job)


def breaks(paths):
    return [t for t in paths.toolpaths if t.step.name == "edge break"]


@pytest.mark.parametrize("width", [0.3, 0.4, 0.5, 1.0])
def test_the_flank_takes_the_width_off_the_top_and_nothing_off_the_wall_below(width):
    outer, hole = breaks(both(edge_break_mm=width))
    for trip, wall in ((outer, Polygon(PART.points).exterior), (hole, None)):
        off = [
            wall.distance(Point(p)) if wall else 8.0 - math.dist(p, (40.0, 25.0))
            for p in trip.cut.flattened(1e-4)
        ]
        assert off == pytest.approx([min(off)] * len(off), abs=1e-3)
        # a cone of 90 degrees is as wide as it is high: at the top it reaches the width into the
        # part, and as deep below the top just to the wall (plane geometry)
        top = trip.diameter_at_mm(trip.z_bottom_mm, 6.0) / 2.0
        foot = trip.diameter_at_mm(trip.z_bottom_mm, 6.0 - width) / 2.0
        assert top - min(off) == pytest.approx(width, abs=1e-3)
        assert foot == pytest.approx(min(off), abs=1e-3)
        assert trip.z_bottom_mm == pytest.approx(6.0 - width - 0.5)
        assert trip.reach_mm == pytest.approx(min(off), abs=1e-3)


def test_the_end_of_the_cone_stays_above_the_bed_of_a_thin_sheet():
    chamfer = chamfer_of(0.4, V, 0.5, 0.8)
    assert chamfer.end_mm == pytest.approx(0.7)
    assert chamfer_of(0.4, V, 0.5, 0.45) is None


def test_the_edge_is_broken_after_roughing_and_before_the_piece_parts():
    paths = both(edge_break_mm=0.4)
    stages = {(t.contour_id, t.step.name): t.stage for t in paths.toolpaths}
    assert stages[1, "rough"] < stages[1, "edge break"] < stages[1, "skim"]


def test_its_depth_is_taken_from_the_top_and_that_of_a_through_cut_from_the_bed():
    for trip in both(edge_break_mm=0.4).toolpaths:
        assert trip.from_top == (trip.step.name == "edge break")


def test_a_contour_can_have_its_own_or_none():
    paths = both(edge_break_mm=0.4, choices=[ContourChoice(1, edge_break_mm=0.0)])
    assert [t.contour_id for t in breaks(paths)] == [2]
    paths = both(choices=[ContourChoice(2, edge_break_mm=0.5)])
    assert [(t.contour_id, t.beyond_mm) for t in breaks(paths)] == [(2, 0.5)]


def test_the_task_alone_breaks_the_edge_and_cuts_nothing_else():
    paths = planned((HOLE, Kind.HOLE, Task.EDGE_BREAK, None))
    (trip,) = paths.toolpaths
    assert (trip.step.name, trip.beyond_mm) == ("edge break", 0.4)
    assert Point(40.0, 25.0).distance(LineString(trip.cut.flattened(0.01))) < 8.0


def test_the_edge_of_a_hole_in_a_recess_is_left_alone():
    rows = (
        (circle((40.0, 25.0), 10.0), Kind.HOLE, Task.COUNTERBORE, None),
        (circle((40.0, 25.0), 5.0), Kind.ISLAND, Task.INSIDE, 1),
    )
    assert breaks(planned(*rows, choices=[ContourChoice(1, depth_mm=2.0)], edge_break_mm=0.4)) == []


def test_a_hole_too_small_for_the_cone_says_that_its_edge_stays_sharp():
    paths = planned((circle((5.0, 5.0), 0.5), Kind.HOLE, Task.INSIDE, None), edge_break_mm=0.4)
    assert "edge-not-broken" in [f.code for f in paths.findings]


@pytest.mark.parametrize(
    ("material", "measured", "told"),
    [
        ("acrylic_cast", (), True),  # plus or minus 1.0 mm at 6 mm: ISO 7823-1 as quoted
        ("acrylic_extruded", (), False),  # 5 %: 0.3 mm
        ("acrylic_cast", (5.9, 6.0, 5.8), False),  # 0.2 mm between the thickest and the thinnest
        ("acrylic_cast", (5.5, 6.0), True),
    ],
)
def test_a_sheet_whose_top_may_lie_further_off_than_the_chamfer_is_told(material, measured, told):
    paths = both(edge_break_mm=0.4, material=material, measured_thickness_mm=measured)
    assert ("edge-uneven" in [f.code for f in paths.findings]) == told


@pytest.mark.parametrize("width", [-0.1, 3.1])
def test_a_width_that_cannot_be_meant_is_refused(width):
    with pytest.raises(PlanError, match="edge break"):
        both(edge_break_mm=width)
    with pytest.raises(PlanError, match="edge break"):
        both(choices=[ContourChoice(1, edge_break_mm=width)])


def test_the_chamfer_is_no_gouge_and_a_deeper_cone_is():
    rows = ((PART, Kind.OUTER, Task.OUTSIDE, None), (HOLE, Kind.HOLE, Task.INSIDE, 1))
    paths = both(edge_break_mm=0.4).toolpaths
    assert gouges((group_of(*rows),), paths) == ()
    deeper = [t if t.beyond_mm == 0.0 else lowered(t) for t in paths]
    assert {f.contour_id for f in gouges((group_of(*rows),), deeper)} == {1, 2}


def lowered(trip):
    return replace(trip, z_bottom_mm=trip.z_bottom_mm - 0.05)


@pytest.fixture(scope="module")
def work():
    """Return what is handed over of a plate with a hole, edges broken by 0.4 mm."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    doc.modelspace().add_lwpolyline([(0, 0), (80, 0), (80, 50), (0, 50)], close=True)
    doc.modelspace().add_circle((40, 25), 8.0)
    text = io.StringIO()
    doc.write(text)
    drawing = DrawingFile("plate.dxf", text.getvalue().encode())
    job = Job(name="plate", drawings=(drawing,), edge_break_mm=0.4, measured_thickness_mm=(6.0,))
    results = Pipeline().results(job)
    parts = (results.job, results.chosen, results.contours, results.plan)
    return Work(*parts, results.layout, results.order)


def test_a_program_that_breaks_edges_is_proven(work):
    (program,) = nc_programs(work)
    proof = prove(work, program.text)
    assert proof.complaints == ()
    assert proof.severed == proof.outlines == 2


def test_a_program_that_runs_the_cone_deeper_is_a_gouge(work):
    (program,) = nc_programs(work)
    # its end runs 0.4 + 0.5 mm below the top of 6 mm
    assert "Z5.100" in program.text
    changed = prove(work, program.text.replace("Z5.100", "Z5.000"))
    assert {"gouge", "depth"} <= {complaint.code for complaint in changed.complaints}
