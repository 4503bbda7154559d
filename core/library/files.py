"""Library files: where they lie, and their text as an entry, or all their faults with the paths.

A file is TOML, one entry a file; its key is the file's name. The kinds and their folders stand in
`FOLDERS`; the user's own folder has the same form as the shipped one, and wins over it.
"""

from __future__ import annotations

import enum
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Any, TypeVar, get_args, get_origin

from cattrs import BaseValidationError, Converter, ForbiddenExtraKeysError, transform_error

from core.errors import LibraryError
from core.job.job import LibraryFile

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable
    from pathlib import Path

T = TypeVar("T")

FOLDERS = {
    "material": "materials",
    "cutter": "cutters",
    "holder": "holders",
    "mounted": "mounted",
    "machine": "machines",
    "sheet": "sheets",
    "recipe": "recipes",
    "rates": "rates",
    "layer_rules": "layer_rules",
}
"""Kinds of entries, and the folder of each."""

_LARGEST_FILE = 1_000_000


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of the list of sources: what it is, and how it was read."""

    title: str
    read: str = ""

    def __str__(self) -> str:
        """Return it as it is cited."""
        return f"{self.title} ({self.read})" if self.read else self.title


def _number(value: object, _: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("a number without quotes is needed")
    return float(value)


def _count(value: object, _: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise TypeError("a whole number without quotes is needed")
    return value


def _text(value: object, _: object) -> str:
    if not isinstance(value, str):
        raise TypeError("a text in quotes is needed")
    return value


def _switch(value: object, _: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError("true or false is needed")
    return value


def _choice(value: object, kind: type[enum.StrEnum]) -> enum.StrEnum:
    if not isinstance(value, str) or value not in list(kind):
        raise TypeError(f"one of {' | '.join(kind)} is needed")
    return kind(value)


def _converter() -> Converter:
    converter = Converter(forbid_extra_keys=True)
    converter.register_structure_hook(float, _number)
    converter.register_structure_hook(int, _count)
    converter.register_structure_hook(str, _text)
    converter.register_structure_hook(bool, _switch)
    converter.register_structure_hook(enum.StrEnum, _choice)

    def rows(value: object, kind: Any) -> tuple[Any, ...]:
        if not isinstance(value, list):
            raise TypeError("a list in [ ] is needed")
        wanted: Any = list[get_args(kind)[0]]  # type: ignore[misc]
        return tuple(converter.structure(value, wanted))

    converter.register_structure_hook_func(_is_tuple, rows)
    return converter


def _is_tuple(kind: Any) -> bool:
    return get_origin(kind) is tuple


_CONVERTER = _converter()


def _told(error: BaseException, _: type | None) -> str:
    """Say one fault in words; ours as they are, cattrs' in words of a file."""
    if isinstance(error, KeyError):
        return "is missing"
    if isinstance(error, ForbiddenExtraKeysError):
        return f"unknown entries: {', '.join(sorted(error.extra_fields))}"
    if isinstance(error, TypeError) and error.args[0].endswith("is needed"):
        return str(error.args[0])
    return "a table is needed"


@dataclass(frozen=True, slots=True)
class EntryFile:
    """One entry's text and where it lies; `label` is what an error calls it."""

    key: str
    label: str
    text: str
    unread: tuple[str, ...] = ()

    def table(self) -> dict[str, Any]:
        """Return the TOML as it stands; LibraryError where it is none."""
        if self.unread:
            raise LibraryError(self.label, self.unread)
        try:
            return tomllib.loads(self.text)
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            raise LibraryError(self.label, (f"{error} @ $",)) from error

    def entry(self, kind: type[T]) -> T:
        """Return the entry; LibraryError with all faults and their paths."""
        table = self.table()
        given: dict[str, Any] = {key: table[key] for key in ("source", "basis") if key in table}
        for name, value in table.items():
            table[name] = _with_source(value, given)
        return structured(table, kind, self.label)


def structured(table: dict[str, Any], kind: type[T], label: str) -> T:
    """Return a table as a dataclass; LibraryError with all faults and their paths."""
    try:
        return _CONVERTER.structure(table, kind)
    except BaseValidationError as error:
        faults = transform_error(error, format_exception=_told)
        raise LibraryError(label, tuple(sorted(faults))) from error


def _with_source(value: Any, given: dict[str, Any]) -> Any:
    """Return a part of a file with citations in full, and the file's where a value has none."""
    if isinstance(value, list):
        return [_with_source(item, given) for item in value]
    if not isinstance(value, dict):
        return value
    inherits = given if "unit" in value else {}
    full = {**inherits, **{name: _with_source(item, given) for name, item in value.items()}}
    if isinstance(full.get("source"), str):
        full["source"] = cited(full["source"])
    return full


@lru_cache(maxsize=1)
def sources() -> dict[str, Source]:
    """Return the list of sources that stands in resources/sources.toml."""
    text = (resources.files("resources") / "sources.toml").read_text("utf-8")
    return _CONVERTER.structure(tomllib.loads(text), dict[str, Source])


def cited(source: str) -> str:
    """Return a source as it is cited: the list's text for a key of it, else what stands there."""
    known = sources().get(source)
    return source if known is None else str(known)


def _read(path: Traversable | Path, label: str) -> str:
    try:
        content = path.read_bytes()
    except OSError as error:
        raise LibraryError(label, (error.strerror or "cannot be read",)) from error
    if len(content) > _LARGEST_FILE:
        raise LibraryError(label, ("is too large for a library file",))
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise LibraryError(label, ("is no text (UTF-8)",)) from error


def _entry_file(key: str, path: Traversable | Path, label: str) -> EntryFile:
    """Return an entry; one that cannot be read says so when it is asked for."""
    try:
        return EntryFile(key, label, _read(path, label))
    except LibraryError as error:
        return EntryFile(key, label, "", error.problems)


def _in_folder(folder: Traversable | Path, name: str) -> dict[str, EntryFile]:
    if not folder.is_dir():
        return {}
    found = {}
    for path in sorted(folder.iterdir(), key=lambda item: item.name):
        if path.name.endswith(".toml"):
            key, label = path.name.removesuffix(".toml"), f"{name}/{path.name}"
            found[key] = _entry_file(key, path, label)
    return found


@lru_cache(maxsize=len(FOLDERS))
def shipped(kind: str) -> dict[str, EntryFile]:
    """Return the shipped entries of a kind by key."""
    return _in_folder(resources.files("resources") / FOLDERS[kind], FOLDERS[kind])


def in_folder(kind: str, folder: Path) -> dict[str, EntryFile]:
    """Return the entries of a kind in the user's folder by key."""
    return _in_folder(folder / FOLDERS[kind], f"{folder.name}/{FOLDERS[kind]}")


def read_library_file(kind: str, path: Path) -> LibraryFile:
    """Read one TOML file as an entry that a job carries; its key is the file's name.

    Raises
    ------
    LibraryError
        If it is no file, no text or no TOML. What it says is looked at by the shelf it comes on.
    """
    text = _read(path, path.name)
    EntryFile(path.stem, path.name, text).table()
    return LibraryFile(kind, path.stem, text)
