"""Reports of single passes, made when somebody looks at them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, partial
from typing import TYPE_CHECKING, overload

import numpy as np

from core.report.columns import STATES
from core.report.limits import Judged, judge
from core.report.numbers import pass_numbers
from core.report.records import Band, EngagementBand, PassReport, Spread, State, Thin, Trace

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.motion.reached import Spreads
    from core.report.facts import Facts


class PassReports:
    """Makes pass reports; what can be computed for all passes at once is."""

    def __init__(self, facts: Facts, accepted: Mapping[str, str]) -> None:
        self.facts = facts
        self.judged: Judged = judge(facts, accepted)
        self._made: dict[int, PassReport] = {}

    def report(self, index: int) -> PassReport:
        """Return the report of one pass."""
        if index not in self._made:
            self._made[index] = self._make(index)
        return self._made[index]

    def time_s(self, index: int) -> float:
        """Return the time of one pass, entry and exit included. [s]."""
        motion = self.facts.motion
        return float(motion.cutting_s[index] + motion.entering_s[index])

    def state(self, index: int) -> State:
        """Return the worst state of one pass."""
        return STATES[self.judged.worst_state[index]]

    def hold_down_ratio(self, indices: tuple[int, ...]) -> float | None:
        """Return the least hold-down ratio of some passes; None where none frees a piece."""
        found = [self._grips[index] for index in indices if index in self._grips]
        return min(found, default=None)

    @cached_property
    def _grips(self) -> dict[int, float]:
        """The hold-down ratio of every pass that frees a piece."""
        grips: dict[int, float] = {}
        for column in self.judged.columns:
            if column.name == "hold_down":
                rows = np.flatnonzero(column.applies)
                grips = dict(zip(rows.tolist(), column.actual[rows].tolist(), strict=True))
        return grips

    def _make(self, index: int) -> PassReport:
        facts, m = self.facts, self.facts.measures
        one, heat = facts.plan.passes[index], facts.heat[index]
        path, mounted = one.toolpath, one.toolpath.mounted
        forces = m.forces if path.is_milled else None
        marks = path.is_milled and path.wall_stock_mm <= 0.0
        reached = _spread(m.feed_spread, index)
        seconds = self.time_s(index)
        return PassReport(
            step=path.step.name,
            cutter=mounted.key,
            cutter_name=mounted.name,
            z_top_mm=path.z_top_mm,
            z_bottom_mm=path.z_bottom_mm,
            wall_stock_mm=path.wall_stock_mm,
            floor_stock_mm=path.floor_stock_mm,
            engagement=tuple(
                EngagementBand(b.z_top_mm, b.z_bottom_mm, b.radial_width_mm) for b in path.bands
            ),
            direction=None if path.pecks else path.step.direction.value,
            spindle_speed_rpm=one.spindle_speed_rpm,
            feed_per_tooth_mm=one.feed_per_tooth_mm,
            feed_speed_mm_min=one.feed_speed_mm_min,
            binding_limit=one.bounds_on_feed[0].label,
            path_length_mm=path.length_mm,
            time_s=seconds,
            feed_per_tooth_reached_mm=reached,
            chip_thickness_mm=_spread(m.chip_spread, index),
            thin=self._thin(index),
            power_w=float(forces.power_w[index]) if forces else None,
            lateral_force_n=float(forces.lateral_n[index]) if forces else None,
            wall_error_mm=float(forces.wall_error_mm[index]) if forces else None,
            feed_mark_um=float(m.feed_mark_um[index]) if marks else None,
            chip_temperature_c=heat.chip_c if heat else None,
            wall_temperature_c=heat.wall_c if heat else None,
            wall_hottest_at_mm=heat.wall_hottest_at_mm if heat else None,
            cutter_temperature_c=heat.cutter_c if heat else None,
            heat_margin_k=Band(heat.margin_k.low, heat.margin_k.nominal, heat.margin_k.high)
            if heat
            else None,
            p_hot=heat.p_hot if heat else None,
            calibrated=heat.calibrated if heat else False,
            heat_cause=heat.cause if heat else None,
            limits=self.judged.of_pass(index),
            reasons=partial(pass_numbers, one, reached, facts.chosen, seconds),
            trace=self._trace(index),
            depth_from="top" if path.from_top else "bed",
        )

    def _thin(self, index: int) -> Thin:
        measures, along = self.facts.measures, self.facts.motion.along
        thin, worst = measures.thin, int(measures.thin.worst[index])
        at = None if worst < 0 else (float(along.xy_mm[worst, 0]), float(along.xy_mm[worst, 1]))
        return Thin(
            below_mm=float(measures.thin_below_mm[index]),
            length_mm=float(thin.length_mm[index]),
            revolutions=float(thin.revolutions[index]),
            at_mm=at,
        )

    def _trace(self, index: int) -> Trace:
        facts, heat = self.facts, self.facts.heat[index]
        along = facts.motion.along
        part = slice(int(along.first[index]), int(along.first[index + 1]))
        return Trace(
            xy_mm=along.xy_mm[part],
            time_s=along.time_s[part],
            speed_mm_min=along.speed_mm_s[part] * 60.0,
            feed_per_tooth_mm=facts.measures.feed_per_tooth_mm[part],
            chip_mm=facts.measures.chip_mm[part],
            wall_c=heat.wall_along_c if heat else None,
        )


class ContourPasses(Sequence[PassReport]):
    """The passes of one contour; each report is made when it is looked at."""

    def __init__(self, reports: PassReports | None, indices: tuple[int, ...]) -> None:
        self._source = reports
        self.indices = indices

    @property
    def reports(self) -> PassReports:
        """What makes the reports of the whole plan."""
        assert self._source is not None, "a contour without passes has nothing to report"
        return self._source

    def __len__(self) -> int:
        return len(self.indices)

    @overload
    def __getitem__(self, place: int) -> PassReport: ...

    @overload
    def __getitem__(self, place: slice) -> tuple[PassReport, ...]: ...

    def __getitem__(self, place: int | slice) -> PassReport | tuple[PassReport, ...]:
        if isinstance(place, slice):
            return tuple(self.reports.report(index) for index in self.indices[place])
        # the index first: iterating past the end is told by its IndexError
        index = self.indices[place]
        return self.reports.report(index)

    @property
    def judged(self) -> Judged | None:
        """The limits of all passes of the plan; None where this contour has no passes."""
        return self._source.judged if self._source is not None else None

    @property
    def time_s(self) -> float:
        """Time of all of them, entries included. [s]."""
        return sum((self.reports.time_s(index) for index in self.indices), 0.0)

    @property
    def state(self) -> State:
        """The worst state among them."""
        numbers = [self.reports.judged.worst_state[index] for index in self.indices]
        return STATES[max(numbers, default=0)]

    @property
    def hold_down_ratio(self) -> float | None:
        """The least of what holds the pieces they free against what pushes them."""
        if not self.indices:
            return None
        return self.reports.hold_down_ratio(self.indices)


def _spread(values: Spreads, index: int) -> Spread:
    return Spread(float(values.p5[index]), float(values.mean[index]), float(values.max[index]))
