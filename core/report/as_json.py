"""The report as JSON of format 1: the contract with other programs.

Lengths in mm, times in s, angles in degrees, temperatures in degrees Celsius or K as named. What is
not computed is null, never 0. Fields may be added inside format 1; none changes its meaning.
"""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from core.errors import Finding
    from core.report.records import (
        ContourReport,
        DrawingReport,
        Limit,
        PassReport,
        Report,
        Spread,
        Totals,
    )

FORMAT = 1


def report_text(report: Report, version: str) -> str:
    """Return the report as JSON text."""
    return json.dumps(report_fields(report, version), indent=1, ensure_ascii=False, allow_nan=False)


def report_fields(report: Report, version: str) -> dict[str, Any]:
    """Return the report as plain dictionaries and lists."""
    drawings = [_drawing(d) for d in report.drawings]
    return {
        "format": FORMAT,
        "program": "panewright",
        "version": version,
        "drawings": drawings,
        "drawing": drawings[0] if drawings else None,
        "sentence": report.sentence,
        "choices": dict(report.choices),
        "contours": [_contour(c) for c in report.contours],
        "sheets": [
            {
                "size_mm": list(sheet.size_mm),
                "copies": [
                    {
                        "drawing": copy.drawing,
                        "at_mm": _point(copy.at_mm),
                        "turn_deg": copy.turn_deg,
                    }
                    for copy in sheet.copies
                ],
            }
            for sheet in report.sheets
        ],
        "order": [
            {
                "sheet": line.sheet,
                "copy": line.copy,
                "contour": line.contour,
                "step": line.step,
                "cutter": line.cutter,
                "spindle_speed_rpm": _number(line.spindle_speed_rpm),
            }
            for line in report.order
        ],
        "totals": _totals(report.totals),
        "price": _price(report),
        "answer": {
            "cleanly": report.answer.cleanly,
            "outside": report.answer.outside,
            "tight": report.answer.tight,
        },
        "findings": [_finding(f) for f in report.findings],
        "cautions": list(report.cautions),
    }


def _drawing(drawing: DrawingReport) -> dict[str, Any]:
    return {
        "file": drawing.file,
        "dxf_version": drawing.dxf_version,
        "mm_per_unit": drawing.mm_per_unit,
        "unit_origin": drawing.unit_origin,
        "unit_reason": drawing.unit_reason,
        "size_mm": [_number(v) for v in drawing.size_mm],
        "outer_contours": drawing.outer_contours,
        "holes": drawing.holes,
        "open_chains": drawing.open_chains,
        "area_mm2": _number(drawing.area_mm2),
        "left_out": dict(drawing.left_out),
        "frozen_layers": list(drawing.frozen_layers),
        "findings": [_finding(f) for f in drawing.findings],
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "message": finding.message,
        "at_mm": _point(finding.at_mm),
        "repaired": finding.repaired,
        "contour": finding.contour_id,
        "drawing": finding.drawing,
    }


def _contour(contour: ContourReport) -> dict[str, Any]:
    return {
        "id": contour.id,
        "drawing": contour.drawing,
        "name": contour.name,
        "kind": contour.kind,
        "parent": contour.parent,
        "depth": contour.depth,
        "task": contour.task,
        "length_mm": _number(contour.length_mm),
        "area_mm2": _number(contour.area_mm2),
        "min_radius_mm": _number(contour.min_radius_mm),
        "unreached_mm2": _number(contour.unreached_mm2),
        "passes": [_pass(p) for p in contour.passes],
        "hold_down_ratio": _number(contour.hold_down_ratio),
        "findings": [_finding(f) for f in contour.findings],
    }


_PASS_NUMBERS = (
    "z_top_mm",
    "z_bottom_mm",
    "wall_stock_mm",
    "floor_stock_mm",
    "spindle_speed_rpm",
    "feed_per_tooth_mm",
    "feed_speed_mm_min",
    "path_length_mm",
    "time_s",
    "power_w",
    "lateral_force_n",
    "wall_error_mm",
    "feed_mark_um",
    "chip_temperature_c",
    "wall_temperature_c",
    "cutter_temperature_c",
    "p_hot",
)
"""Fields of a pass that are one number, under the same name in the JSON."""


def _pass(one: PassReport) -> dict[str, Any]:
    margin = one.heat_margin_k
    return {
        "step": one.step,
        "cutter": one.cutter,
        **{name: _number(getattr(one, name)) for name in _PASS_NUMBERS},
        "engagement": [
            {
                "z_top_mm": _number(band.z_top_mm),
                "z_bottom_mm": _number(band.z_bottom_mm),
                "radial_width_mm": _number(band.radial_width_mm),
            }
            for band in one.engagement
        ],
        "direction": one.direction,
        "depth_from": one.depth_from,
        "binding_limit": one.binding_limit,
        "feed_per_tooth_reached_mm": _spread(one.feed_per_tooth_reached_mm),
        "chip_thickness_mm": _spread(one.chip_thickness_mm),
        "thin": {
            "below_mm": _number(one.thin.below_mm),
            "length_mm": _number(one.thin.length_mm),
            "revolutions": _number(one.thin.revolutions),
            "at_mm": _point(one.thin.at_mm),
        },
        "wall_hottest_at_mm": _point(one.wall_hottest_at_mm),
        "heat_margin_k": None
        if margin is None
        else {
            "low": _number(margin.low),
            "nominal": _number(margin.nominal),
            "high": _number(margin.high),
        },
        "calibrated": one.calibrated,
        "heat_cause": one.heat_cause,
        "limits": [_limit(limit) for limit in one.limits],
    }


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "name": limit.name,
        "actual": _number(limit.actual),
        "limit": _number(limit.limit),
        "unit": limit.unit,
        "margin_ratio": _number(limit.margin_ratio),
        "state": limit.state.value,
        "accepted": limit.accepted or None,
    }


def _spread(spread: Spread) -> dict[str, Any]:
    return {"p5": _number(spread.p5), "mean": _number(spread.mean), "max": _number(spread.max)}


def _totals(totals: Totals) -> dict[str, Any]:
    return {name: _number(getattr(totals, name)) for name in totals.__slots__}


def _price(report: Report) -> dict[str, Any] | None:
    price = report.price
    if price is None:
        return None
    return {
        "per_part": str(price.per_part),
        "total": str(price.total),
        "currency": price.currency,
        "lines": [{"name": line.name, "amount": str(line.amount)} for line in price.lines],
    }


def _number(value: float | None) -> float | None:
    """Round to nine places, so that the same plan prints the same text on every machine."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), 9)


def _point(place: tuple[float, float] | None) -> list[float | None] | None:
    return None if place is None else [_number(v) for v in place]
