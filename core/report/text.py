"""The report as text for a person: the drawing, the sentence, the answer, passes, price, cautions.

A contour is a block: its name, then a line a pass with what is set at the machine, then what the
machine makes of it. Contours whose blocks read the same are said once, with their count.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from core.errors import Severity
from core.report.records import State
from core.units import UnitSystem, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.errors import Finding
    from core.report.records import ContourReport, DrawingReport, PassReport, Report

WIDTH = 100
MARKS = {
    State.OUTSIDE: "OUTSIDE",
    State.TIGHT: "tight",
    State.GOOD: "good",
    Severity.OUTSIDE: "OUTSIDE",
    Severity.TIGHT: "tight",
    Severity.NOTE: "note",
}
_HEAD = (
    f"    {'step':<12}{'cutter':<26}{'spindle':>11}{'feed':>15}{'to depth':>11}"
    f"{'time':>9}  {'bound by'}"
)


def plan_text(report: Report, system: UnitSystem = UnitSystem.METRIC) -> str:
    """Return the report as text, in metric or inch."""
    lines: list[str] = []
    for drawing in report.drawings:
        lines += _drawing(drawing, system)
    lines += ["", *_wrapped(report.sentence), "", *_answer(report), ""]
    lines += _contours(report, system)
    lines += _findings(report)
    lines += _totals(report, system)
    lines += ["", "Before you start", *_bullets(report.cautions)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def duration(seconds: float) -> str:
    """Return a time as a person says it.

    Examples
    --------
    >>> duration(7.26), duration(168.0), duration(3725.0)
    ('7.3 s', '2 min 48 s', '1 h 2 min')
    """
    if seconds < 59.95:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    if whole < 3600:
        return f"{whole // 60} min {whole % 60} s"
    return f"{whole // 3600} h {whole % 3600 // 60} min"


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
    price = report.price
    money = f" · {price.currency} {price.per_part} a part" if price else ""
    yield f"How long, and what price? {duration(report.totals.cycle_time_s)} in all{money}"


def _contours(report: Report, system: UnitSystem) -> list[str]:
    if not report.contours:
        return []
    lines = ["Contours and passes", _HEAD]
    blocks: dict[tuple[str, ...], list[ContourReport]] = {}
    for contour in report.contours:
        block = tuple(line for one in contour.passes for line in _pass(one, system))
        blocks.setdefault((_what(contour), *block), []).append(contour)
    for block, alike in blocks.items():
        lines += ["", f"{_names(alike)}: {block[0]}", *block[1:]]
    return [*lines, ""]


def _what(contour: ContourReport) -> str:
    words = {
        "outside": "cut outside",
        "inside": "cut inside",
        "on_line": "cut on the line",
        "none": "left aside",
    }.get(contour.task, contour.task)
    if contour.unreached_mm2:
        words += f"; {contour.unreached_mm2:.2f} mm2 of its corners stay uncut"
    if contour.hold_down_ratio is not None:
        words += f"; held {contour.hold_down_ratio:.1f} times over when freed"
    return words


def _names(alike: Sequence[ContourReport]) -> str:
    first = alike[0]
    if len(alike) == 1:
        return f"{first.id} {first.name}"
    ids = ", ".join(str(c.id) for c in alike[:12]) + (" ..." if len(alike) > 12 else "")
    return f"{ids} {first.name} ({len(alike)} alike)"


def _pass(one: PassReport, system: UnitSystem) -> Iterator[str]:
    depth = show(one.z_bottom_mm, "mm", system)
    yield (
        f"    {one.step:<12}{one.cutter_name[:25]:<26}{show(one.spindle_speed_rpm, 'rpm'):>11}"
        f"{show(one.feed_speed_mm_min, 'mm/min', system):>15}{depth:>11}"
        f"{duration(one.time_s):>9}  {one.binding_limit}"
    )
    reached = one.feed_per_tooth_reached_mm
    yield (
        f"      chip load set {show(one.feed_per_tooth_mm, 'mm', system)}; actual "
        f"{show(reached.mean, 'mm', system)} mean, {show(reached.p5, 'mm', system)} at the 5 % "
        f"point; chip {show(one.chip_thickness_mm.mean, 'mm', system)} thick"
    )
    if one.thin.length_mm > 0.0 and one.thin.at_mm is not None:
        x, y = one.thin.at_mm
        yield (
            f"      thin: below {show(one.thin.below_mm, 'mm', system)} over "
            f"{show(one.thin.length_mm, 'mm', system)}, {one.thin.revolutions:.0f} turns, most at "
            f"x {x:.1f} y {y:.1f}: the machine slows down there"
        )
    yield f"      {_heat(one)}"
    for limit in one.limits:
        if limit.state is not State.GOOD and limit.name != "heat":
            accepted = f" (accepted: {limit.accepted})" if limit.accepted else ""
            actual = show(limit.actual, limit.unit, system)
            wanted = show(limit.limit, limit.unit, system)
            yield f"      {MARKS[limit.state]}: {limit.label}, {actual} of {wanted}{accepted}"


def _heat(one: PassReport) -> str:
    margin = one.heat_margin_k
    if margin is None or one.p_hot is None:
        return "heat: not modelled for this material"
    state = next(limit.state for limit in one.limits if limit.name == "heat")
    cause = f"; {one.heat_cause}" if one.heat_cause else ""
    return (
        f"heat margin {margin.nominal:+.0f} K ({margin.low:+.0f} to {margin.high:+.0f}), "
        f"{MARKS[state]}, {one.p_hot:.0%} chance of softening{cause}"
    )


def _findings(report: Report) -> list[str]:
    every: list[Finding] = [f for d in report.drawings for f in d.findings]
    every += [f for c in report.contours for f in c.findings]
    every += report.findings
    if not every:
        return []
    order = [Severity.OUTSIDE, Severity.TIGHT, Severity.NOTE]
    lines = ["What was noticed"]
    for finding in sorted(every, key=lambda f: order.index(f.severity)):
        place = (
            "" if finding.at_mm is None else f" (x {finding.at_mm[0]:.1f} y {finding.at_mm[1]:.1f})"
        )
        lines += _wrapped(f"{MARKS[finding.severity]}: {finding.message}{place}", "  ", "    ")
    return [*lines, ""]


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
        yield f"Price, {price.currency}: {price.total} in all, {price.per_part} a part"
        for line in price.lines:
            yield f"  {line.name:<12}{line.amount:>10}   {line.reason}"


def _bullets(texts: Sequence[str]) -> Iterator[str]:
    for text in texts:
        yield from _wrapped(text, "  - ", "    ")


def _wrapped(text: str, first: str = "", later: str | None = None) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=first if later is None else later
    )


def _count(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
