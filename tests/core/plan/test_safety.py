"""The proof that no cutter enters a part catches what it must, and passes what is sound."""

import io
from dataclasses import replace

import ezdxf
import numpy as np
import pytest

from core.contours import find_contours
from core.drawing import read_drawing
from core.geometry.path import Path, circle
from core.job import DrawingFile, Job
from core.job.file import read_job
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose, plan_toolpaths
from core.plan.safety import gouges

SHELF = Shelf()


def drawn(rectangles):
    """Return the contours of rectangles (x, y, width, height) drawn in mm."""
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 4
    for x, y, w, h in rectangles:
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        doc.modelspace().add_lwpolyline(corners, close=True)
    out = io.StringIO()
    doc.write(out)
    file = DrawingFile("r.dxf", out.getvalue().encode())
    return find_contours(read_drawing(file), file), file


def planned(rectangles):
    contours, file = drawn(rectangles)
    paths = plan_toolpaths((contours,), (file,), choose(Job(), SHELF).cutting)
    return (contours,), paths.toolpaths


@pytest.mark.parametrize("name", ["guard_panel", "scale_cover", "shop_sign"])
def test_the_sample_jobs_enter_no_part(request, name):
    job = read_job(request.config.rootpath / "sample_jobs" / name / f"{name}.pane")
    results = Pipeline().results(job)
    assert gouges(results.contours, [p.toolpath for p in results.plan.passes]) == ()


@pytest.mark.parametrize(("gap", "codes"), [(6.1, []), (5.9, ["cutter-enters-part"] * 2)])
def test_a_neighbour_nearer_than_the_cutter_is_wide_is_named(gap, codes):
    contours, paths = planned([(0, 0, 50, 40), (50 + gap, 0, 50, 40)])
    skims = [t for t in paths if t.wall_stock_mm == 0.0]
    assert [f.code for f in gouges(contours, skims)] == codes


@pytest.mark.parametrize("shift", [0.01, 0.1, 3.0])
def test_a_path_that_is_moved_towards_the_part_is_caught(shift):
    contours, paths = planned([(0, 0, 50, 40)])
    skim = next(t for t in paths if t.wall_stock_mm == 0.0)
    moved = replace(skim, cut=skim.cut.moved((shift, 0.0)))
    assert gouges(contours, [moved])


def test_a_cutter_wider_than_planned_is_caught():
    contours, paths = planned([(0, 0, 50, 40)])
    skim = next(t for t in paths if t.wall_stock_mm == 0.0)
    wide = replace(skim, mounted=replace(skim.mounted, measured_diameter_mm=6.02))
    assert gouges(contours, [wide])
    assert np.isclose(wide.mounted.diameter_mm, 6.02)


def test_a_path_through_the_middle_of_a_part_is_caught_far_from_its_outline():
    contours, paths = planned([(0, 0, 50, 40)])
    skim = next(t for t in paths if t.wall_stock_mm == 0.0)
    inside = circle((25.0, 20.0), 5.0)
    lost = Path(np.vstack([inside.points, inside.points[:1]]), inside.bulges, closed=False)
    still = Path(lost.points[[0, 0]], np.zeros(1), closed=False)
    assert gouges(contours, [replace(skim, entry=still, cut=lost, exit=still)])


@pytest.mark.parametrize("depth_mm", [0.002, 0.1, 0.29, 0.31, 2.9, 3.1, 9.0])
def test_a_path_that_dips_towards_a_part_is_caught_however_shallow(depth_mm):
    contours, paths = planned([(0, 0, 50, 40)])
    skim = next(t for t in paths if t.wall_stock_mm == 0.0)
    # an arc that comes from far off, a little nearer than the radius of 3 mm or into the part
    ends = np.array([[5.0, 53.0], [45.0, 53.0]])
    dip = Path(ends, np.array([(10.0 + depth_mm) / 20.0]), closed=False)
    still = Path(ends[[0, 0]], np.zeros(1), closed=False)
    assert gouges(contours, [replace(skim, entry=still, cut=dip, exit=still)])


def test_a_path_that_keeps_the_cutters_radius_is_passed():
    contours, paths = planned([(0, 0, 50, 40)])
    skim = next(t for t in paths if t.wall_stock_mm == 0.0)
    ends = np.array([[5.0, 53.0], [45.0, 53.0]])
    dip = Path(ends, np.array([10.0 / 20.0]), closed=False)
    still = Path(ends[[0, 0]], np.zeros(1), closed=False)
    assert not gouges(contours, [replace(skim, entry=still, cut=dip, exit=still)])
