"""Proof that the machine is run as it must be: cutter, spindle, air, stops, rapid moves, travel."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from core.handover.complaints import Complaint
from core.handover.nc_program import Did, Kind
from core.handover.runs import Standing
from core.job import Air
from core.library.nc_records import CutterChange

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.handover.nc_program import Event, Program
    from core.handover.planned import Run
    from core.handover.runs import ReadRun
    from core.handover.work import Work

TOLERANCE_MM = 0.01
SPEED_SHARE = 0.001
LONGEST_WAIT_S = 60.0
READY_SHARE = 0.999
"""Share of the spindle's ramp that must have been waited for: a dwell has a last digit too."""


def run_well(
    work: Work, program: Program, read: Sequence[ReadRun], planned: Sequence[Run]
) -> Iterator[Complaint]:
    """Yield where a program runs the machine as it must not be run."""
    for one, wanted in zip(read, planned, strict=False):
        yield from _ready(work, one, wanted)
    yield from _still(work, program)
    yield from _stops(work, program, read, planned)
    yield from _end(work, program)
    yield from _rapids(work, program)
    yield from _straight_there(work, program, read, planned)


def _ready(work: Work, one: ReadRun, wanted: Run) -> Iterator[Complaint]:
    """Yield how the machine does not stand ready for a run."""
    stands, line = one.standing, int(one.moves.line[0])
    machine = work.chosen.machine
    if one.switched:
        yield Complaint("spindle", "something is switched or waited for while it cuts", line)
    if stands.tool != wanted.mounted.tool_number:
        yield Complaint(
            "cutter",
            f"T{stands.tool:g} cuts where the plan has T{wanted.mounted.tool_number}",
            line,
        )
    if machine.nc.words.length_offset and stands.length_of != stands.tool:
        yield Complaint("cutter", f"the length of T{stands.tool:g} is not in force", line)
    yield from _spindle(work, stands, wanted, line)
    if work.job.air is not Air.NONE and machine.nc.words.air_on and not stands.air:
        yield Complaint("air", "it cuts without air", line)
    if machine.nc.words.vacuum_on and not stands.vacuum:
        yield Complaint("air", "it cuts without vacuum", line)
    if machine.nc.cutter_change is CutterChange.STOP and not stands.stops:
        yield Complaint("stop", "no stop for the person who changed the cutter", line)


def _spindle(work: Work, stands: Standing, wanted: Run, line: int) -> Iterator[Complaint]:
    machine, speed = work.chosen.machine, wanted.spindle_speed_rpm
    if abs(stands.spindle_rpm - speed) > max(SPEED_SHARE * speed, 0.5):
        yield Complaint(
            "spindle",
            f"the spindle runs at {stands.spindle_rpm:g} rpm where the plan has {speed:g}",
            line,
        )
    ramp_s = abs(stands.spindle_rpm - stands.from_rpm) / machine.spindle_ramp_rpm_s
    if not machine.nc.waits_for_spindle and stands.waited_s < READY_SHARE * ramp_s - 5e-4:
        yield Complaint("spindle", "it cuts before the spindle has its speed", line)
    if stands.waited_s > ramp_s + LONGEST_WAIT_S:
        words = f"a wait of {stands.waited_s:.0f} s; milliseconds may have been taken for seconds"
        yield Complaint("spindle", words, line)


def _still(work: Work, program: Program) -> Iterator[Complaint]:
    """Yield what is done while the spindle turns or the cutter is low, and must not be."""
    stands = Standing()
    for event in program.events:
        by_hand = event.did in (Did.CUTTER, Did.STOP)
        if by_hand and (stands.spindle_rpm or stands.air):
            yield Complaint("stop", f"{event.did} while the spindle or the air is on", event.line)
        turns = event.did in (Did.SPINDLE_ON, Did.SPINDLE_OFF)
        # before its first move a program does not know where the cutter is
        if (turns or (by_hand and event.move)) and not _is_safe(work, program, event):
            yield Complaint("stop", f"{event.did} below the safe height", event.line)
        stands = stands.after(event)


def _is_safe(work: Work, program: Program, event: Event) -> bool:
    height = float(program.moves.end[event.move - 1, 2]) if event.move else float("nan")
    return abs(height - work.safe_mm) <= TOLERANCE_MM


def _stops(
    work: Work, program: Program, read: Sequence[ReadRun], planned: Sequence[Run]
) -> Iterator[Complaint]:
    """Yield programmed stops that are missing: between runs, and before the first one."""
    nc = work.chosen.machine.nc
    if nc.stop_at_start and read and not _stops_in(program, 0, read[0].first):
        yield Complaint("stop", "no stop before the start", int(read[0].moves.line[0]))
    for (one, after), wanted in zip(pairwise(read), planned, strict=False):
        if wanted.stop_after and not _stops_in(program, one.last + 1, after.first):
            yield Complaint("stop", "a programmed stop is missing", int(after.moves.line[0]))


def _stops_in(program: Program, first: int, last: int) -> bool:
    return any(e.did is Did.STOP and first <= e.move <= last for e in program.events)


def _end(work: Work, program: Program) -> Iterator[Complaint]:
    stands = Standing()
    for event in program.events:
        stands = stands.after(event)
    if not stands.ended or stands.spindle_rpm or stands.air:
        yield Complaint("end", "at the end the spindle or the air is still on")
    if work.chosen.machine.nc.words.vacuum_off and stands.vacuum:
        yield Complaint("end", "at the end the vacuum is still on")
    home = np.array([*work.chosen.machine.nc.park_mm, work.safe_mm])
    moves = program.moves
    if not len(moves) or not np.abs(moves.end[-1] - home).max() <= TOLERANCE_MM:
        yield Complaint("end", "it does not end where the machine parks")


def _rapids(work: Work, program: Program) -> Iterator[Complaint]:
    """Yield rapid moves other than straight up, straight down to the approach, across on top."""
    moves = program.moves
    which = np.flatnonzero(moves.kind == Kind.RAPID)
    start, end = moves.start[which], moves.end[which]
    step = end - start
    # from a place that is not known a move is along the axes that it names
    across = np.hypot(step[:, 0], step[:, 1]) > TOLERANCE_MM
    across |= np.isfinite(end[:, 0]) & ~np.isfinite(start[:, 0])
    across |= np.isfinite(end[:, 1]) & ~np.isfinite(start[:, 1])
    level = np.abs(step[:, 2]) <= TOLERANCE_MM
    on_top = np.abs(end[:, 2] - work.safe_mm) <= TOLERANCE_MM
    down = np.abs(end[:, 2] - work.approach_mm) <= TOLERANCE_MM
    down &= np.abs(start[:, 2] - work.safe_mm) <= TOLERANCE_MM
    nowhere = level & ~across
    good = np.where(across, level & on_top, on_top | down | nowhere)
    for k in which[~good]:
        yield Complaint(
            "rapid",
            "a rapid move that is neither across at the safe height, nor straight up to it, nor "
            "straight down to the approach height",
            int(moves.line[k]),
        )


def _straight_there(
    work: Work, program: Program, read: Sequence[ReadRun], planned: Sequence[Run]
) -> Iterator[Complaint]:
    """Yield detours: between two runs, and to and from the park, the way across is straight."""
    moves, park = program.moves, np.array(work.chosen.machine.nc.park_mm)
    by_hand = work.chosen.machine.nc.cutter_change is CutterChange.STOP
    ends = [(one.last + 1, after.first) for one, after in pairwise(read)]
    for k, (first, stop) in enumerate(ends):
        begin, end = moves.start[first, :2], moves.start[stop, :2]
        via = k < len(planned) and planned[k].stop_after
        changed = any(e.did is Did.CUTTER and first <= e.move <= stop for e in program.events)
        direct = _far(begin, park) + _far(park, end) if via or (changed and by_hand) else 0.0
        yield from _detour(program, first, stop, direct or _far(begin, end))
    if read:
        last = read[-1].last + 1
        if last < len(moves):
            yield from _detour(program, last, len(moves), _far(moves.start[last, :2], park))
        first_known = moves.start[: read[0].first, :2]
        known = int(np.isfinite(first_known).all(axis=1).sum())
        yield from _detour(program, read[0].first - known, read[0].first, 0.0)


def _detour(program: Program, first: int, stop: int, direct_mm: float) -> Iterator[Complaint]:
    step = program.moves.end[first:stop, :2] - program.moves.start[first:stop, :2]
    way = float(np.hypot(step[:, 0], step[:, 1]).sum())
    if not abs(way - direct_mm) <= 2.0 * TOLERANCE_MM:
        yield Complaint(
            "rapid",
            f"{way:.2f} mm of rapid moves where {direct_mm:.2f} mm lead there",
            int(program.moves.line[min(first, len(program.moves) - 1)]),
        )


def _far(one: NDArray[np.float64], other: NDArray[np.float64]) -> float:
    return float(np.hypot(*(other - one)))


def within_limits(work: Work, program: Program) -> Iterator[Complaint]:
    """Yield where the machine's travel, depth, feed or spindle limits are passed."""
    machine, moves = work.chosen.machine, program.moves
    for axis, name in enumerate("XY"):
        place = moves.end[:, axis]
        outside = (place < -TOLERANCE_MM) | (place > machine.travel_mm[axis] + TOLERANCE_MM)
        yield from _at(program, outside, "travel", f"{name} leaves the machine's travel")
    # the point of a drill must leave the sheet: each run is held to its own depth apart
    points = [p.toolpath.z_bottom_mm for p in work.plan.passes if p.toolpath.pecks]
    low = moves.end[:, 2] < min(-work.chosen.cutting.overcut_mm, *points, 0.0) - TOLERANCE_MM
    yield from _at(program, low, "depth", "deeper into the board than the plan allows")
    fast = moves.feed_mm_min > machine.highest_feed_mm_min * (1.0 + SPEED_SHARE)
    yield from _at(program, fast, "feed", "faster than the machine's highest feed")
    for event in program.events:
        if event.did is Did.SPINDLE_ON and not (
            machine.lowest_spindle_speed_rpm - 0.5
            <= event.value
            <= machine.highest_spindle_speed_rpm + 0.5
        ):
            words = f"{event.value:g} rpm is outside of the spindle's range"
            yield Complaint("spindle", words, event.line)


def _at(program: Program, wrong: NDArray[np.bool_], code: str, message: str) -> Iterator[Complaint]:
    for k in np.flatnonzero(wrong)[:1]:
        yield Complaint(code, message, int(program.moves.line[k]))


def holder_clear(
    work: Work, read: Sequence[ReadRun], planned: Sequence[Run]
) -> Iterator[Complaint]:
    """Yield runs in which the holder would come down to the sheet."""
    for one, wanted in zip(read, planned, strict=False):
        lowest = float(one.moves.end[:, 2].min()) + wanted.mounted.stick_out_mm
        if lowest < work.top_mm:
            yield Complaint(
                "holder",
                f"{wanted.mounted.name} sticks out {wanted.mounted.stick_out_mm:g} mm: its holder "
                f"comes {work.top_mm - lowest:.1f} mm below the sheet's top",
                int(one.moves.line[0]),
            )
