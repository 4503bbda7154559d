"""Contours and passes as a table of text: a line a pass, then what a machinist should know of it.

Contours that are cut the same are told once, with their numbers and their count.
"""

from __future__ import annotations

import re
import textwrap
from typing import TYPE_CHECKING

from core.report.records import State
from core.units import UnitSystem, duration, in_system, number, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.report.records import ContourReport, PassReport, Report

WIDTH = 110
INDENT = " " * 11
MOST_NUMBERS = 12
"""Contours that are alike are listed by number up to this many."""

STATES = {State.OUTSIDE: "OUTSIDE", State.TIGHT: "tight", State.GOOD: "good"}
TASKS = {
    "outside": "cut outside",
    "inside": "cut inside",
    "on_line": "cut on the line",
    "edge_break": "edge broken",
    "drill": "drilled",
    "countersink": "countersunk",
    "counterbore": "counterbored",
    "none": "left aside",
}


def contour_lines(report: Report, system: UnitSystem) -> Iterator[str]:
    """Yield the table of contours and passes."""
    length, feed = in_system(1.0, "mm", system)[1], in_system(1.0, "mm/min", system)[1]
    yield f"Contours and passes (z in {length} above the bed; below 0 the cutter is in the board)"
    yield ""
    yield (
        f"  {'':<12}{'cutter':<20}{'rpm':>8}{feed:>9}{'z':>7}"
        f"{'chip load ' + length:>22}{'heat margin K':>22}{'time':>12}"
    )
    yield f"  {'':<56}{'set':>7}{'actual':>8}{'5 %':>7}"
    drawing = 0 if len(report.drawings) == 1 else None
    for group in alike_contours(report):
        yield ""
        if group[0].drawing != drawing:
            drawing = group[0].drawing
            yield f"In {report.drawings[drawing].file}"
        yield f"{_names(group)}: {_what(group[0], system)}"
        for one in group[0].passes:
            yield from _pass(one, system)


def alike_contours(report: Report) -> tuple[tuple[ContourReport, ...], ...]:
    """Return the contours in groups that are cut the same, in their order."""
    alike: dict[tuple[object, ...], list[ContourReport]] = {}
    for contour in report.contours:
        alike.setdefault(_sameness(contour), []).append(contour)
    return tuple(map(tuple, alike.values()))


def _sameness(contour: ContourReport) -> tuple[object, ...]:
    """Return what makes two contours read the same; the place where they lie does not."""
    passes = tuple(
        (
            *(one.step, one.cutter, one.spindle_speed_rpm, one.feed_speed_mm_min, one.z_bottom_mm),
            *(round(one.time_s, 2), round(one.feed_per_tooth_reached_mm.mean, 4), one.state),
            None if one.heat_margin_k is None else round(one.heat_margin_k.nominal / 2.0),
            tuple((limit.name, limit.state) for limit in one.limits),
        )
        for one in contour.passes
    )
    name = bare_name(contour.name)
    return contour.drawing, name, contour.task, round(contour.length_mm, 3), passes


def bare_name(text: str) -> str:
    """Return a contour's name, or words with names in them, without the count of those alike.

    Examples
    --------
    >>> bare_name("Hole ø 8 mm (2 of 8): no room")
    'Hole ø 8 mm: no room'
    """
    return re.sub(r" \(\d+ of \d+\)", "", text)


def _names(group: Sequence[ContourReport]) -> str:
    if len(group) == 1:
        return f"{group[0].id}  {group[0].name}"
    ids = ", ".join(str(c.id) for c in group[:MOST_NUMBERS])
    more = " ..." if len(group) > MOST_NUMBERS else ""
    return f"{ids}{more}  {bare_name(group[0].name)}, {len(group)} alike"


def _what(contour: ContourReport, system: UnitSystem) -> str:
    words = TASKS.get(contour.task, contour.task)
    words += f", {show(contour.length_mm, 'mm', system)} long"
    if contour.unreached_mm2:
        words += f"; {show(contour.unreached_mm2, 'mm2', system)} of its corners stay uncut"
    if contour.hold_down_ratio is not None:
        words += f"; held {number(contour.hold_down_ratio)} times over when it is freed"
    return words


def _pass(one: PassReport, system: UnitSystem) -> Iterator[str]:
    def digits(value: float, unit: str, decimals: int) -> str:
        return number(in_system(value, unit, system)[0], decimals)

    fine = 4 if system is UnitSystem.INCH else 3
    reached = one.feed_per_tooth_reached_mm
    yield (
        f"  {one.step:<12}{one.cutter_name[:19]:<20}{number(one.spindle_speed_rpm, 0):>8}"
        f"{digits(one.feed_speed_mm_min, 'mm/min', 0):>9}{digits(one.z_bottom_mm, 'mm', 2):>7}"
        f"{digits(one.feed_per_tooth_mm, 'mm', fine):>7}{digits(reached.mean, 'mm', fine):>8}"
        f"{digits(reached.p5, 'mm', fine):>7}{_margin(one):>22}{duration(one.time_s):>12}"
        f"  {STATES[one.state]}"
    )
    yield from _notes(one, system)


def _notes(one: PassReport, system: UnitSystem) -> Iterator[str]:
    """Yield what should be known of a pass, a sentence each."""
    notes = [f"depth from the {one.depth_from}; bound by {one.binding_limit}{_cause(one)}"]
    thin = one.thin
    if thin.length_mm > 0.0 and thin.at_mm is not None:
        place = ", ".join(number(in_system(v, "mm", system)[0], 1) for v in thin.at_mm)
        notes.append(
            f"below {show(thin.below_mm, 'mm', system)} of chip load for "
            f"{show(thin.length_mm, 'mm', system)} ({thin.revolutions:.0f} turns), least at "
            f"{place}: the machine slows down there"
        )
    for limit in one.limits:
        if limit.state is not State.GOOD and limit.name != "heat":
            notes.append(
                f"{STATES[limit.state]}: {limit.label}, "
                f"{show(limit.actual, limit.unit, system)} of "
                f"{show(limit.limit, limit.unit, system)}"
                + (f" (accepted: {limit.accepted})" if limit.accepted else "")
            )
    for note in notes:
        yield from textwrap.wrap(
            note, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT + "  "
        )


def _margin(one: PassReport) -> str:
    margin = one.heat_margin_k
    if margin is None:
        return "not modelled"
    return f"{margin.nominal:+.0f} ({margin.low:+.0f} to {margin.high:+.0f})".replace("-", "−")


def _cause(one: PassReport) -> str:
    if one.p_hot is None or one.heat_cause is None:
        return ""
    heat = next(limit for limit in one.limits if limit.name == "heat")
    if heat.state is State.GOOD:
        return ""
    cause = "" if one.heat_cause == "nothing stands out" else f", because of {one.heat_cause}"
    part = heat.label.removeprefix("heat of ")
    return f"; {part} may soften ({100 * one.p_hot:.0f} % of the model's band){cause}"
