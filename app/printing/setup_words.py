"""The setup sheet's sentences: zero, warnings, stops, checks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.printing.content import Note, Text
from core.errors import Severity
from core.job import Air
from core.library.nc_records import CutterChange, DepthZero
from core.report.pass_text import alike_contours, bare_name
from core.report.records import State
from core.units import UnitSystem, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.errors import Finding
    from core.pipeline import Results
    from core.report.records import ContourReport, Limit, PassReport

MOST_NUMBERS = 6
_RANK = {"outside": 0, "tight": 1, "note": 2, "good": 3}


def numbers_of(group: Sequence[ContourReport]) -> str:
    """Return the numbers of some contours; runs are drawn together.

    Numbers that follow each other are told as "3-8".
    """
    runs: list[list[int]] = []
    for number in sorted(c.id for c in group):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told = [f"{r[0]}-{r[-1]}" if len(r) > 1 else f"{r[0]}" for r in runs]
    return ", ".join(told[:MOST_NUMBERS]) + (" ..." if len(told) > MOST_NUMBERS else "")


def zero_words(results: Results, system: UnitSystem) -> tuple[str, ...]:
    """Return in words where the program's zero lies and how depths are counted."""
    machine, cutting = results.chosen.machine, results.chosen.cutting
    top = show(cutting.thickness_mm, "mm", system)
    depth = {
        DepthZero.BED: f"Z is zero at the bed and counts upwards: the sheet's top is at {top}, and "
        "below zero the cutter is in the board. Measure the bed, not the sheet.",
        DepthZero.SHEET_TOP: f"Z is zero at the sheet's top and counts upwards: the bed is {top} "
        "below it. Measure the top at its thickest place.",
    }[machine.nc.depth_zero]
    park = " / ".join(show(value, "mm", system) for value in machine.nc.park_mm)
    units = "millimetres" if machine.nc.length_unit == "mm" else "inches"
    return (
        "X and Y are zero at the sheet's lower left corner, seen from above; X counts to the right "
        "and Y away from the lower edge.",
        depth,
        f"The program is in {units}. Between cuts it runs "
        f"{show(machine.safe_height_mm, 'mm', system)} above the sheet; it begins and ends at "
        f"X / Y {park}. Nothing on the bed may stand higher than that where it passes.",
    )


def warnings(results: Results, system: UnitSystem) -> tuple[Note | Text, ...]:
    """Return what is outside or tight, worst first, and what was accepted with its reason."""
    report = results.report
    notes = list(_limit_notes(results, system))
    found: list[Finding] = [f for d in report.drawings for f in d.findings]
    found += [f for c in report.contours for f in c.findings] + list(report.findings)
    notes += [_finding_note(f, system) for f in found if not f.repaired]
    notes += [
        Note("", f"Accepted: {one.limit}.", f"Reason: {one.reason}") for one in results.job.accepted
    ]
    notes.sort(key=lambda note: _RANK.get(note.state, 3))
    return tuple(notes) or (Text("Every limit is good, and nothing was noticed."),)


def _limit_notes(results: Results, system: UnitSystem) -> Iterator[Note]:
    """Yield one note for each limit that stands badly, with every pass that it stands badly in."""
    gathered: dict[tuple[str, str, str], list[tuple[str, PassReport, Limit]]] = {}
    for group in alike_contours(results.report):
        name = f"{bare_name(group[0].name)} ({numbers_of(group)})"
        for one in group[0].passes:
            for limit in one.limits:
                if limit.state is not State.GOOD and not limit.accepted:
                    key = (limit.state.value, limit.name, limit.label)
                    gathered.setdefault(key, []).append((name, one, limit))
    for (state, _, label), places in gathered.items():
        _, worst_pass, worst = min(places, key=lambda place: place[2].margin_ratio)
        where = dict.fromkeys(f"{name}, {one.step}" for name, one, _ in places)
        yield Note(
            state,
            f"{label[:1].upper()}{label[1:]}: {show(worst.actual, worst.unit, system)} of "
            f"{show(worst.limit, worst.unit, system)}.",
            _cause(worst_pass, worst) + "In: " + "; ".join(where) + ".",
        )


def _cause(one: PassReport, limit: Limit) -> str:
    if limit.name != "heat" or one.p_hot is None:
        return ""
    cause = one.heat_cause
    why = f", because of {cause}" if cause and cause != "nothing stands out" else ""
    calibrated = "" if one.calibrated else " The model is not calibrated in this shop."
    return f"Hot in {one.p_hot:.0%} of what the model leaves open{why}.{calibrated} "


def _finding_note(finding: Finding, system: UnitSystem) -> Note:
    state = "" if finding.severity is Severity.NOTE else finding.severity.value
    place = ""
    if finding.at_mm is not None:
        x, y = (show(value, "mm", system) for value in finding.at_mm)
        place = f"At x {x}, y {y} of the drawing."
    head, _, rest = finding.message.partition(": ")
    if not rest or len(head) > 60:
        return Note(state, finding.message, place)
    return Note(state, f"{head}.", f"{rest[:1].upper()}{rest[1:]} {place}".strip())


def stops(results: Results) -> tuple[str, ...]:
    """Return when the program stops by itself, and what is done then."""
    nc = results.chosen.machine.nc
    told = []
    if nc.stop_at_start:
        told.append(
            "Before the spindle turns the program stops: check zero, hold-down and clearance, "
            "then start again."
        )
    if nc.cutter_change is CutterChange.STOP:
        told.append(
            "At every change of cutter the spindle stops, the cutter is at the safe height, and "
            "the program waits: change the cutter, set its length, close the guard, start again."
        )
    else:
        told.append("The machine changes the cutters by itself.")
    asked: dict[str, list[str]] = {}
    for one in results.plan.passes:
        if one.toolpath.stop_after:
            asked.setdefault(one.toolpath.stop_after, []).append(str(one.toolpath.contour_id))
    for what, contours in asked.items():
        told.append(
            f"After contour {', '.join(contours)} of each copy the spindle stops, the cutter "
            f"parks, and the program waits: {what}."
        )
    if not nc.words.vacuum_on:
        told.append("The vacuum is switched by hand: on before the start, off after the end.")
    return tuple(told)


def before_the_start(results: Results, system: UnitSystem) -> tuple[str, ...]:
    """Return what is ticked before the start."""
    chosen = results.chosen
    air = {
        Air.NONE: "Chips are cleared by hand with the spindle still",
        Air.SUCTION: "Suction on and its bag empty",
        Air.BLAST: "Air blast aimed at the cutter, suction on, bag empty",
    }[chosen.air]
    return (
        "Board flat, free of chips, cut in no deeper than the plan allows",
        f"Sheet measured at three places, none thicker than "
        f"{show(chosen.cutting.thickness_mm, 'mm', system)}",
        f"Vacuum drawn to {chosen.machine.vacuum_kpa:g} kPa below air, or sheet clamped outside "
        "the passes",
        "Film side up as written above",
        "Cutters as listed, clean, stick-out measured",
        "Length of every cutter set, depth zero checked",
        air,
        "Eye and ear protection on, guard closed",
        "Extinguisher at hand, somebody stays with the machine",
        "Program name and job number are those of this sheet",
    )
