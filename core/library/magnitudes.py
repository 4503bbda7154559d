"""From values as their source prints them to floats in the unit that a record's field names.

The name of a file's entry is the field's name without its unit. Every fault of a file is gathered,
so that its author sees all at once.
"""

from __future__ import annotations

import dataclasses
import math
import re
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from core.errors import LibraryError, UnitError
from core.library.plausible import implausible
from core.library.records import Sourced
from core.units import SUFFIXES, convert

if TYPE_CHECKING:
    from collections.abc import Mapping

_MONEY = re.compile(r"\d{1,9}(\.\d{1,4})?", re.ASCII)

_BY_LENGTH = sorted(SUFFIXES, key=len, reverse=True)


def split_unit(field: str) -> tuple[str, str]:
    """Return a field's name without its unit, and the unit word; an empty one for plain numbers.

    Examples
    --------
    >>> split_unit("feed_speed_mm_min"), split_unit("vacuum_share")
    (('feed_speed', 'mm/min'), ('vacuum_share', ''))
    """
    for suffix in _BY_LENGTH:
        if field.endswith(f"_{suffix}"):
            return field.removesuffix(f"_{suffix}"), SUFFIXES[suffix]
    return field, ""


@lru_cache(maxsize=32)
def _fields(record: type) -> Mapping[str, tuple[str, str]]:
    """Return, by the name in a file, a record's float fields and the unit of each."""
    assert dataclasses.is_dataclass(record)
    names = [f.name for f in dataclasses.fields(record) if str(f.type).startswith("float")]
    return {split_unit(name)[0]: (name, split_unit(name)[1]) for name in names}


class Magnitudes:
    """Reads the values of one file and gathers what is wrong with them.

    Parameters
    ----------
    label : str
        What an error calls the file.
    """

    def __init__(self, label: str) -> None:
        self.label = label
        self.problems: list[str] = []

    def one(self, sourced: Sourced, field: str, unit: str, path: str) -> float:
        """Return one value in `unit`, held against the range that makes sense for `field`."""
        try:
            value = convert(sourced.value, sourced.unit, unit)
        except UnitError as error:
            self.problems.append(f"{error} @ {path}.unit")
            return 0.0
        wrong = implausible(field, value)
        if wrong:
            self.problems.append(f"{wrong}{f' ({unit})' if unit else ''} @ {path}.value")
        low = sourced.value if sourced.low is None else sourced.low
        high = sourced.value if sourced.high is None else sourced.high
        if not -math.inf < low <= sourced.value <= high < math.inf:
            self.problems.append(f"low, value, high must rise @ {path}")
        return value

    def of(self, entry: object, record: type, path: str = "$") -> dict[str, float]:
        """Return the record's float fields that the entry gives."""
        fields = _fields(record)
        return {
            fields[name][0]: self.one(sourced, *fields[name], f"{path}.{name}")
            for name, sourced in _sourced(entry).items()
            if name in fields
        }

    def money(self, text: str, path: str) -> str:
        """Return an amount of money as it stands in the file."""
        if not _MONEY.fullmatch(text):
            self.problems.append(f"{text!r} is no amount; write one like '12.50' @ {path}")
        return text

    def done(self) -> None:
        """Raise LibraryError if anything was wrong."""
        if self.problems:
            raise LibraryError(self.label, tuple(sorted(self.problems)))


def _sourced(entry: object) -> dict[str, Sourced]:
    assert dataclasses.is_dataclass(entry)
    values = {f.name: getattr(entry, f.name) for f in dataclasses.fields(entry)}
    return {name: value for name, value in values.items() if isinstance(value, Sourced)}


def sources_of(entry: object, record: type) -> Mapping[str, Sourced]:
    """Return what the file says of each value, by the record's field name."""
    fields = _fields(record)
    return MappingProxyType(
        {fields.get(name, (name, ""))[0]: value for name, value in _sourced(entry).items()}
    )
