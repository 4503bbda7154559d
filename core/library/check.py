"""What is wrong with the entries of a shelf: unreadable files, slips, names that lead nowhere."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from core.errors import Finding, LibraryError, Severity
from core.library.files import FOLDERS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.shelf import Shelf


def check(shelf: Shelf) -> tuple[Finding, ...]:
    """Return everything that is wrong with a shelf; nothing is changed.

    Codes: `library-entry-unusable` (with all its faults), `library-name-twice`,
    `library-name-unknown`.
    """
    return (*_unusable(shelf), *_names_twice(shelf), *_unknown(shelf))


def _unusable(shelf: Shelf) -> Iterator[Finding]:
    for kind in FOLDERS:
        for key in shelf.files(kind):
            try:
                shelf.record(kind, key)
            except LibraryError as error:
                yield Finding("library-entry-unusable", Severity.OUTSIDE, str(error))


def _names_twice(shelf: Shelf) -> Iterator[Finding]:
    for kind in FOLDERS:
        owners: dict[str, set[str]] = defaultdict(set)
        for spelling, key in shelf.spellings(kind):
            owners[spelling].add(key)
        for spelling, keys in owners.items():
            if len(keys) > 1:
                yield Finding(
                    "library-name-twice",
                    Severity.TIGHT,
                    f"{kind}: {spelling!r} means {' and '.join(sorted(keys))}; the first is taken. "
                    "Rename one of them.",
                )


def _unknown(shelf: Shelf) -> Iterator[Finding]:
    materials = shelf.files("material")
    named = [
        (f"cutter {key}", load.material)
        for key in _usable(shelf, "cutter")
        for load in shelf.cutter(key).chip_loads
    ]
    named += [
        (f"rates {key}", price.material)
        for key in _usable(shelf, "rates")
        for price in shelf.rates(key).sheet_prices
    ]
    for owner, material in dict.fromkeys(named):
        if material not in materials:
            yield Finding(
                "library-name-unknown",
                Severity.TIGHT,
                f"{owner} names the material {material!r}, which is not on the shelf.",
            )


def _usable(shelf: Shelf, kind: str) -> Iterator[str]:
    for key in shelf.files(kind):
        try:
            shelf.record(kind, key)
        except LibraryError:
            continue
        yield key
