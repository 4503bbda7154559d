"""The `[nc]` part of a machine file, as its author wrote it, and the settings made from it."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from core.library.nc_records import (
    ArcStyle,
    Counting,
    CutterChange,
    DepthZero,
    LongestArc,
    NcSettings,
    NcWords,
)
from core.library.records import Sourced

if TYPE_CHECKING:
    from core.library.magnitudes import Magnitudes

_WORD = re.compile(r"([A-Z]\d{1,4}|[A-Z]\{tool\})( ([A-Z]\d{1,4}|[A-Z]\{tool\}))*", re.ASCII)
_LETTERS_IN_USE = frozenset("XYZIJKRFSTNGM")
_MAY_BE_EMPTY = frozenset(
    {
        *("no_radius_offset", "no_cycle", "work_zero", "length_offset", "feed_per_minute"),
        *("cutter_change", "air_on", "air_off", "vacuum_on", "vacuum_off"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class NcEntry:
    """What the file says; what it leaves out is as the standard has it."""

    length_unit: str = "mm"
    decimals: int = 3
    feed_decimals: int = 1
    line_number_step: int = 10
    crlf: bool = False
    comment_begins: str = "("
    comment_ends: str = ")"
    head_lines: tuple[str, ...] = ("%",)
    tail_lines: tuple[str, ...] = ()
    depth_zero: DepthZero = DepthZero.BED
    counting: Counting = Counting.ABSOLUTE
    arc_style: ArcStyle = ArcStyle.FROM_START
    longest_arc: LongestArc = LongestArc.HALF
    helical_arcs: bool = True
    chord_error: Sourced | None = None
    largest_radius: Sourced | None = None
    approach: Sourced | None = None
    park_x: Sourced | None = None
    park_y: Sourced | None = None
    cutter_change: CutterChange = CutterChange.STOP
    one_file_per_cutter: bool = False
    stop_at_start: bool = True
    waits_for_spindle: bool = False
    dwell_in_ms: bool = False
    words: NcWords = field(default_factory=NcWords)


_LENGTHS = {
    "chord_error": "chord_error_mm",
    "largest_radius": "largest_radius_mm",
    "approach": "approach_mm",
}


def nc_settings(entry: NcEntry, read: Magnitudes) -> NcSettings:
    """Return the settings; what cannot be meant is added to the file's problems."""
    values = {}
    for f in dataclasses.fields(NcEntry):
        if f.name not in {*_LENGTHS, "park_x", "park_y"}:
            values[f.name] = getattr(entry, f.name)
    for name, target in _LENGTHS.items():
        sourced = getattr(entry, name)
        if sourced is not None:
            values[target] = read.one(sourced, target, "mm", f"$.nc.{name}")
    if entry.park_x is not None and entry.park_y is not None:
        values["park_mm"] = (
            read.one(entry.park_x, "park_mm", "mm", "$.nc.park_x"),
            read.one(entry.park_y, "park_mm", "mm", "$.nc.park_y"),
        )
    read.problems += _problems(entry)
    return NcSettings(**values)


def _problems(entry: NcEntry) -> list[str]:
    found = []
    if entry.length_unit not in {"mm", "in"}:
        found.append("mm or in is needed @ $.nc.length_unit")
    least = 3 if entry.length_unit == "mm" else 4
    if not least <= entry.decimals <= 6:
        found.append(f"{least} to 6 digits are needed @ $.nc.decimals")
    if not 0 <= entry.feed_decimals <= 4:
        found.append("0 to 4 digits make sense @ $.nc.feed_decimals")
    if not 0 <= entry.line_number_step <= 1000:
        found.append("0 to 1000 make sense @ $.nc.line_number_step")
    if len(entry.comment_begins) != 1 or len(entry.comment_ends) > 1:
        found.append("one sign begins a comment, one or the line's end ends it @ $.nc")
    if (entry.park_x is None) != (entry.park_y is None):
        found.append("park_x and park_y belong together @ $.nc")
    return found + _wrong_words(entry.words)


def _wrong_words(words: NcWords) -> list[str]:
    found = []
    seen: dict[str, str] = {}
    for f in dataclasses.fields(NcWords):
        text = getattr(words, f.name)
        path = f"$.nc.words.{f.name}"
        if f.name == "dwell_letter":
            if len(text) != 1 or not text.isupper() or text in _LETTERS_IN_USE - {"F"}:
                found.append(f"one capital letter that means nothing else is needed @ {path}")
        elif not text and f.name not in _MAY_BE_EMPTY:
            found.append(f"the control must have such a word @ {path}")
        elif text and not _WORD.fullmatch(text):
            found.append(f"{text!r} is no word; write one like 'G54' or 'T{{tool}}' @ {path}")
        elif text and text in seen:
            found.append(f"{text!r} is also {seen[text]} @ {path}")
        seen.setdefault(text, f.name)
    return found
