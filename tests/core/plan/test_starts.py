"""Rings started elsewhere are the same rings, entered as well as before."""

import numpy as np
import pytest

from core.geometry.distance import distance_to
from core.geometry.path import Path
from core.job.file import read_job
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose, plan_toolpaths
from core.plan.entries import is_nowhere
from core.plan.safety import gouges
from core.plan.starts import PLACES, free_starts, restarted


@pytest.fixture(scope="module", params=["guard_panel", "scale_cover", "shop_sign"])
def planned(request):
    """Toolpaths started at their gentlest places, and the contours they run round."""
    root = request.config.rootpath / "sample_jobs" / request.param
    job = read_job(root / f"{request.param}.pane")
    contours = Pipeline().results(job).contours
    return plan_toolpaths(contours, job.drawings, choose(job, Shelf()).cutting), contours


def ring_of(path):
    return Path(path.cut.points[:-1], path.cut.bulges)


@pytest.mark.parametrize("number", range(1, PLACES))
def test_a_ring_started_elsewhere_is_the_same_ring(planned, number):
    paths, contours = planned
    starts = free_starts(paths)
    again = restarted(paths, starts, (number,) * len(starts.rings))
    assert starts.rings
    for before, after in zip(paths.toolpaths, again.toolpaths, strict=True):
        assert after.cut.length_mm == pytest.approx(before.cut.length_mm)
        assert distance_to(before.cut, after.cut.points).max() < 1e-9
        assert is_nowhere(after.entry) == is_nowhere(before.entry)
        assert after.entry.length_mm == pytest.approx(before.entry.length_mm, rel=0.5, abs=2.0)
    assert gouges(contours, again.toolpaths) == ()


def test_a_ring_begins_at_the_place_that_was_chosen(planned):
    paths, _ = planned
    starts = free_starts(paths)
    again = restarted(paths, starts, (3,) * len(starts.rings))
    for number, ring in enumerate(starts.rings):
        trip = again.toolpaths[ring.trips[0]]
        run = ring.lines.rings.subset(np.array([ring.number])).paths()[0]
        wanted = run.point_and_heading_at(float(starts.s_mm[number, 3]))[0]
        kept = trip is paths.toolpaths[ring.trips[0]]
        assert kept or trip.cut.points[0] == pytest.approx(wanted, abs=1e-9)


def test_the_first_place_is_where_a_ring_is_started_now(planned):
    paths, _ = planned
    starts = free_starts(paths)
    again = restarted(paths, starts, (0,) * len(starts.rings))
    assert all(a is b for a, b in zip(again.toolpaths, paths.toolpaths, strict=True))
    for number, ring in enumerate(starts.rings):
        trip = paths.toolpaths[ring.trips[0]]
        assert starts.enter_mm[number, 0] == pytest.approx(trip.entry.points[0])
        assert starts.leave_mm[number, 0] == pytest.approx(trip.exit.points[-1])
