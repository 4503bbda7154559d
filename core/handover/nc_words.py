"""Reading: from a line's letters to words, and from words to what the machine file says of them.

This side of handing over shares nothing with the writer but the machine file's words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.library.nc_records import NcSettings

# each way to read a number is the only one: a long line that is no block is refused at once
_BLOCK = re.compile(r"(?:[A-Z] *[+-]?(?:\d+(?:\.\d*)?|\.\d+) *)*", re.ASCII)
_ONE = re.compile(r"([A-Z]) *([+-]?[\d.]+)", re.ASCII)

GROUPS = {
    "units": ("metric", "inch"),
    "plane": ("plane_xy",),
    "counting": ("absolute", "incremental"),
    "feed_kind": ("feed_per_minute",),
    "radius_offset": ("no_radius_offset",),
    "cycle": ("no_cycle",),
    "zero": ("work_zero",),
    "motion": ("rapid", "straight", "clockwise", "counter_clockwise"),
    "dwell": ("dwell",),
    "length": ("length_offset",),
    "spindle": ("spindle_on", "spindle_off"),
    "air": ("air_on", "air_off"),
    "vacuum": ("vacuum_on", "vacuum_off"),
    "change": ("cutter_change",),
    "stop": ("stop", "end"),
}
"""Words of one group exclude each other in a block, and hold until another of the group is said."""

Word = tuple[str, float]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a line, in words; line numbers count from 1."""

    line: int
    message: str


class Vocabulary:
    """The words that a control understands, as the machine file names them.

    Parameters
    ----------
    nc : NcSettings
        The machine file's settings.
    """

    def __init__(self, nc: NcSettings) -> None:
        self._begins, self._ends = nc.comment_begins, nc.comment_ends
        self.meanings: dict[Word, str] = {}
        self.extra: dict[str, str] = {}
        for f in fields(nc.words):
            if f.name != "dwell_letter":
                self._learn(f.name, getattr(nc.words, f.name))
        self.group_of = {name: group for group, names in GROUPS.items() for name in names}
        self.parameters = frozenset("XYZFST") | frozenset(self.extra) | {nc.words.dwell_letter}
        self.parameters |= {"R"} if nc.arc_style.value == "radius" else {"I", "J"}

    def _learn(self, name: str, text: str) -> None:
        for word in text.split():
            if "{tool}" in word:
                self.extra[word[0]] = name
            else:
                self.meanings[word[0], float(word[1:])] = name

    def words(self, line: str) -> list[Word] | str:
        """Return the words of a line without comments, or what is wrong with it."""
        if self._begins in line:
            left = self._without_comments(line)
            if left is None:
                return "a comment does not end"
            line = left
        line = line.strip()
        match = _BLOCK.fullmatch(line)
        if match is None:
            return f"{line[:40]!r} is not made of words"
        return [(letter, float(value)) for letter, value in _ONE.findall(line)]

    def _without_comments(self, line: str) -> str | None:
        if not self._ends:
            return line.partition(self._begins)[0]
        out = []
        while self._begins in line:
            before, _, rest = line.partition(self._begins)
            _, found, line = rest.partition(self._ends)
            if not found:
                return None
            out.append(before)
        return " ".join([*out, line])
