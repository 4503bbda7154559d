"""Puts the report together from what the stages found."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.errors import Finding, Severity
from core.job import Task
from core.quote.price import first_price
from core.report.limits import limits_of
from core.report.measures import Measures, measure
from core.report.notices import job_findings, plan_cautions
from core.report.numbers import pass_numbers
from core.report.records import (
    Answer,
    Band,
    ContourReport,
    DrawingReport,
    EngagementBand,
    LayerReport,
    OrderEntry,
    PassReport,
    Report,
    Spread,
    State,
    Thin,
    Totals,
    Trace,
)
from core.report.sentence import job_sentence
from core.report.times import job_totals

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours
    from core.drawing.records import Drawing
    from core.heat.records import PassHeat
    from core.job import Job
    from core.layout.records import Layout, Order
    from core.motion.between import Between
    from core.motion.records import Motion
    from core.plan.choices import Choices
    from core.plan.records import Plan
    from core.quote.price import Price
    from core.report.records import Limit

OUTLINE_TOLERANCE_MM = 0.02
"""Chord error of the outlines that are drawn on screen and paper; nothing is computed from them."""


def build_report(
    job: Job,
    chosen: Choices,
    drawings: tuple[Drawing, ...],
    contours: tuple[Contours, ...],
    plan: Plan,
    layout: Layout,
    order: Order,
    between: Between,
    motion: Motion,
    heat: tuple[PassHeat | None, ...],
) -> Report:
    """Return the report of a job.

    Parameters
    ----------
    job, chosen : Job, Choices
        What was decided.
    drawings, contours : tuple
        What was read, a drawing each.
    plan, layout, order, between, motion, heat
        What the stages made of it.
    """
    passes = _Passes(job, chosen, plan, motion, heat)
    reports = _contours(contours, plan, passes)
    totals = job_totals(plan, order, between, motion)
    price, missing = _price(job, chosen, layout, totals)
    findings = (
        *layout.findings,
        *(f for f in plan.findings if f.contour_id is None),
        *missing,
        *job_findings(job, chosen, contours),
    )
    drawn = tuple(_drawing(d, c) for d, c in zip(drawings, contours, strict=True))
    return Report(
        sentence_parts=job_sentence(job, chosen),
        choices=_choices(job),
        drawings=drawn,
        contours=reports,
        sheets=layout.sheets,
        order=_order(order, plan),
        totals=totals,
        price=price,
        answer=_answer(reports, drawn, findings),
        findings=findings,
        cautions=plan_cautions(job, chosen, reports),
    )


class _Passes:
    """Makes pass reports; what can be computed for all passes at once is."""

    def __init__(
        self,
        job: Job,
        chosen: Choices,
        plan: Plan,
        motion: Motion,
        heat: tuple[PassHeat | None, ...],
    ) -> None:
        self._job, self._chosen, self._plan = job, chosen, plan
        self._motion, self._heat = motion, heat
        self._measures: Measures | None = None
        if plan.passes:
            self._measures = measure(plan.passes, motion, chosen.material)

    def report(self, index: int) -> PassReport:
        """Return the report of one pass."""
        assert self._measures is not None
        one, heat, m = self._plan.passes[index], self._heat[index], self._measures
        path, mounted = one.toolpath, one.toolpath.mounted
        reached, chip = _spread(m, index, "feed_spread"), _spread(m, index, "chip_spread")
        power = None if m.power_w is None else float(m.power_w[index])
        limits = limits_of(one, self._chosen, reached, chip, power, heat)
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
            power_w=power,
            lateral_force_n=None,
            wall_error_mm=None,
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


def _contours(
    drawings: tuple[Contours, ...], plan: Plan, passes: _Passes
) -> tuple[ContourReport, ...]:
    mine: dict[tuple[int, int], list[int]] = {}
    for index, one in enumerate(plan.passes):
        mine.setdefault((one.toolpath.drawing, one.toolpath.contour_id), []).append(index)
    noticed: dict[tuple[int, int | None], list[Finding]] = {}
    for finding in plan.findings:
        noticed.setdefault((finding.drawing, finding.contour_id), []).append(finding)
    return tuple(
        _contour(
            contour,
            drawing,
            tuple(passes.report(index) for index in mine.get((drawing, contour.id), ())),
            tuple(noticed.get((drawing, contour.id), ())),
        )
        for drawing, group in enumerate(drawings)
        for contour in group.contours
    )


def _contour(
    contour: Contour,
    drawing: int,
    passes: tuple[PassReport, ...],
    findings: tuple[Finding, ...],
) -> ContourReport:
    radii = contour.path.segments.radius_mm
    least = float(radii.min()) if len(radii) else np.inf
    return ContourReport(
        id=contour.id,
        drawing=drawing,
        name=contour.name,
        kind=contour.kind.value,
        parent=contour.parent,
        depth=contour.depth,
        task=contour.task.value,
        length_mm=contour.path.length_mm,
        area_mm2=abs(contour.path.area_mm2),
        min_radius_mm=least if np.isfinite(least) else None,
        unreached_mm2=None,
        outline_mm=contour.path.flattened(OUTLINE_TOLERANCE_MM),
        passes=passes,
        hold_down_ratio=None,
        findings=findings,
    )


def _drawing(drawing: Drawing, contours: Contours) -> DrawingReport:
    return DrawingReport(
        file=drawing.name,
        dxf_version=drawing.dxf_version,
        mm_per_unit=drawing.unit.mm_per_unit,
        unit_origin=drawing.unit.origin,
        unit_reason=drawing.unit.reason,
        size_mm=contours.size_mm,
        bounds_mm=contours.bounds_mm,
        outer_contours=contours.outer_count,
        holes=contours.hole_count,
        open_chains=contours.open_count,
        area_mm2=contours.area_mm2,
        left_out=tuple(sorted(drawing.left_out.items())),
        frozen_layers=drawing.frozen_layers,
        layers=tuple(
            LayerReport(la.name, la.entity_count, la.frozen, la.left_out) for la in drawing.layers
        ),
        findings=(*drawing.findings, *contours.findings),
    )


def _choices(job: Job) -> tuple[tuple[str, str | float | None], ...]:
    names = ("material", "thickness_mm", "rough_cutter", "finish_cutter", "hole_cutter")
    more = ("machine", "recipe", "holder", "sheet", "rates", "quantity")
    chosen = ((name, getattr(job, name)) for name in (*names, *more))
    return (*chosen, ("air", job.air.value))


def _order(order: Order, plan: Plan) -> tuple[OrderEntry, ...]:
    entries = []
    for line in order.lines:
        one = plan.passes[line.pass_index]
        path = one.toolpath
        entries.append(
            OrderEntry(
                line.sheet,
                line.copy,
                path.contour_id,
                path.step.name,
                path.mounted.key,
                one.spindle_speed_rpm,
            )
        )
    return tuple(entries)


def _price(
    job: Job, chosen: Choices, layout: Layout, totals: Totals
) -> tuple[Price | None, tuple[Finding, ...]]:
    if not layout.sheets or not job.drawings:
        return None, ()
    price = first_price(
        chosen.material,
        job.thickness_mm,
        chosen.sheet,
        len(layout.sheets),
        totals.cycle_time_s,
        job.quantity,
        chosen.rates,
    )
    return (None, (price,)) if isinstance(price, Finding) else (price, ())


def _answer(
    contours: tuple[ContourReport, ...],
    drawings: tuple[DrawingReport, ...],
    findings: tuple[Finding, ...],
) -> Answer:
    """Count what is outside and tight: limits that nobody accepted, findings nobody mended."""
    words = [
        limit.state.value
        for contour in contours
        for one in contour.passes
        for limit in one.limits
        if not limit.accepted
    ]
    noticed = [*findings, *(f for d in drawings for f in d.findings)]
    noticed += [f for c in contours for f in c.findings]
    words += [f.severity.value for f in noticed if not f.repaired]
    outside = words.count(State.OUTSIDE.value)
    tight = words.count(Severity.TIGHT.value)
    cut = any(c.task != Task.NONE.value and c.passes for c in contours)
    cleanly = "no" if outside or not cut else "tight" if tight else "yes"
    return Answer(cleanly, outside, tight)
