"""Writes the plan as programs in word address form, as the machine's control wants them.

A program says in its head, in words, what its units are and where its zeros lie. Between cuts the
cutter runs at the safe height; it comes down rapidly to the approach height, from there with the
plunge speed. The spindle has its speed before a cut begins, also where the control does not wait.
"""

from __future__ import annotations

import hashlib
import math
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.path import Path
from core.handover.nc_arcs import blocks
from core.handover.nc_text import NcBuilder
from core.handover.work import NcText
from core.job import Air
from core.library.nc_records import Counting, CutterChange, DepthZero
from core.motion.staying import way_back
from core.plan.records import Entry

if TYPE_CHECKING:
    from core.handover.work import Work
    from core.layout.records import Copy, OrderLine
    from core.library.records import MountedCutter
    from core.plan.records import Pass

DWELL_DIGITS = 3


def nc_programs(work: Work) -> tuple[NcText, ...]:
    """Return the programs of a plan, one a sheet (or one for each cutter on it); not proven yet."""
    parts = work.programs()
    return tuple(
        NcText(sheet, number, len(parts), _Writer(work, sheet, lines, number, len(parts)).text())
        for number, (sheet, lines) in enumerate(parts, 1)
    )


class _Writer:
    """Writes one program."""

    def __init__(
        self, work: Work, sheet: int, lines: tuple[OrderLine, ...], number: int, count: int
    ) -> None:
        self._work, self._sheet, self._lines = work, sheet, lines
        self._which = number, count
        self._machine = work.chosen.machine
        self._nc = self._machine.nc
        self._words = self._nc.words
        zero = work.top_mm if self._nc.depth_zero is DepthZero.SHEET_TOP else 0.0
        self._out = NcBuilder(self._nc, zero)
        self._spindle_rpm = 0.0

    def text(self) -> str:
        """Return the program."""
        for text in self._nc.head_lines:
            self._out.raw(text)
        self._head()
        self._setting()
        mounted: MountedCutter | None = None
        before: OrderLine | None = None
        for line in self._lines:
            one = self._work.cut_pass(line)
            if before is not None and self._work.cut_pass(before).toolpath.stop_after:
                self._stop(self._work.cut_pass(before).toolpath.stop_after)
                before = None
            if mounted is None or mounted.key != one.toolpath.mounted.key:
                self._change(one.toolpath.mounted, first=mounted is None)
                mounted, before = one.toolpath.mounted, None
            self._speed(one.spindle_speed_rpm)
            self._trip(line, one, before)
            before = line
        self._end()
        for text in self._nc.tail_lines:
            self._out.raw(text)
        return self._out.text()

    def _head(self) -> None:
        work, out, nc = self._work, self._out, self._nc
        number, count = self._which
        top = out.grid.written(out.grid.steps(work.top_mm))
        unit = "MILLIMETRES" if nc.length_unit == "mm" else "INCHES"
        out.comment(f"{work.job.name}, program {number} of {count}")
        for drawing in work.job.drawings:
            digest = hashlib.sha256(drawing.content).hexdigest()[:12]
            out.comment(f"drawing {drawing.name}, SHA-256 {digest}")
        wide, high = work.layout.sheets[self._sheet].size_mm
        out.comment(f"sheet {self._sheet + 1} of {len(work.layout.sheets)}: {wide:g} x {high:g} mm")
        out.comment(f"{work.chosen.material.name}, {work.top_mm:g} mm thick")
        out.comment(f"machine {self._machine.name}")
        out.comment(f"units: {unit}, and {unit} per minute")
        out.comment("X and Y zero: lower left corner of the sheet, seen from above")
        if nc.depth_zero is DepthZero.BED:
            out.comment(f"Z zero: the bed. The top of the sheet is at Z{top}")
            out.comment("below Z0 the cutter is in the board")
        else:
            out.comment(f"Z zero: the top of the sheet. The bed is at Z-{top}")
        out.comment("a plan is an estimate: makers and qualified people come first")

    def _setting(self) -> None:
        words = self._words
        units = words.metric if self._nc.length_unit == "mm" else words.inch
        self._out.block(units)
        self._out.block(words.plane_xy, words.absolute, words.feed_per_minute)
        self._out.block(words.no_radius_offset)
        self._out.block(words.no_cycle)
        self._out.block(words.work_zero)
        if self._nc.counting is Counting.INCREMENTAL:
            self._out.block(words.incremental)

    def _change(self, mounted: MountedCutter, *, first: bool) -> None:
        out, words, tool = self._out, self._words, mounted.tool_number
        if not first:
            self._stand_still(park=self._nc.cutter_change is CutterChange.STOP)
        out.comment(
            f"T{tool}: {mounted.cutter.name}, {mounted.diameter_mm:g} mm, stick-out "
            f"{mounted.stick_out_mm:g} mm, {mounted.holder.name}"
        )
        out.block(f"T{tool}", words.cutter_change)
        out.block(words.length_offset.replace("{tool}", str(tool)))
        if self._nc.cutter_change is CutterChange.STOP:
            out.comment(f"stop: T{tool} is in, its length is set, the guard is closed")
            out.block(words.stop)
        elif first and self._nc.stop_at_start:
            out.comment("stop: zero, hold-down and clearance are checked")
            out.block(words.stop)
        if first:
            out.block(words.vacuum_on)
        out.unknown_place()
        out.rapid_height(self._work.safe_mm)

    def _stop(self, what: str) -> None:
        """Stop for a person, with the spindle still and the cutter out of the way."""
        self._stand_still(park=True)
        self._out.comment(f"stop: {what}")
        self._out.block(self._words.stop)

    def _stand_still(self, *, park: bool) -> None:
        if self._spindle_rpm == 0.0:
            return
        self._lift()
        self._out.block(self._words.air_off if self._has_air else "")
        self._out.block(self._words.spindle_off)
        self._spindle_rpm = 0.0
        if park:
            self._out.rapid_to(*self._nc.park_mm)

    @property
    def _has_air(self) -> bool:
        return self._work.job.air is not Air.NONE

    def _speed(self, speed_rpm: float) -> None:
        speed = round(speed_rpm)
        if speed == self._spindle_rpm:
            return
        if self._spindle_rpm:
            # a new speed is taken up where nothing is cut
            self._lift()
        begins = self._spindle_rpm == 0.0
        self._out.block(f"S{speed}", self._words.spindle_on)
        if not self._nc.waits_for_spindle:
            seconds = abs(speed - self._spindle_rpm) / self._machine.spindle_ramp_rpm_s
            self._dwell(seconds)
        if begins and self._has_air:
            self._out.block(self._words.air_on)
        self._spindle_rpm = speed

    def _dwell(self, seconds: float) -> None:
        power = 10**DWELL_DIGITS
        ms = math.ceil(seconds * power - 1e-6)
        time = f"{ms}" if self._nc.dwell_in_ms else f"{ms // power}.{ms % power:03d}"
        self._out.block(self._words.dwell, f"{self._words.dwell_letter}{time}")

    def _trip(self, line: OrderLine, one: Pass, before: OrderLine | None) -> None:
        path, out = one.toolpath, self._out
        copy = self._work.layout.sheets[line.sheet].copies[line.copy]
        entry, cut, leave = (_placed(part, copy) for part in (path.entry, path.cut, path.exit))
        feed, plunge = one.feed_speed_mm_min, self._machine.plunge_mm_min
        back = self._way_back(line, one, before)
        if back is not None:
            depth = path.entry_from_mm
            out.along(blocks(_placed(back, copy), out.grid), depth, depth, feed)
        else:
            self._lift()
            out.comment(f"copy {line.copy + 1}, contour {path.contour_id}, {path.step.name}")
            out.rapid_to(*entry.points[0])
            out.rapid_height(self._work.approach_mm)
            ramped = path.entry_kind is not Entry.PLUNGE and path.entry.length_mm > 0.0
            begins = ramped or bool(path.pecks)
            out.down(path.entry_from_mm if begins else path.z_bottom_mm, plunge)
        if path.pecks:
            self._peck(one)
            return
        self._enter(one, entry)
        for part in (cut, leave):
            out.along(blocks(part, out.grid), path.z_bottom_mm, path.z_bottom_mm, feed)

    def _peck(self, one: Pass) -> None:
        """Drill: down peck by peck, lifted clear of the sheet between them."""
        out, plunge = self._out, self._machine.plunge_mm_min
        for number, peck in enumerate(one.toolpath.pecks):
            if number:
                out.down(self._work.approach_mm, plunge)
                out.down(peck.from_mm, plunge)
            out.down(peck.bottom_mm, one.feed_speed_mm_min * peck.feed_share)

    def _way_back(self, line: OrderLine, one: Pass, before: OrderLine | None) -> Path | None:
        if before is None or (before.sheet, before.copy) != (line.sheet, line.copy):
            return None
        last = self._work.cut_pass(before)
        if last.spindle_speed_rpm != one.spindle_speed_rpm:
            return None
        return way_back(last.toolpath, one.toolpath)

    def _enter(self, one: Pass, entry: Path) -> None:
        path = one.toolpath
        begin, feed = path.z_bottom_mm, one.feed_speed_mm_min
        arcs = True
        if path.entry_kind is not Entry.PLUNGE and entry.length_mm > 0.0:
            begin = path.entry_from_mm
            drop = begin - path.z_bottom_mm
            # the vertical part of the motion stays within the machine's plunge speed
            steep = drop / math.hypot(drop, entry.length_mm)
            feed = min(feed, self._machine.plunge_mm_min / steep) if steep > 0.0 else feed
            arcs = self._nc.helical_arcs
        ways = blocks(entry, self._out.grid, arcs=arcs)
        self._out.along(ways, begin, path.z_bottom_mm, feed)

    def _lift(self) -> None:
        self._out.rapid_height(self._work.safe_mm)

    def _end(self) -> None:
        self._stand_still(park=True)
        self._out.block(self._words.vacuum_off)
        self._out.block(self._words.end)


def _placed(path: Path, copy: Copy) -> Path:
    """Return a path of the drawing where a copy has it on the sheet."""
    if copy.mirrored:
        path = Path(path.points * np.array([-1.0, 1.0]), -path.bulges, path.closed)
    return path.moved(copy.at_mm, math.radians(copy.turn_deg))
