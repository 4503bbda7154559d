"""What the plan wants a program to do, as moves on the sheet: the other side of the comparison.

Terms: a *run* is what is cut from one way down to the next lift. It is laid out here from the
plan's toolpaths and the machine file's heights alone, and knows nothing of how programs are
written.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.handover.nc_program import Kind, Moves, joined_moves
from core.motion.staying import way_back
from core.plan.records import Entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path
    from core.handover.work import Work
    from core.layout.records import Copy, OrderLine
    from core.library.records import MountedCutter
    from core.plan.records import Toolpath


@dataclass(frozen=True, eq=False, slots=True)
class Run:
    """One run: its cutter and spindle speed, its moves, and the lines of the order in it.

    `moves.line` counts the lines of the order that the program holds, from 0. After it there is a
    programmed stop where `stop_after` says so.
    """

    mounted: MountedCutter
    spindle_speed_rpm: float
    moves: Moves
    lines: tuple[OrderLine, ...]
    stop_after: bool


def planned_runs(work: Work, lines: Sequence[OrderLine]) -> list[Run]:
    """Return the runs that a program of some lines of the order must consist of."""
    runs: list[Run] = []
    before: OrderLine | None = None
    for number, line in enumerate(lines):
        one = work.cut_pass(line)
        back = _back(work, before, line)
        moves = _trip(work, line, number, back)
        stop = bool(one.toolpath.stop_after) and number < len(lines) - 1
        if back is not None and runs:
            last = runs[-1]
            joined, held = joined_moves([last.moves, moves]), (*last.lines, line)
            runs[-1] = replace(last, moves=joined, lines=held, stop_after=stop)
        else:
            mounted = one.toolpath.mounted
            runs.append(Run(mounted, one.spindle_speed_rpm, moves, (line,), stop))
        before = line
    return runs


def _back(work: Work, before: OrderLine | None, line: OrderLine) -> Path | None:
    """Return the way in the slot to a deeper trip, where the cutter is not lifted."""
    if before is None or (before.sheet, before.copy) != (line.sheet, line.copy):
        return None
    last, one = work.cut_pass(before), work.cut_pass(line)
    if last.toolpath.stop_after:
        return None
    same_speed = last.spindle_speed_rpm == one.spindle_speed_rpm
    return way_back(last.toolpath, one.toolpath) if same_speed else None


def _trip(work: Work, line: OrderLine, number: int, back: Path | None) -> Moves:
    one = work.cut_pass(line)
    path, feed = one.toolpath, one.feed_speed_mm_min
    if path.pecks:
        return _drilled(work, line, number)
    copy = work.layout.sheets[line.sheet].copies[line.copy]
    plunge = work.chosen.machine.plunge_mm_min
    begin, entry_feed = path.z_bottom_mm, feed
    if ramped(path):
        begin = path.entry_from_mm
        drop = begin - path.z_bottom_mm
        space = math.hypot(drop, path.entry.length_mm)
        entry_feed = min(feed, plunge * space / drop) if drop > 0.0 else feed
    legs = []
    if back is None:
        x, y = on_sheet(path.entry.points[:1], copy)[0]
        legs.append(_straight_down((x, y), work.approach_mm, begin, plunge, number))
    else:
        depth = path.entry_from_mm
        legs.append(leg(back, copy, (depth, depth), feed, number))
    legs.append(leg(path.entry, copy, (begin, path.z_bottom_mm), entry_feed, number))
    for part in (path.cut, path.exit):
        legs.append(leg(part, copy, (path.z_bottom_mm, path.z_bottom_mm), feed, number))
    return joined_moves(legs)


def _drilled(work: Work, line: OrderLine, number: int) -> Moves:
    """Return the moves of a drill: to the top, and for each peck down, up and down again."""
    one, plunge = work.cut_pass(line), work.chosen.machine.plunge_mm_min
    copy = work.layout.sheets[line.sheet].copies[line.copy]
    x, y = on_sheet(one.toolpath.entry.points[:1], copy)[0]
    heights, feeds = [work.approach_mm], []
    for peck in one.toolpath.pecks:
        heights += [peck.from_mm, peck.bottom_mm, work.approach_mm]
        feeds += [plunge, one.feed_speed_mm_min * peck.feed_share, plunge]
    # the last way up is the lift to the next place
    legs = [
        _straight_down((x, y), heights[k], heights[k + 1], feed, number)
        for k, feed in enumerate(feeds[:-1])
    ]
    return joined_moves(legs)


def ramped(path: Toolpath) -> bool:
    """Tell whether the way in goes down on its way, and not at its beginning."""
    return path.entry_kind is not Entry.PLUNGE and path.entry.length_mm > 0.0


def on_sheet(points: NDArray[np.float64], copy: Copy) -> NDArray[np.float64]:
    """Return points of a drawing where a copy has them on the sheet, shape (n, 2). [mm]."""
    turn = math.radians(copy.turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x, y = points[:, 0] * (-1.0 if copy.mirrored else 1.0), points[:, 1]
    turned = np.column_stack([cos * x - sin * y, sin * x + cos * y])
    return np.asarray(turned + np.array(copy.at_mm))


def leg(
    path: Path, copy: Copy, heights_mm: tuple[float, float], feed_mm_min: float, number: int
) -> Moves:
    """Return an open path as moves on the sheet, its height changing evenly along it."""
    points = on_sheet(path.points, copy)
    bulges = path.bulges * (-1.0 if copy.mirrored else 1.0)
    start, end = points[: len(bulges)], points[1:]
    chord = end - start
    long = np.hypot(chord[:, 0], chord[:, 1])
    keep = long > 1e-9
    start, end, bulges, chord, long = (part[keep] for part in (start, end, bulges, chord, long))
    sweep = np.where(np.abs(bulges) > 1e-12, 4.0 * np.arctan(bulges), 0.0)
    arc = sweep != 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        aside = np.where(arc, (1.0 - bulges**2) / (4.0 * np.where(arc, bulges, 1.0)), 0.0)
        length = np.where(arc, long * np.abs(sweep) / (2.0 * np.abs(np.sin(sweep / 2.0))), long)
    left = np.column_stack([-chord[:, 1], chord[:, 0]])
    centre = np.where(arc[:, None], (start + end) / 2.0 + left * aside[:, None], np.nan)
    way = np.concatenate([[0.0], np.cumsum(length)])
    share = way / way[-1] if way[-1] > 0.0 else way
    z = heights_mm[0] + (heights_mm[1] - heights_mm[0]) * share
    kind = np.where(arc, np.where(sweep > 0.0, Kind.COUNTER_CLOCKWISE, Kind.CLOCKWISE), 1)
    return Moves(
        line=np.full(len(long), number),
        kind=kind.astype(np.intp),
        start=np.column_stack([start, z[:-1]]),
        end=np.column_stack([end, z[1:]]),
        centre=centre,
        sweep_rad=sweep,
        feed_mm_min=np.full(len(long), feed_mm_min),
    )


def _straight_down(
    at_mm: tuple[float, float], from_mm: float, to_mm: float, feed_mm_min: float, number: int
) -> Moves:
    return Moves(
        line=np.array([number]),
        kind=np.array([int(Kind.STRAIGHT)]),
        start=np.array([[*at_mm, from_mm]]),
        end=np.array([[*at_mm, to_mm]]),
        centre=np.full((1, 2), np.nan),
        sweep_rad=np.zeros(1),
        feed_mm_min=np.array([feed_mm_min]),
    )
