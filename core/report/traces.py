"""The traces of many passes, one behind the other: what a sheet is painted from.

A plan has thousands of passes, and one numpy call shall serve them all. No report of a single pass
is made on the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.report.columns import STATES
from core.report.passes import ContourPasses

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.report.passes import PassReports
    from core.report.records import ContourReport, PassReport


@dataclass(frozen=True, eq=False)
class Traces:
    """Samples along p passes; m samples, those of pass i are `first[i]:first[i + 1]`.

    Parameters
    ----------
    places : tuple of (int, int)
        For every pass the place of its contour among those given, and its own within it.
    first : int array of shape (p + 1,)
        Where each pass begins.
    xy_mm : array of shape (m, 2)
        Cutter centre. [mm]
    curvature_per_mm : array of shape (m,)
        Curvature of the way, left positive; 0 where it is not known. [1/mm]
    speed_mm_min, feed_per_tooth_mm : array of shape (m,)
        Speed and chip load reached.
    planned_speed_mm_min, planned_feed_per_tooth_mm, thin_below_mm : array of shape (p,)
        What was planned, and below which chip load the chip is thin.
    state : int array of shape (p,)
        Worst state of each pass: 0 good, 1 tight, 2 outside.
    walls_c : tuple of array or None
        Wall temperature at the samples of each pass; None where heat is not modelled.
    """

    places: tuple[tuple[int, int], ...]
    first: NDArray[np.intp]
    xy_mm: NDArray[np.float64]
    curvature_per_mm: NDArray[np.float64]
    speed_mm_min: NDArray[np.float64]
    feed_per_tooth_mm: NDArray[np.float64]
    planned_speed_mm_min: NDArray[np.float64]
    planned_feed_per_tooth_mm: NDArray[np.float64]
    thin_below_mm: NDArray[np.float64]
    state: NDArray[np.int8]
    walls_c: tuple[NDArray[np.float64] | None, ...]

    @cached_property
    def wall_c(self) -> NDArray[np.float64]:
        """Wall temperature at every sample, nan where it is not modelled, shape (m,). [°C]."""
        counts = np.diff(self.first).tolist()
        parts = [
            np.full(count, np.nan) if wall is None else wall
            for wall, count in zip(self.walls_c, counts, strict=True)
        ]
        return np.concatenate(parts) if parts else np.zeros(0)


def traces_of(contours: Sequence[ContourReport]) -> Traces:
    """Return the traces of all passes of some contours, in their order."""
    groups = [contour.passes for contour in contours]
    places = tuple((row, place) for row, group in enumerate(groups) for place in range(len(group)))
    made = [group for group in groups if isinstance(group, ContourPasses) and len(group)]
    if made and len(made) == sum(bool(len(group)) for group in groups):
        indices = np.array([index for group in made for index in group.indices], dtype=np.intp)
        return _of_plan(made[0].reports, indices, places)
    return _of_reports([one for group in groups for one in group], places)


def _of_plan(
    reports: PassReports, passes: NDArray[np.intp], places: tuple[tuple[int, int], ...]
) -> Traces:
    """Take slices of the arrays of the whole plan."""
    facts, along = reports.facts, reports.facts.motion.along
    measures, plan = facts.measures, facts.plan.passes
    counts = np.diff(along.first)[passes]
    first = np.concatenate([[0], np.cumsum(counts)]).astype(np.intp)
    at: slice | NDArray[np.intp]
    if len(passes) and np.array_equal(passes, np.arange(passes[0], passes[0] + len(passes))):
        at = slice(int(along.first[passes[0]]), int(along.first[passes[-1] + 1]))
    else:
        at = np.repeat(along.first[passes] - first[:-1], counts) + np.arange(first[-1])
    heat = facts.heat
    return Traces(
        places=places,
        first=first,
        xy_mm=along.xy_mm[at],
        curvature_per_mm=along.curvature_per_mm[at],
        speed_mm_min=along.speed_mm_s[at] * 60.0,
        feed_per_tooth_mm=measures.feed_per_tooth_mm[at],
        planned_speed_mm_min=np.array([plan[i].feed_speed_mm_min for i in passes.tolist()]),
        planned_feed_per_tooth_mm=np.array([plan[i].feed_per_tooth_mm for i in passes.tolist()]),
        thin_below_mm=np.asarray(measures.thin_below_mm)[passes],
        state=reports.judged.worst_state[passes],
        walls_c=tuple(map(heat.wall_along_c, passes.tolist())),
    )


def _of_reports(passes: Sequence[PassReport], places: tuple[tuple[int, int], ...]) -> Traces:
    """Join the traces of single reports."""
    traces = [one.trace for one in passes]
    counts = [len(trace.xy_mm) for trace in traces]
    xy = np.concatenate([t.xy_mm for t in traces]) if traces else np.zeros((0, 2))
    none = [np.zeros(0)]
    return Traces(
        places=places,
        first=np.concatenate([[0], np.cumsum(counts)]).astype(np.intp),
        xy_mm=xy,
        curvature_per_mm=np.zeros(len(xy)),
        speed_mm_min=np.concatenate([*none, *(t.speed_mm_min for t in traces)]),
        feed_per_tooth_mm=np.concatenate([*none, *(t.feed_per_tooth_mm for t in traces)]),
        planned_speed_mm_min=np.array([one.feed_speed_mm_min for one in passes]),
        planned_feed_per_tooth_mm=np.array([one.feed_per_tooth_mm for one in passes]),
        thin_below_mm=np.array([one.thin.below_mm for one in passes]),
        state=np.array([STATES.index(one.state) for one in passes], dtype=np.int8),
        walls_c=tuple(t.wall_c for t in traces),
    )
