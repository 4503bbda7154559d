"""The shelf as text: every entry with its values, their sources and how they came to be known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import LibraryError
from core.library.files import FOLDERS
from core.units import number

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.records import Sourced
    from core.library.shelf import Shelf


def shelf_text(shelf: Shelf) -> str:
    """Return everything on the shelf as text; an entry that cannot be used says why."""
    lines: list[str] = []
    for kind, folder in FOLDERS.items():
        lines += [folder.replace("_", " ").capitalize()]
        for key, name in shelf.names(kind):
            lines += [f"  {key}: {name}", *_entry(shelf, kind, key)]
        lines.append("")
    return "\n".join(lines)


def _entry(shelf: Shelf, kind: str, key: str) -> Iterator[str]:
    try:
        record = shelf.record(kind, key)
    except LibraryError as error:
        yield f"    cannot be used: {error}"
        return
    for field, value in getattr(record, "sources", {}).items():
        yield f"    {field.replace('_', ' ')}: {_value(value)}"


def _value(value: Sourced) -> str:
    band = ""
    if value.low is not None and value.high is not None:
        band = f" ({number(value.low)} to {number(value.high)})"
    place = f", {value.place}" if value.place else ""
    return f"{number(value.value, 4)} {value.unit}{band}; {value.source}{place}; {value.basis}"
