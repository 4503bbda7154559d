"""How a machine's control wants its program: what controls differ in, named by what it does.

The words and defaults are those of ISO 6983-1 (word address, from memory). What the standard
leaves open is a choice here, and the machine file says so beside it.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, field


class DepthZero(enum.StrEnum):
    """Where a program's depths are counted from."""

    BED = "bed"
    SHEET_TOP = "sheet_top"


class ArcStyle(enum.StrEnum):
    """How a program says where an arc's centre lies."""

    FROM_START = "from_start"
    ABSOLUTE = "absolute"
    RADIUS = "radius"


class LongestArc(enum.StrEnum):
    """The longest arc that is written in one block."""

    QUARTER = "quarter"
    HALF = "half"
    WHOLE = "whole"


class Counting(enum.StrEnum):
    """Whether a program gives places or steps."""

    ABSOLUTE = "absolute"
    INCREMENTAL = "incremental"


class CutterChange(enum.StrEnum):
    """How the cutter is changed: by hand at a programmed stop, or by the machine."""

    STOP = "stop"
    AUTOMATIC = "automatic"


@dataclass(frozen=True, slots=True)
class NcWords:
    """The words of a control, named by what they do; empty: the control has none, or needs none.

    The defaults are those of ISO 6983-1 (from memory). `{tool}` stands for the tool number.
    `dwell_letter` carries the time of a dwell. The standard leaves open what carries it, and what
    switches air and vacuum: those defaults are choices.
    """

    metric: str = "G71"
    inch: str = "G70"
    plane_xy: str = "G17"
    absolute: str = "G90"
    incremental: str = "G91"
    feed_per_minute: str = "G94"
    no_radius_offset: str = "G40"
    no_cycle: str = "G80"
    work_zero: str = "G54"
    rapid: str = "G0"
    straight: str = "G1"
    clockwise: str = "G2"
    counter_clockwise: str = "G3"
    dwell: str = "G4"
    dwell_letter: str = "P"
    spindle_on: str = "M3"
    spindle_off: str = "M5"
    cutter_change: str = "M6"
    length_offset: str = ""
    stop: str = "M0"
    end: str = "M2"
    air_on: str = "M8"
    air_off: str = "M9"
    vacuum_on: str = ""
    vacuum_off: str = ""


@dataclass(frozen=True, slots=True)
class NcSettings:
    """What controls differ in, as neutral settings named by what they do.

    Parameters
    ----------
    length_unit : str
        Unit of lengths and feeds in the text: "mm" or "in".
    decimals, feed_decimals : int
        Digits behind the point of lengths and of feeds.
    line_number_step : int
        Step of the line numbers; 0: none.
    crlf : bool
        Whether lines end in carriage return and line feed.
    comment_begins, comment_ends : str
        What stands round a comment.
    head_lines, tail_lines : tuple of str
        Lines before and after everything else, as they are.
    depth_zero : DepthZero
        Where Z is 0.
    counting : Counting
        Places or steps.
    arc_style : ArcStyle
        How an arc's centre is given.
    longest_arc : LongestArc
        Longer arcs, full circles too, are cut into several.
    helical_arcs : bool
        Whether an arc may go down on its way; else it is written as short lines.
    chord_error_mm : float
        How far such short lines may stay off the arc.
    largest_radius_mm : float
        Arcs of a larger radius are written as short lines.
    approach_mm : float
        Height above the sheet where rapid ends and feed begins.
    park_mm : (float, float)
        Where the cutter waits before the start and after the end, on the sheet's own axes.
    cutter_change : CutterChange
        By hand at a stop, or by the machine.
    one_file_per_cutter : bool
        Whether each cutter has a program of its own.
    stop_at_start : bool
        A programmed stop before the spindle turns.
    waits_for_spindle : bool
        Whether the control itself waits for the spindle; else a dwell as long as the ramp is
        written.
    dwell_in_ms : bool
        Whether a dwell counts milliseconds instead of seconds.
    words : NcWords
        The words.
    """

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
    chord_error_mm: float = 0.002
    largest_radius_mm: float = 10_000.0
    approach_mm: float = 1.0
    park_mm: tuple[float, float] = (0.0, 0.0)
    cutter_change: CutterChange = CutterChange.STOP
    one_file_per_cutter: bool = False
    stop_at_start: bool = True
    waits_for_spindle: bool = False
    dwell_in_ms: bool = False
    words: NcWords = field(default_factory=NcWords)
