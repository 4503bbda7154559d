"""The report as text for a person: drawing, sentence, answers, passes, price, cautions."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from core.errors import Severity
from core.report.pass_text import bare_name, contour_lines
from core.report.records import worst_limit
from core.units import UnitSystem, duration, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.errors import Finding
    from core.report.records import DrawingReport, Report

WIDTH = 100
MOST_PLACES = 4
MARKS = {Severity.OUTSIDE: "OUTSIDE", Severity.TIGHT: "tight", Severity.NOTE: "note"}


def plan_text(report: Report, system: UnitSystem = UnitSystem.METRIC) -> str:
    """Return the report as text, in metric or inch."""
    lines: list[str] = []
    for drawing in report.drawings:
        lines += _drawing(drawing, system)
    lines += ["", *_wrapped(report.sentence), "", *_answer(report), ""]
    if report.contours:
        lines += [*contour_lines(report, system), ""]
    lines += _findings(report)
    lines += _totals(report, system)
    lines += ["", "Before you start", *_bullets(report.cautions)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _drawing(drawing: DrawingReport, system: UnitSystem) -> Iterator[str]:
    width, height = (show(v, "mm", system) for v in drawing.size_mm)
    yield f"{drawing.file}: {width} x {height}"
    yield from _wrapped(
        f"One drawing unit is {drawing.mm_per_unit:g} mm ({drawing.unit_origin}: "
        f"{drawing.unit_reason}).",
        "  ",
    )
    open_words = f", {drawing.open_chains} open" if drawing.open_chains else ""
    outlines, holes = _count(drawing.outer_contours, "outline"), _count(drawing.holes, "hole")
    yield f"  {outlines}, {holes}{open_words}."
    if drawing.left_out:
        kinds = ", ".join(f"{count} {kind}" for kind, count in drawing.left_out)
        yield f"  Left aside: {kinds}."
    if drawing.frozen_layers:
        yield from _wrapped(f"Hidden layers left out: {', '.join(drawing.frozen_layers)}.", "  ")


def _answer(report: Report) -> Iterator[str]:
    answer = report.answer
    said = {
        "yes": "Will it cut cleanly? Yes: every limit is good.",
        "tight": f"Will it cut cleanly? It is tight: {_count(answer.tight, 'place')} to look at.",
        "no": f"Will it cut cleanly? Not yet: {answer.outside} outside, {answer.tight} tight.",
    }
    yield said[answer.cleanly]
    worst = worst_limit(report)
    if worst is not None:
        contour, one, limit = worst
        yield f"  Worst: {limit.label}, {contour.name}, {one.step}."
    price = report.price
    money = f" · {price.currency} {price.per_part} a copy" if price else ""
    yield f"How long, and what price? {duration(report.totals.cycle_time_s)} in all{money}"


def _findings(report: Report) -> list[str]:
    every: list[Finding] = [f for d in report.drawings for f in d.findings]
    every += [f for c in report.contours for f in c.findings]
    every += report.findings
    alike: dict[tuple[Severity, str], list[Finding]] = {}
    for finding in every:
        alike.setdefault((finding.severity, bare_name(finding.message)), []).append(finding)
    lines = []
    for weight in Severity:
        for (severity, message), group in alike.items():
            if severity is weight:
                text = f"{MARKS[severity]}: {message}{_places(group)}"
                lines += _wrapped(text, "  ", "    ")
    return ["What was noticed", *lines, ""] if lines else []


def _places(group: Sequence[Finding]) -> str:
    """Return where some alike findings lie: their number, and the first few places."""
    at = [f"x {f.at_mm[0]:.1f} y {f.at_mm[1]:.1f}" for f in group if f.at_mm is not None]
    more = "; ..." if len(at) > MOST_PLACES else ""
    places = f" ({'; '.join(at[:MOST_PLACES])}{more})" if at else ""
    return f" {len(group)} alike{places}" if len(group) > 1 else places


def _totals(report: Report, system: UnitSystem) -> Iterator[str]:
    t = report.totals
    yield f"Time on the machine, all copies: {duration(t.cycle_time_s)}"
    yield (
        f"  cutting {duration(t.cutting_s)}, entering {duration(t.entering_s)}, moving "
        f"{duration(t.moving_s)}, spindle {duration(t.spindle_changes_s)}, cutter changes "
        f"{duration(t.cutter_changes_s)}; {show(t.cut_mm, 'mm', system)} cut, "
        f"{show(t.rapid_mm, 'mm', system)} of rapid moves"
    )
    yield f"Sheets: {len(report.sheets)}"
    if report.price:
        price = report.price
        yield f"Price, {price.currency}: {price.total} in all, {price.per_part} a copy"
        wide = max(len(line.name) for line in price.lines)
        for line in price.lines:
            yield f"  {line.name:<{wide}}{line.amount:>10}   {line.reason}"


def _bullets(texts: Sequence[str]) -> Iterator[str]:
    for text in texts:
        yield from _wrapped(text, "  - ", "    ")


def _wrapped(text: str, first: str = "", later: str | None = None) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=first if later is None else later
    )


def _count(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
