"""Builds the text of one program, line by line; knows where the cutter stands on the grid."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from core.handover.nc_grid import Grid
from core.library.nc_records import ArcStyle, Counting

if TYPE_CHECKING:
    from core.handover.nc_arcs import Block
    from core.library.nc_records import NcSettings

LONGEST_COMMENT = 72
_LETTERS = {"ø": "DIA ", "×": "X", "µ": "U", "°": " DEG", "\u2212": "-", "\u2009": " "}


class NcBuilder:
    """A program in the making.

    Parameters
    ----------
    nc : NcSettings
        How the control wants it.
    zero_mm : float
        Height above the bed at which the program's Z is 0. [mm]
    """

    def __init__(self, nc: NcSettings, zero_mm: float) -> None:
        self.grid = Grid(nc)
        self._nc, self._zero_mm = nc, zero_mm
        self._lines: list[str] = []
        self._number = 0
        self._here: tuple[int, int, int] | None = None
        self._feed = ""

    def text(self) -> str:
        """Return the program."""
        end = "\r\n" if self._nc.crlf else "\n"
        return "".join(line + end for line in self._lines)

    def raw(self, line: str) -> None:
        """Add a line as it is."""
        self._lines.append(line)

    def comment(self, words: str) -> None:
        """Add a comment in the letters that every control reads."""
        nc = self._nc
        told = plain(words)
        for sign in (nc.comment_begins, nc.comment_ends):
            told = told.replace(sign, " ") if sign else told
        for start in range(0, max(len(told), 1), LONGEST_COMMENT):
            part = told[start : start + LONGEST_COMMENT].strip()
            self._lines.append(f"{nc.comment_begins}{part}{nc.comment_ends}")

    def block(self, *words: str) -> None:
        """Add a block of words; empty words are left out, and a block of none is no block."""
        said = " ".join(word for word in words if word)
        if not said:
            return
        if self._nc.line_number_step:
            self._number += self._nc.line_number_step
            said = f"N{self._number} {said}"
        self._lines.append(said)

    def unknown_place(self) -> None:
        """Forget where the cutter stands: after a change of cutter only the control knows."""
        self._here = None

    def rapid_height(self, z_mm: float) -> None:
        """Run rapidly straight up or down to a height above the bed."""
        z = self.grid.steps(z_mm - self._zero_mm)
        self._feed = ""  # each trip says its feed anew
        if self._here is None:
            # not an increment: where it stands is not known
            self._absolutely(self._nc.words.rapid, f"Z{self.grid.written(z)}")
            self._here = (0, 0, z)
            self._known_plane = False
            return
        self._go(self._nc.words.rapid, (*self._here[:2], z))

    def rapid_to(self, x_mm: float, y_mm: float) -> None:
        """Run rapidly in the plane."""
        assert self._here is not None, "the height comes first"
        x, y = self.grid.place(x_mm, y_mm)
        if not self._known_plane:
            told = f"X{self.grid.written(x)}", f"Y{self.grid.written(y)}"
            self._absolutely(self._nc.words.rapid, *told)
            self._here, self._known_plane = (x, y, self._here[2]), True
            return
        self._go(self._nc.words.rapid, (x, y, self._here[2]))

    def down(self, z_mm: float, feed_mm_min: float) -> None:
        """Go straight down with a feed."""
        assert self._here is not None
        z = self.grid.steps(z_mm - self._zero_mm)
        self._go(self._nc.words.straight, (*self._here[:2], z), self._fed(feed_mm_min))

    def along(self, ways: list[Block], from_mm: float, to_mm: float, feed_mm_min: float) -> None:
        """Follow blocks with a feed, the height changing evenly over their way."""
        for way in ways:
            z_mm = to_mm if way.share >= 1.0 else from_mm + (to_mm - from_mm) * way.share
            self._follow(way, self.grid.steps(z_mm - self._zero_mm), feed_mm_min)

    def _follow(self, way: Block, z: int, feed_mm_min: float) -> None:
        assert self._here is not None
        words, end = self._nc.words, (*way.end, z)
        if way.centre is None:
            self._go(words.straight, end, self._fed(feed_mm_min))
            return
        word = words.counter_clockwise if way.sweep_rad > 0.0 else words.clockwise
        self._go(word, end, *self._centre(way), self._fed(feed_mm_min), plane=True)

    def _centre(self, way: Block) -> tuple[str, ...]:
        """Return the words that say where an arc's centre lies."""
        assert self._here is not None
        assert way.centre is not None
        x, y = way.centre
        dx, dy = x - self._here[0], y - self._here[1]
        if self._nc.arc_style is ArcStyle.RADIUS:
            ahead = way.end[0] - x, way.end[1] - y
            radius = ((dx**2 + dy**2) ** 0.5 + (ahead[0] ** 2 + ahead[1] ** 2) ** 0.5) / 2.0
            return (f"R{self.grid.written(round(radius))}",)
        if self._nc.arc_style is ArcStyle.ABSOLUTE:
            return f"I{self.grid.written(x)}", f"J{self.grid.written(y)}"
        return f"I{self.grid.written(dx)}", f"J{self.grid.written(dy)}"

    def _fed(self, feed_mm_min: float) -> str:
        """Return the feed's word, or nothing where it is in force already."""
        word = f"F{self.grid.feed(feed_mm_min)}"
        if word == self._feed:
            return ""
        self._feed = word
        return word

    def _absolutely(self, *words: str) -> None:
        if self._nc.counting is Counting.INCREMENTAL:
            self.block(self._nc.words.absolute, *words)
            self.block(self._nc.words.incremental)
        else:
            self.block(*words)

    def _go(self, word: str, end: tuple[int, int, int], *rest: str, plane: bool = False) -> None:
        """Write one move; axes that stand still are left out, but for both axes of an arc."""
        assert self._here is not None
        told = []
        for axis, (old, new) in zip("XYZ", zip(self._here, end, strict=True), strict=True):
            if new != old or (plane and axis != "Z"):
                value = new - old if self._nc.counting is Counting.INCREMENTAL else new
                told.append(f"{axis}{self.grid.written(value)}")
        if told:
            self.block(word, *told, *rest)
        self._here = end


def plain(words: str) -> str:
    """Return words in capital letters, digits and a few signs.

    Examples
    --------
    >>> plain("Hole ø 8 mm")
    'HOLE DIA 8 MM'
    """
    for letter, said in _LETTERS.items():
        words = words.replace(letter, said)
    words = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().upper()
    kept = "".join(c if c.isalnum() or c in " .,:;-+/=_" else " " for c in words)
    return " ".join(kept.split())
