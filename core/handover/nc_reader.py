"""Reads a program line by line as a control would, and refuses what a control could take otherwise.

Nothing is taken for granted: units, plane, counting, zero and feed must have been said before the
first move, a feed before the first cut. Reading is a stream: a program of a million lines is handed
on in parts, and its memory does not grow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.handover.nc_arcs_read import settled
from core.handover.nc_program import Did, Event, Kind, Program, joined_moves
from core.handover.nc_words import GROUPS, Fault, Vocabulary
from core.library.nc_records import ArcStyle

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from core.handover.nc_program import Moves
    from core.library.nc_records import NcSettings

AT_ONCE = 16_384
"""Moves handed on in one part."""

MOST_FAULTS = 100
NOWHERE = float("nan")

_MOTION = {
    "rapid": Kind.RAPID,
    "straight": Kind.STRAIGHT,
    "clockwise": Kind.CLOCKWISE,
    "counter_clockwise": Kind.COUNTER_CLOCKWISE,
}
_STATES = ("units", "plane", "counting", "feed_kind", "radius_offset", "cycle", "zero")
_SWITCHES = {
    "spindle_off": Did.SPINDLE_OFF,
    "air_on": Did.AIR_ON,
    "air_off": Did.AIR_OFF,
    "vacuum_on": Did.VACUUM_ON,
    "vacuum_off": Did.VACUUM_OFF,
    "stop": Did.STOP,
    "end": Did.END,
}
Row = tuple[int, int, float, float, float, float, float, float, float, float, float]


@dataclass(frozen=True, eq=False, slots=True)
class Part:
    """A stretch of a program; events count moves from the program's first."""

    moves: Moves
    events: tuple[Event, ...]
    faults: tuple[Fault, ...]
    lines: int


def read_program(text: str, nc: NcSettings, zero_mm: float) -> Program:
    """Return a whole program.

    Parameters
    ----------
    text : str
        The program.
    nc : NcSettings
        The machine file's words and forms.
    zero_mm : float
        Height above the bed at which the program's Z is 0. [mm]
    """
    parts = list(read_parts(text.splitlines(), nc, zero_mm))
    events = tuple(event for part in parts for event in part.events)
    faults = tuple(fault for part in parts for fault in part.faults)
    moves = joined_moves([part.moves for part in parts])
    return Program(moves, events, faults[:MOST_FAULTS], sum(part.lines for part in parts))


def read_parts(lines: Iterable[str], nc: NcSettings, zero_mm: float) -> Iterator[Part]:
    """Yield a program in parts of at most `AT_ONCE` moves; the last part tells what is missing."""
    reader = _Reader(nc, zero_mm)
    for line in lines:
        reader.read(line)
        if len(reader.rows) >= AT_ONCE:
            yield reader.part()
    reader.finish()
    yield reader.part()


class _Reader:
    """The state of a control that reads one program."""

    def __init__(self, nc: NcSettings, zero_mm: float) -> None:
        self._nc, self._zero_mm = nc, zero_mm
        self._vocabulary = Vocabulary(nc)
        self._head = [line for line in nc.head_lines if line.strip()]
        self._tail = [line for line in nc.tail_lines if line.strip()]
        said = self._vocabulary.meanings.values()
        self._wanted = [g for g in _STATES if any(name in said for name in GROUPS[g])]
        self._state: dict[str, str] = {}
        self._ready = self._ended = False
        self._unit_mm = NOWHERE
        self._x = self._y = self._z = NOWHERE
        self._feed = NOWHERE
        self._motion: str | None = None
        self._line = self._told = self._moves = 0
        self.rows: list[Row] = []
        self._events: list[Event] = []
        self._faults: list[Fault] = []

    def part(self) -> Part:
        """Hand on what was read since the last time."""
        moves, faults = settled(self.rows, self._nc)
        lines = self._line - self._told
        every = sorted([*self._faults, *faults], key=lambda fault: fault.line)
        out = Part(moves, tuple(self._events), tuple(every[:MOST_FAULTS]), lines)
        self.rows, self._events, self._faults, self._told = [], [], [], self._line
        return out

    def finish(self) -> None:
        """Tell what a program lacks at its end."""
        if not self._ended:
            self._fault(f"the program does not end with {self._nc.words.end}")
        for line in (*self._head, *self._tail):
            self._fault(f"the line {line!r} is missing")

    def read(self, line: str) -> None:
        """Take in one line."""
        self._line += 1
        if self._head and line.strip() == self._head[0]:
            self._head.pop(0)
            return
        if self._ended and self._tail and line.strip() == self._tail[0]:
            self._tail.pop(0)
            return
        words = self._vocabulary.words(line)
        if isinstance(words, str):
            self._fault(words)
        elif words:
            self._block(words)

    def _block(self, words: list[tuple[str, float]]) -> None:
        if self._head:
            self._fault(f"the program does not begin with {self._head[0]!r}")
            self._head = []
        if words[0][0] == "N":
            words = words[1:]
        meanings, parameters = self._vocabulary.meanings, self._vocabulary.parameters
        names: dict[str, str] = {}
        values: dict[str, float] = {}
        for word in words:
            name = meanings.get(word)
            if name is not None:
                group = self._vocabulary.group_of[name]
                if group in names:
                    self._fault(f"{names[group]} and {name} in one block")
                names[group] = name
            elif word[0] not in parameters:
                self._fault(f"{word[0]}{word[1]:g} is no word of this machine")
            elif word[0] in values:
                self._fault(f"{word[0]} stands twice in one block")
            else:
                values[word[0]] = word[1]
        if self._ended and (names or values):
            self._fault("something follows the program's end")
        self._obey(names, values)

    def _obey(self, names: dict[str, str], values: dict[str, float]) -> None:
        """Do what a block says: settings first, then switches, then its move, then a stop."""
        if len(names) == 1 and "motion" in names:
            self._motion = names["motion"]
        elif names:
            self._set(names)
            self._switch(names, values)
        if "F" in values:
            self._set_feed(values.pop("F"))
        if "S" in values or "T" in values:
            self._serve(names, values)
        if values or "motion" in names:
            self._move(values)
        for name in (names[g] for g in ("stop",) if g in names):
            self._did(_SWITCHES[name])
            self._ended = name == "end"

    def _set(self, names: dict[str, str]) -> None:
        for group in _STATES:
            if group in names:
                self._state[group] = names[group]
        if "units" in names:
            self._unit_mm = 1.0 if names["units"] == "metric" else 25.4
            if (names["units"] == "metric") != (self._nc.length_unit == "mm"):
                self._fault("the units are not those of the machine file")
        if "motion" in names:
            self._motion = names["motion"]

    def _switch(self, names: dict[str, str], values: dict[str, float]) -> None:
        for group in ("air", "vacuum", "spindle"):
            if group in names and names[group] != "spindle_on":
                self._did(_SWITCHES[names[group]])
        if "dwell" in names:
            self._dwell(values)
        if "length" in names:
            letter = next(
                (x for x, n in self._vocabulary.extra.items() if n == "length_offset"), ""
            )
            self._did(Did.LENGTH, values.pop(letter, NOWHERE) if letter else 0.0)

    def _dwell(self, values: dict[str, float]) -> None:
        letter = self._nc.words.dwell_letter
        if letter not in values:
            self._fault(f"a dwell without its time ({letter})")
            return
        time = values.pop(letter)
        self._did(Did.DWELL, time / 1000.0 if self._nc.dwell_in_ms else time)

    def _serve(self, names: dict[str, str], values: dict[str, float]) -> None:
        """Change the cutter, and turn the spindle on."""
        if "T" in values:
            self._did(Did.CUTTER, values.pop("T"))
            if self._nc.words.cutter_change and "change" not in names:
                self._fault(f"a tool number without {self._nc.words.cutter_change}")
        if "S" in values:
            speed = values.pop("S")
            if names.get("spindle") == "spindle_on":
                self._did(Did.SPINDLE_ON, speed)
            else:
                self._fault(f"a spindle speed without {self._nc.words.spindle_on}")

    def _set_feed(self, value: float) -> None:
        if value <= 0.0:
            self._fault(f"a feed of {value:g}")
        self._feed = value * self._unit_mm

    def _move(self, values: dict[str, float]) -> None:
        name = self._motion
        if name is None or not self._may_move():
            self._fault("a move before it was said how to move")
            return
        if not values:
            return
        unit, steps = self._unit_mm, self._state["counting"] == "incremental"
        x0, y0, z0 = self._x, self._y, self._z
        x, y, z = x0, y0, z0
        if "X" in values:
            x = values.pop("X") * unit + (x0 if steps else 0.0)
        if "Y" in values:
            y = values.pop("Y") * unit + (y0 if steps else 0.0)
        if "Z" in values:
            z = values.pop("Z") * unit + (z0 if steps else self._zero_mm)
        cx = cy = NOWHERE
        if name in ("clockwise", "counter_clockwise"):
            cx, cy = self._centre(values, x0, y0, x, y, name)
        if values:
            self._fault(f"{', '.join(values)} cannot stand in this block")
        kind = _MOTION[name]
        feed = self._feed
        if kind == Kind.RAPID:
            feed = NOWHERE
        elif not (feed > 0.0 and x0 == x0 and y0 == y0 and z0 == z0):
            self._fault("a cut without a feed, or from a place that is not known")
        self.rows.append((self._line, int(kind), x0, y0, z0, x, y, z, cx, cy, feed))
        self._moves += 1
        self._x, self._y, self._z = x, y, z

    def _may_move(self) -> bool:
        if not self._ready:
            missing = [group for group in self._wanted if group not in self._state]
            if missing:
                self._fault(f"not said before the first move: {', '.join(missing)}")
                self._state.setdefault("counting", "absolute")
                self._wanted = []
            self._ready = True
        return True

    def _centre(
        self, values: dict[str, float], x0: float, y0: float, x: float, y: float, name: str
    ) -> tuple[float, float]:
        unit, style = self._unit_mm, self._nc.arc_style
        if style is ArcStyle.RADIUS:
            radius = values.pop("R", NOWHERE) * unit
            return _centre_of_radius(x0, y0, x, y, radius, left=name == "counter_clockwise")
        if "I" not in values or "J" not in values:
            self._fault("an arc without its centre")
        i, j = values.pop("I", NOWHERE) * unit, values.pop("J", NOWHERE) * unit
        return (x0 + i, y0 + j) if style is ArcStyle.FROM_START else (i, j)

    def _did(self, did: Did, value: float = 0.0) -> None:
        self._events.append(Event(self._line, self._moves, did, value))

    def _fault(self, message: str) -> None:
        if len(self._faults) < MOST_FAULTS:
            self._faults.append(Fault(self._line, message))


def _centre_of_radius(
    x0: float, y0: float, x: float, y: float, radius: float, *, left: bool
) -> tuple[float, float]:
    """Return the centre of an arc of at most half a turn, given its radius."""
    dx, dy = x - x0, y - y0
    square = radius**2 - (dx**2 + dy**2) / 4.0
    chord = (dx**2 + dy**2) ** 0.5
    if not chord > 0.0 or not square >= 0.0:
        return NOWHERE, NOWHERE
    aside = (square**0.5 if left else -(square**0.5)) / chord
    return (x0 + x) / 2.0 - dy * aside, (y0 + y) / 2.0 + dx * aside
