"""The cut log: a small SQLite file with the shop's test cuts.

One table; its version stands in the file. Write-ahead logging lets a second window read while one
writes. Whatever is wrong with the file becomes one clear error; nothing is repaired in silence.
"""

from __future__ import annotations

import contextlib
import enum
import sqlite3
from dataclasses import fields, replace
from typing import TYPE_CHECKING, Any

from core.errors import CutLogError
from core.job import Air
from core.library.records import Helix
from core.shop.records import Edge, LoggedCut
from core.shop.refusals import refusals

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

VERSION = 1
"""Of the table; a file of a newer version is refused, because what it says would be lost."""

BUSY_S = 5.0
"""How long another window that writes is waited for."""

_FIELDS = tuple(f.name for f in fields(LoggedCut) if f.name != "number")
_WORDS: dict[str, type[enum.StrEnum]] = {
    "helix": Helix,
    "air": Air,
    "edge_climb": Edge,
    "edge_conventional": Edge,
}
_TEXTS = {"made_on", "material", "cutter", "note", *_WORDS}
_NEEDED = {
    f.name for f in fields(LoggedCut) if not str(f.type).endswith("None") and f.name != "number"
}


class CutLog:
    """The log in one file; a file that is not there yet is made at the first cut.

    Parameters
    ----------
    path : Path
        The file.
    """

    def __init__(self, path: Path) -> None:
        self.path = path

    def add(self, cut: LoggedCut) -> LoggedCut:
        """Write a cut and return it with its number.

        Raises
        ------
        CutLogError
            If the cut cannot be meant, with all reasons; or if the file cannot be used.
        """
        reasons = refusals(cut)
        if reasons:
            raise CutLogError(f"the cut is not taken: {'; '.join(reasons)}")
        marks = ", ".join("?" for _ in _FIELDS)
        with self._open(write=True) as file:
            done = file.execute(
                f"INSERT INTO cuts ({', '.join(_FIELDS)}) VALUES ({marks})",
                [_plain(getattr(cut, name)) for name in _FIELDS],
            )
            return replace(cut, number=int(done.lastrowid or 0))

    def cuts(self, material: str | None = None) -> tuple[LoggedCut, ...]:
        """Return the cuts in the order in which they were written, of one material if asked.

        Raises
        ------
        CutLogError
            If the file cannot be used.
        """
        if not self.path.exists():
            return ()
        asked, values = ("WHERE material = ?", [material]) if material else ("", [])
        with self._open(write=False) as file:
            rows = file.execute(
                f"SELECT number, {', '.join(_FIELDS)} FROM cuts {asked} ORDER BY number", values
            ).fetchall()
        return tuple(self._cut(row) for row in rows)

    def remove(self, number: int) -> None:
        """Take a cut out of the log; the numbers of the others stay.

        Raises
        ------
        CutLogError
            If there is no such cut, or the file cannot be used.
        """
        there = self.path.exists()
        if there:
            with self._open(write=True) as file:
                there = file.execute("DELETE FROM cuts WHERE number = ?", [number]).rowcount > 0
        if not there:
            raise CutLogError(
                f"there is no cut {number} in {self.path.name}; 'log list' shows them"
            )

    def _cut(self, row: tuple[Any, ...]) -> LoggedCut:
        values: dict[str, Any] = dict(zip(("number", *_FIELDS), row, strict=True))
        try:
            for name, kind in _WORDS.items():
                values[name] = None if values[name] is None else kind(values[name])
        except ValueError as error:
            raise self._damaged(str(error)) from error
        return LoggedCut(**values)

    @contextlib.contextmanager
    def _open(self, *, write: bool) -> Iterator[sqlite3.Connection]:
        """Open the file, its table made where there is none; commit at the end."""
        try:
            if write:
                self.path.parent.mkdir(parents=True, exist_ok=True)
            with contextlib.closing(sqlite3.connect(self.path, timeout=BUSY_S)) as file, file:
                self._prepare(file, write=write)
                yield file
        except sqlite3.OperationalError as error:
            raise CutLogError(
                f"{self.path.name} cannot be used ({error}); is it in use?"
            ) from error
        except sqlite3.DatabaseError as error:
            raise self._damaged(str(error)) from error
        except OSError as error:
            raise CutLogError(f"{self.path.name} cannot be used ({error.strerror})") from error

    def _prepare(self, file: sqlite3.Connection, *, write: bool) -> None:
        version = int(file.execute("PRAGMA user_version").fetchone()[0])
        if version > VERSION:
            raise CutLogError(
                f"{self.path.name} was written by a newer version of this program; it is left alone"
            )
        if write:
            file.execute("PRAGMA journal_mode = WAL")
        if version == 0:
            if file.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                raise CutLogError(f"{self.path.name} is a database of something else; name another")
            file.execute(
                f"CREATE TABLE cuts (number INTEGER PRIMARY KEY AUTOINCREMENT, {_COLUMNS})"
            )
            file.execute(f"PRAGMA user_version = {VERSION}")

    def _damaged(self, why: str) -> CutLogError:
        return CutLogError(
            f"the cut log {self.path.name} is damaged ({why}); put it aside and take a copy, or "
            "begin a new one"
        )


def _column(name: str) -> str:
    kind = "TEXT" if name in _TEXTS else "INTEGER" if name == "tooth_count" else "REAL"
    return f"{name} {kind}{' NOT NULL' if name in _NEEDED else ''}"


_COLUMNS = ", ".join(map(_column, _FIELDS))


def _plain(value: object) -> object:
    return value.value if isinstance(value, enum.Enum) else value
