"""The words of a panel by numbers, as they are typed: `8@20,20`, `corners:8@20`, `100x30@450,570`.

    size        900x600
    radius      10 | 25@top-left | 25@top          chamfer likewise; the nearer word wins
    hole        DIAMETER@X,Y
    holes       corners:DIAMETER@INSET             INSET one length, or X,Y
                row:DIAMETER@X,Y:X,Y:COUNT         from the first to the last place
                grid:DIAMETER@X,Y:X,Y:COLUMNSxROWS between two opposite corners
                circle:DIAMETER@X,Y:DIAMETER:COUNT[:ANGLE]
    slot        LENGTHxWIDTH@X,Y[:ANGLE]           a slot higher than wide stands upright
    hand hole   [LENGTHxWIDTH@]X,Y[:ANGLE]
    cut-out     WIDTHxHEIGHT@X,Y[:RADIUS[:ANGLE]]
    notch       WIDTHxDEPTH@EDGE:PLACE[:RADIUS]    PLACE from the left or from the bottom

Lengths are quantities, mm unless a unit stands there; angles are degrees. Two numbers of a place
are parted by a comma, or by a semicolon where a comma is the decimal mark.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from core.drawing.panel import (
    HAND_HOLE_MM,
    SQUARE,
    BoltCircle,
    Corner,
    CornerCut,
    CutOut,
    Edge,
    Grid,
    Holes,
    InCorners,
    Notch,
    Pattern,
    Row,
    Single,
    Slot,
)
from core.errors import UnitError
from core.units import parse, parse_list, parse_size

if TYPE_CHECKING:
    from collections.abc import Iterable

    from core.drawing.panel import Point

LARGEST_COUNT = 100_000


def read_hole(text: str, label: str = "") -> Holes:
    """Return the hole of "8@20,20".

    Raises
    ------
    UnitError
        If the text cannot be meant; so do all readers here.

    Examples
    --------
    >>> read_hole("1/4 in @ 20,20").diameter_mm
    6.35
    """
    size, place = _parted(text, "@", "a hole is DIAMETER@X,Y")
    return Holes(parse(size, "mm"), Single(read_point(place)), label)


def read_holes(text: str, label: str = "") -> Holes:
    """Return the holes of a pattern: "corners:8@20", "row:...", "grid:...", "circle:..."."""
    kind, rest = _parted(text, ":", "holes begin with corners:, row:, grid: or circle:")
    read = _PATTERNS.get(kind.strip().lower())
    if read is None:
        raise UnitError(f"{kind.strip()!r} is no pattern; there are {', '.join(_PATTERNS)}")
    size, places = _parted(rest, "@", f"holes in {kind} are DIAMETER@...")
    return Holes(parse(size, "mm"), read(places.split(":")), label)


def _corners(parts: list[str]) -> Pattern:
    _expect(parts, 1, 1, "corners:DIAMETER@INSET")
    if "," in parts[0] or ";" in parts[0]:
        return InCorners(read_point(parts[0]))
    inset = parse(parts[0], "mm")
    return InCorners((inset, inset))


def _row(parts: list[str]) -> Pattern:
    _expect(parts, 3, 3, "row:DIAMETER@X,Y:X,Y:COUNT")
    return Row(read_point(parts[0]), read_point(parts[1]), read_count(parts[2]))


def _grid(parts: list[str]) -> Pattern:
    _expect(parts, 3, 3, "grid:DIAMETER@X,Y:X,Y:COLUMNSxROWS")
    counts = re.split("[x×*]", parts[2])
    if len(counts) != 2:
        raise UnitError(f"{parts[2].strip()!r} is not COLUMNSxROWS, like 4x3")
    columns, rows = (read_count(count) for count in counts)
    return Grid(read_point(parts[0]), read_point(parts[1]), columns, rows)


def _circle(parts: list[str]) -> Pattern:
    _expect(parts, 3, 4, "circle:DIAMETER@X,Y:DIAMETER:COUNT[:ANGLE]")
    angle = parse(parts[3], "deg") if len(parts) > 3 else 0.0
    diameter = parse(parts[1], "mm")
    if diameter <= 0.0:
        raise UnitError(f"a bolt circle of {diameter:g} mm is none; give more than 0")
    return BoltCircle(read_point(parts[0]), diameter, read_count(parts[2]), angle)


_PATTERNS = {"corners": _corners, "row": _row, "grid": _grid, "circle": _circle}


def read_slot(text: str, label: str = "") -> Slot:
    """Return the slot of "100x30@450,570:30"."""
    size, rest = _parted(text, "@", "a slot is LENGTHxWIDTH@X,Y[:ANGLE]")
    return _slot(parse_size(size, "mm"), rest, label, is_hand_hole=False)


def read_hand_hole(text: str, label: str = "") -> Slot:
    """Return the hand hole of "450,560", or of "110x35@450,560:90"."""
    size, mark, rest = text.rpartition("@")
    return _slot(parse_size(size, "mm") if mark else HAND_HOLE_MM, rest, label, is_hand_hole=True)


def _slot(size_mm: Point, rest: str, label: str, *, is_hand_hole: bool) -> Slot:
    parts = rest.split(":")
    _expect(parts, 1, 2, "X,Y[:ANGLE]")
    angle = parse(parts[1], "deg") if len(parts) > 1 else 0.0
    across, up = size_mm
    if up > across:
        across, up, angle = up, across, angle + 90.0
    return Slot(across, up, read_point(parts[0]), angle, is_hand_hole, label)


def read_cut_out(text: str, label: str = "") -> CutOut:
    """Return the cut-out of "200x120@450,300:10"."""
    size, rest = _parted(text, "@", "a cut-out is WIDTHxHEIGHT@X,Y[:RADIUS[:ANGLE]]")
    parts = rest.split(":")
    _expect(parts, 1, 3, "X,Y[:RADIUS[:ANGLE]]")
    radius = parse(parts[1], "mm") if len(parts) > 1 else 0.0
    angle = parse(parts[2], "deg") if len(parts) > 2 else 0.0
    return CutOut(parse_size(size, "mm"), read_point(parts[0]), radius, angle, label)


def read_notch(text: str, label: str = "") -> Notch:
    """Return the notch of "60x20@bottom:300:5"."""
    size, rest = _parted(text, "@", "a notch is WIDTHxDEPTH@EDGE:PLACE[:RADIUS]")
    parts = rest.split(":")
    _expect(parts, 2, 3, "EDGE:PLACE[:RADIUS]")
    width, depth = parse_size(size, "mm")
    radius = parse(parts[2], "mm") if len(parts) > 2 else 0.0
    edge = _edge(parts[0])
    return Notch(edge, parse(parts[1], "mm"), width, depth, radius, label)


def read_corners(
    radii: Iterable[tuple[str, str]], chamfers: Iterable[tuple[str, str]]
) -> tuple[CornerCut, CornerCut, CornerCut, CornerCut]:
    """Return the four corners; a word for one corner wins over one for an edge, that over all.

    Parameters
    ----------
    radii, chamfers : iterable of (text, label)
        "10", "25@top-left", "25@top".

    Raises
    ------
    UnitError
        If two words of one rank give a corner two forms.
    """
    said: dict[Corner, tuple[int, CornerCut]] = {}
    typed = [(text, label, True) for text, label in radii]
    typed += [(text, label, False) for text, label in chamfers]
    for text, label, is_round in typed:
        size, mark, where = text.partition("@")
        cut = CornerCut(parse(size, "mm"), is_round, label)
        corners = _corners_at(where) if mark else tuple(Corner)
        rank = 4 - len(corners)
        for corner in corners:
            before = said.get(corner)
            if before is not None and before[0] == rank:
                raise UnitError(f"{text!r} gives the corner {corner} a second form")
            if before is None or before[0] < rank:
                said[corner] = (rank, cut)
    bl, br, tr, tl = (
        said[corner][1] if corner in said else SQUARE[k] for k, corner in enumerate(Corner)
    )
    return bl, br, tr, tl


def _corners_at(where: str) -> tuple[Corner, ...]:
    """Return the corners of "top-left" or of "top"."""
    word = where.strip().lower()
    found = tuple(corner for corner in Corner if word in (corner, *corner.split("-")))
    if not found:
        raise UnitError(f"{where.strip()!r} is no corner; say {', '.join(Corner)}, or an edge")
    return found


def read_point(text: str) -> Point:
    """Return the two lengths of a place.

    Examples
    --------
    >>> read_point("20,20"), read_point("0,5; 20"), read_point("1 in, 2 in")
    ((20.0, 20.0), (0.5, 20.0), (25.4, 50.8))
    """
    parts = text.split(";")
    if len(parts) == 1:
        parts = text.split(",")
    if len(parts) != 2:
        raise UnitError(
            f"{text.strip()!r} is no place; write X,Y, or X;Y where a comma is the decimal mark"
        )
    x, y = parse_list(f"{parts[0]};{parts[1]}", "mm")
    return x, y


def read_count(text: str) -> int:
    """Return a whole number, 1 or more."""
    word = text.strip()
    if not re.fullmatch("[0-9]{1,6}", word) or not 1 <= int(word) <= LARGEST_COUNT:
        raise UnitError(f"{word!r} is no count; give a whole number, 1 or more")
    return int(word)


def _edge(text: str) -> Edge:
    word = text.strip().lower()
    if word not in list(Edge):
        raise UnitError(f"{text.strip()!r} is no edge; say {', '.join(Edge)}")
    return Edge(word)


def _parted(text: str, mark: str, form: str) -> tuple[str, str]:
    first, found, rest = text.partition(mark)
    if not found:
        raise UnitError(f"{text.strip()!r} lacks {mark!r}; {form}")
    return first, rest


def _expect(parts: list[str], least: int, most: int, form: str) -> None:
    if not least <= len(parts) <= most:
        raise UnitError(f"{':'.join(parts).strip()!r} is not of the form {form}")
