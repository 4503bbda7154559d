"""Puts the report together from what the stages found."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.errors import Finding, Severity
from core.job import Task
from core.quote.price import first_price
from core.report.notices import job_findings, plan_cautions
from core.report.passes import PassReports
from core.report.records import (
    Answer,
    ContourReport,
    DrawingReport,
    LayerReport,
    OrderEntry,
    PassReport,
    Report,
    State,
    Totals,
)
from core.report.sentence import job_sentence
from core.report.times import job_totals

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.contours.records import Contour, Contours
    from core.drawing.records import Drawing
    from core.heat.records import PassHeat
    from core.job import Job
    from core.layout.records import Layout, Order
    from core.motion.between import Between
    from core.motion.records import Motion
    from core.plan.choices import Choices
    from core.plan.freed import Freed
    from core.plan.records import Plan
    from core.quote.price import Price

OUTLINE_TOLERANCE_MM = 0.02
"""Chord error of the outlines that are drawn on screen and paper; nothing is computed from them."""


def build_report(
    job: Job,
    chosen: Choices,
    drawings: tuple[Drawing, ...],
    contours: tuple[Contours, ...],
    plan: Plan,
    freed: Mapping[tuple[int, int], Freed],
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
    plan, freed, layout, order, between, motion, heat
        What the stages made of it.
    """
    passes = PassReports(job, chosen, plan, motion, heat, freed)
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


def _contours(
    drawings: tuple[Contours, ...], plan: Plan, passes: PassReports
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
        hold_down_ratio=_held(passes),
        findings=findings,
    )


def _held(passes: tuple[PassReport, ...]) -> float | None:
    """Return the least hold-down ratio of the passes that free the piece."""
    found = [li.actual for one in passes for li in one.limits if li.name == "hold_down"]
    return min(found, default=None)


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
