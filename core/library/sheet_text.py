"""A sheet as people say it, "polycarbonate 6 mm" or "6 mm PC": which material, how thick."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from core.errors import LibraryError, UnitError, UnknownNameError
from core.units import parse

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.shelf import Shelf

THINNEST_MM, THICKEST_MM = 0.5, 60.0

_BREAK = re.compile(r"[\s,;:]+")
_EXAMPLE = "write it like 'polycarbonate 6 mm'"


def thickness_mm(text: str) -> float:
    """Return a sheet's thickness; LibraryError where no sheet is that thick. [mm].

    Examples
    --------
    >>> thickness_mm("1/4 in")
    6.35
    """
    try:
        value = parse(text, "mm")
    except UnitError as error:
        raise LibraryError("sheet", (f"thickness: {error}",)) from error
    if value <= 0.0:
        raise LibraryError("sheet", (f"a sheet of {value:g} mm is none; {_EXAMPLE}",))
    if not THINNEST_MM <= value <= THICKEST_MM:
        raise LibraryError(
            "sheet",
            (
                f"{value:g} mm is no thickness of a sheet here; "
                f"it must be {THINNEST_MM:g} to {THICKEST_MM:g} mm",
            ),
        )
    return value


def parse_sheet(shelf: Shelf, text: str) -> tuple[str, float]:
    """Return the key of the material and the thickness in mm of a sheet as people say it.

    Parameters
    ----------
    shelf : Shelf
        Where the material stands.
    text : str
        "polycarbonate 6 mm", "cast acrylic, 10 mm", "PC 1/4 in", "6 mm PETG".

    Raises
    ------
    UnknownNameError
        If no such material stands there, with the nearest spellings and the list.
    LibraryError
        If the thickness is missing or is none of a sheet.
    """
    text = text.strip()
    if re.search(r"\w", text) and not re.search(r"\d", text):
        key = shelf.key("material", text)
        raise LibraryError("sheet", (f"{key} of which thickness? {_EXAMPLE}",))
    splits = list(_splits(text))
    for name, thickness in splits:
        known = _known(shelf, name)
        if known is not None:
            return known, thickness_mm(thickness)
    if not splits or _is_length(text):
        raise LibraryError("sheet", (f"cannot read {text!r} as a sheet; {_EXAMPLE}",))
    raise UnknownNameError("material", splits[0][0], shelf.files("material"), _spelt(shelf))


def _splits(text: str) -> Iterator[tuple[str, str]]:
    """Yield material and thickness as the text may mean them, likelier ones first."""
    breaks = [(found.start(), found.end()) for found in _BREAK.finditer(text[:200])]
    for end, start in breaks:
        if text[start : start + 1].isdigit() or text[start : start + 1] == ".":
            yield text[:end], text[start:]
    if text[:1].isdigit():
        for end, start in reversed(breaks):
            yield text[start:], text[:end]


def _known(shelf: Shelf, name: str) -> str | None:
    try:
        return shelf.key("material", name)
    except UnknownNameError:
        return None


def _spelt(shelf: Shelf) -> list[str]:
    return [spelling for spelling, _ in shelf.spellings("material")]


def _is_length(text: str) -> bool:
    try:
        parse(text, "mm")
    except UnitError:
        return False
    return True
