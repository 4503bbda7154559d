"""How long a plan takes: all of it with nothing remembered, and one tick of the spindle speed.

`pytest tests/benchmarks/test_replan_speed.py -n 0 --benchmark-enable`. Floors in the same run: a
polygon library's buffer of the same contours for the rougher and the finisher, and one sort of all
samples. Goals: 100 ms for 500 contours and 1 s for 5000, without the order of work, which has its
own goal; 8 ms for a tick.
"""

from dataclasses import replace
from itertools import count

import numpy as np
import pytest
import shapely

from core.contours import find_contours
from core.library.shelf import Shelf
from core.motion import move
from core.pipeline import Pipeline
from core.plan import choose, plan_feeds, plan_toolpaths
from core.plan.safety import gouges
from tests.benchmarks.jobs import planned, plates

# the window keeps the garbage collector waiting until nothing is going on
pytestmark = pytest.mark.benchmark(disable_gc=True)


@pytest.fixture(scope="module", params=[500, 5000])
def job(request):
    # a tenth is enough to see that all of it runs
    timed = request.config.getoption("benchmark_enable")
    return plates(request.param if timed else request.param // 10)


@pytest.fixture(scope="module")
def done(job):
    return planned(job)


def test_contours_to_motion_with_nothing_remembered(benchmark, job, done):
    drawing, chosen = done[1].drawings[0], choose(job, Shelf())

    def replan():
        contours = (find_contours(drawing, job.drawings[0]),)
        paths = plan_toolpaths(contours, job.drawings, chosen.cutting)
        assert not gouges(contours, paths.toolpaths)
        return move(plan_feeds(paths, chosen.feeding).passes, chosen.machine)

    motion = benchmark.pedantic(replan, rounds=5)
    assert len(motion.cutting_s) == len(done[1].plan.passes)


@pytest.mark.parametrize("stage", ["contours", "toolpaths", "safety"])
def test_single_stages(benchmark, job, done, stage):
    results, cutting = done[1], choose(job, Shelf()).cutting
    trips = [one.toolpath for one in results.plan.passes]
    runs = {
        "contours": lambda: find_contours(results.drawings[0], job.drawings[0]),
        "toolpaths": lambda: plan_toolpaths(results.contours, job.drawings, cutting),
        "safety": lambda: gouges(results.contours, trips),
    }
    # none of these plates may be entered by a cutter; the other stages have something to give
    assert bool(benchmark.pedantic(runs[stage], rounds=5)) is (stage != "safety")


def test_floor_two_polygon_buffers(benchmark, done):
    rings = [c.path.flattened(0.01) for c in done[1].contours[0].contours]
    points = np.concatenate(rings)
    index = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])

    def buffered():
        polygons = shapely.polygons(shapely.linearrings(points, indices=index))
        return [shapely.buffer(polygons, away, quad_segs=15) for away in (3.5, 3.0)]

    assert len(benchmark.pedantic(buffered, rounds=3)) == 2


def test_one_tick_of_the_spindle_speed(benchmark, job, done):
    line: Pipeline = done[0]
    speed = count(12_000)

    def tick():
        return line.results(replace(job, spindle_speed_rpm=float(next(speed))))

    results = benchmark.pedantic(tick, rounds=10)
    assert results.plan.passes[0].spindle_speed_rpm > 12_000.0 - 1.0


def test_floor_one_sort_of_all_samples(benchmark, done):
    along = done[1].motion.along
    key = along.pass_index + along.speed_mm_s / 1e4
    assert len(benchmark(lambda: np.argsort(key))) == len(key)
