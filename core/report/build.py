"""Puts the report together from what the stages found."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from core.errors import Finding, Severity
from core.quote.case import Case
from core.quote.price import price_of
from core.quote.sheet_work import Planned, work_on_rows
from core.report.columns import OUTSIDE, TIGHT
from core.report.facts import Facts
from core.report.measures import measure
from core.report.notices import job_findings, plan_cautions
from core.report.passes import ContourPasses, PassReports
from core.report.records import (
    Answer,
    ContourReport,
    DrawingReport,
    LayerReport,
    OrderEntry,
    Report,
)
from core.report.sentence import job_sentence
from core.report.times import job_totals

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray

    from core.contours.records import Contour, Contours
    from core.drawing.records import Drawing
    from core.geometry.path import Path
    from core.heat.pass_heats import PassHeats
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
    unreached_mm2: Mapping[tuple[int, int], float],
    layout: Layout,
    order: Order,
    between: Between,
    motion: Motion,
    heat: PassHeats,
) -> Report:
    """Return the report of a job.

    Parameters
    ----------
    job, chosen : Job, Choices
        What was decided.
    drawings, contours : tuple
        What was read, a drawing each.
    plan, freed, unreached_mm2, layout, order, between, motion, heat
        What the stages made of it.
    """
    passes = _passes(job, chosen, plan, motion, heat, freed)
    reports = _contours(contours, plan, passes, unreached_mm2)
    totals = job_totals(plan, order, between, motion)
    planned = Planned(contours, chosen, plan, motion)
    price, missing = _price(job, planned, layout, order, between)
    findings = (
        *layout.findings,
        *(f for f in plan.findings if f.contour_id is None),
        *missing,
        *job_findings(job, chosen, contours),
    )
    drawn = tuple(
        _drawing(index, drawing, found)
        for index, (drawing, found) in enumerate(zip(drawings, contours, strict=True))
    )
    return Report(
        sentence_parts=job_sentence(job, chosen),
        choices=_choices(job),
        drawings=drawn,
        contours=reports,
        sheets=layout.sheets,
        order=_order(order, plan),
        totals=totals,
        price=price,
        answer=_answer(reports, passes, drawn, findings),
        findings=findings,
        cautions=plan_cautions(
            job,
            chosen,
            frees=any(one.toolpath.z_bottom_mm <= 0.0 for one in plan.passes),
            hot=passes is not None and passes.judged.is_hot,
        ),
    )


def _passes(
    job: Job,
    chosen: Choices,
    plan: Plan,
    motion: Motion,
    heat: PassHeats,
    freed: Mapping[tuple[int, int], Freed],
) -> PassReports | None:
    """Return what makes the reports of passes, or None where nothing is cut."""
    if not plan.passes:
        return None
    measures = measure(plan.passes, motion, chosen.material, chosen.machine.stiffness_n_um)
    accepted = {one.limit: one.reason for one in job.accepted}
    return PassReports(Facts(chosen, plan, motion, heat, measures, freed), accepted)


def _contours(
    drawings: tuple[Contours, ...],
    plan: Plan,
    reports: PassReports | None,
    unreached_mm2: Mapping[tuple[int, int], float],
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
            ContourPasses(reports, tuple(mine.get((drawing, contour.id), ()))),
            tuple(noticed.get((drawing, contour.id), ())),
            unreached_mm2.get((drawing, contour.id)),
        )
        for drawing, group in enumerate(drawings)
        for contour in group.contours
    )


def _contour(
    contour: Contour,
    drawing: int,
    passes: ContourPasses,
    findings: tuple[Finding, ...],
    unreached_mm2: float | None,
) -> ContourReport:
    length, least, outline = _measured(contour.path)
    return ContourReport(
        id=contour.id,
        drawing=drawing,
        name=contour.name,
        kind=contour.kind.value,
        parent=contour.parent,
        depth=contour.depth,
        task=contour.task.value,
        length_mm=length,
        area_mm2=abs(contour.path.area_mm2),
        min_radius_mm=least if math.isfinite(least) else None,
        unreached_mm2=unreached_mm2,
        outline_mm=outline,
        passes=passes,
        hold_down_ratio=passes.hold_down_ratio,
        findings=findings,
    )


@lru_cache(maxsize=8192)
def _measured(path: Path) -> tuple[float, float, NDArray[np.float64]]:
    """Return length, least radius and drawn outline of a contour; remembered while it stands."""
    least = float(path.segments.radius_mm.min(initial=math.inf))
    return path.length_mm, least, path.flattened(OUTLINE_TOLERANCE_MM)


def _drawing(index: int, drawing: Drawing, contours: Contours) -> DrawingReport:
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
            LayerReport(
                la.name,
                la.entity_count,
                la.frozen,
                la.left_out or la.name in contours.layers_left_out,
            )
            for la in drawing.layers
        ),
        findings=tuple(
            replace(finding, drawing=index) for finding in (*drawing.findings, *contours.findings)
        ),
    )


def _choices(job: Job) -> tuple[tuple[str, str | float | None], ...]:
    names = ("material", "thickness_mm", "rough_cutter", "finish_cutter", "hole_cutter")
    more = ("machine", "recipe", "holder", "sheet", "rates", "layer_rules", "quantity")
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
    job: Job, planned: Planned, layout: Layout, order: Order, between: Between
) -> tuple[Price | None, tuple[Finding, ...]]:
    if not layout.sheets or not planned.plan.passes:
        return None, ()
    chosen = planned.chosen
    work = work_on_rows(planned, layout, order, between, job.quantity)
    price = price_of(Case(work, chosen.material, job.thickness_mm, chosen.rates, job.offer))
    return (None, (price,)) if isinstance(price, Finding) else (price, ())


def _answer(
    contours: tuple[ContourReport, ...],
    passes: PassReports | None,
    drawings: tuple[DrawingReport, ...],
    findings: tuple[Finding, ...],
) -> Answer:
    """Count what is outside and tight: limits that nobody accepted, findings nobody mended."""
    noticed = [*findings, *(f for d in drawings for f in d.findings)]
    noticed += [f for c in contours for f in c.findings]
    words = Counter(f.severity for f in noticed if not f.repaired)
    outside, tight = words[Severity.OUTSIDE], words[Severity.TIGHT]
    if passes is None:
        return Answer("no", outside, tight)
    outside += passes.judged.counts[OUTSIDE]
    tight += passes.judged.counts[TIGHT]
    cleanly = "no" if outside else "tight" if tight else "yes"
    return Answer(cleanly, outside, tight, _place_of(passes.judged.worst, contours))


def _place_of(index: int | None, contours: tuple[ContourReport, ...]) -> tuple[int, int] | None:
    for place, contour in enumerate(contours):
        if index in contour.passes.indices:
            return place, contour.passes.indices.index(index)
    return None
