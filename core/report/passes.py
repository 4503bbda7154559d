"""Reports of single passes; what can be computed for all of them at once is."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from core.report.limits import Forces, Found, limits_of
from core.report.measures import Measures, measure
from core.report.numbers import pass_numbers
from core.report.records import Band, EngagementBand, PassReport, Spread, Thin, Trace

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.heat.records import PassHeat
    from core.job import Job
    from core.motion.records import Motion
    from core.plan.choices import Choices
    from core.plan.freed import Freed
    from core.plan.records import Plan
    from core.report.records import Limit


class PassReports:
    """Makes pass reports; what can be computed for all passes at once is."""

    def __init__(
        self,
        job: Job,
        chosen: Choices,
        plan: Plan,
        motion: Motion,
        heat: tuple[PassHeat | None, ...],
        freed: Mapping[tuple[int, int], Freed],
    ) -> None:
        self._job, self._chosen, self._plan = job, chosen, plan
        self._motion, self._heat, self._freed = motion, heat, freed
        self._measures: Measures | None = None
        if plan.passes:
            self._measures = measure(
                plan.passes, motion, chosen.material, chosen.machine.stiffness_n_um
            )

    def report(self, index: int) -> PassReport:
        """Return the report of one pass."""
        assert self._measures is not None
        one, heat, m = self._plan.passes[index], self._heat[index], self._measures
        path, mounted = one.toolpath, one.toolpath.mounted
        reached, chip = _spread(m, index, "feed_spread"), _spread(m, index, "chip_spread")
        forces = self._forces(index)
        freed = (
            self._freed.get((path.drawing, path.contour_id)) if path.z_bottom_mm <= 0.0 else None
        )
        limits = limits_of(Found(one, reached, chip, forces, heat, freed), self._chosen)
        seconds = float(self._motion.cutting_s[index] + self._motion.entering_s[index])
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
            direction=path.step.direction.value,
            spindle_speed_rpm=one.spindle_speed_rpm,
            feed_per_tooth_mm=one.feed_per_tooth_mm,
            feed_speed_mm_min=one.feed_speed_mm_min,
            binding_limit=one.bounds_on_feed[0].label,
            path_length_mm=path.cut.length_mm,
            time_s=seconds,
            feed_per_tooth_reached_mm=reached,
            chip_thickness_mm=chip,
            thin=self._thin(index),
            power_w=forces.power_w if forces else None,
            lateral_force_n=forces.lateral_n if forces else None,
            wall_error_mm=forces.wall_error_mm if forces else None,
            feed_mark_um=float(m.feed_mark_um[index]) if path.wall_stock_mm <= 0.0 else None,
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
            limits=tuple(self._accepted(limit) for limit in limits),
            reasons=partial(pass_numbers, one, reached, self._chosen, seconds),
            trace=self._trace(index),
        )

    def _forces(self, index: int) -> Forces | None:
        assert self._measures is not None
        all_forces = self._measures.forces
        if all_forces is None:
            return None
        return Forces(*(float(getattr(all_forces, name)[index]) for name in Forces.__slots__))

    def _thin(self, index: int) -> Thin:
        assert self._measures is not None
        thin, along = self._measures.thin, self._motion.along
        worst = int(thin.worst[index])
        at = None if worst < 0 else (float(along.xy_mm[worst, 0]), float(along.xy_mm[worst, 1]))
        return Thin(
            below_mm=float(self._measures.thin_below_mm[index]),
            length_mm=float(thin.length_mm[index]),
            revolutions=float(thin.revolutions[index]),
            at_mm=at,
        )

    def _trace(self, index: int) -> Trace:
        assert self._measures is not None
        along, heat = self._motion.along, self._heat[index]
        part = slice(int(along.first[index]), int(along.first[index + 1]))
        return Trace(
            xy_mm=along.xy_mm[part],
            time_s=along.time_s[part],
            speed_mm_min=along.speed_mm_s[part] * 60.0,
            feed_per_tooth_mm=self._measures.feed_per_tooth_mm[part],
            chip_mm=self._measures.chip_mm[part],
            wall_c=heat.wall_along_c if heat else None,
        )

    def _accepted(self, limit: Limit) -> Limit:
        for accepted in self._job.accepted:
            if accepted.limit == limit.name:
                return replace(limit, accepted=accepted.reason)
        return limit


def _spread(measures: Measures, index: int, which: str) -> Spread:
    values = getattr(measures, which)
    return Spread(float(values.p5[index]), float(values.mean[index]), float(values.max[index]))
