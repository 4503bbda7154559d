"""The shelf: everything that can be chosen, by key, name or alias.

Three places stand one over the other: what the job carries, the user's folder, what is shipped;
an entry of the upper place hides the one with its key below. Files are read when they are asked
for, and each becomes a record once.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, TypeVar, cast

from core.errors import LibraryError, UnknownNameError
from core.job.job import LibraryFile
from core.library import build
from core.library.files import FOLDERS, EntryFile, in_folder, shipped
from core.library.layer_rules import layer_rules
from core.library.rate_build import rates
from core.library.sheet_text import parse_sheet

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from core.library import records
    from core.library.layer_rules import LayerRules
    from core.library.rate_records import Rates

R = TypeVar("R")


class Shelf:
    """What can be chosen.

    Parameters
    ----------
    files : tuple of LibraryFile
        Entries that the job carries.
    folder : Path or None
        The user's own folder, with the folders of `FOLDERS` in it.
    """

    def __init__(self, files: tuple[LibraryFile, ...] = (), folder: Path | None = None) -> None:
        self._carried = files
        self._folder = folder
        self._files: dict[str, dict[str, EntryFile]] = {}
        self._keys: dict[str, dict[str, str]] = {}
        self._records: dict[tuple[str, str], object] = {}

    def files(self, kind: str) -> dict[str, EntryFile]:
        """Return the files of a kind by key; the uppermost place wins."""
        if kind not in self._files:
            found = dict(shipped(kind))
            if self._folder is not None:
                found |= in_folder(kind, self._folder)
            for file in self._carried:
                if file.kind == kind:
                    label = f"{FOLDERS[kind]}/{file.key}.toml in the job"
                    found[file.key] = EntryFile(file.key, label, file.text)
            self._files[kind] = found
        return self._files[kind]

    def key(self, kind: str, name: str) -> str:
        """Return the key of what is called `name`: a key, a name or an alias in any case.

        Raises
        ------
        UnknownNameError
            With the nearest spellings and the list.
        """
        if name in self.files(kind):
            return name
        if kind not in self._keys:
            named = self.spellings(kind)
            # Of two entries with one spelling a key counts before a name, then the first of them.
            self._keys[kind] = dict(reversed(named)) | {_folded(k): k for k in self.files(kind)}
        spellings = self._keys[kind]
        try:
            return spellings[_folded(name)]
        except KeyError:
            raise UnknownNameError(
                kind.replace("_", " "), name, self.files(kind), also=spellings
            ) from None

    def spellings(self, kind: str) -> tuple[tuple[str, str], ...]:
        """Return every spelling that is understood, folded, with its key; keys come last."""
        files = self.files(kind)
        named = [(_folded(name), key) for key, file in files.items() for name in _names_in(file)]
        return (*named, *((_folded(key), key) for key in files))

    def names(self, kind: str) -> tuple[tuple[str, str], ...]:
        """Return key and name of everything of a kind, by name."""
        pairs = ((key, _names_in(file)[0]) for key, file in self.files(kind).items())
        return tuple(sorted(pairs, key=lambda pair: pair[1].casefold()))

    def file(self, kind: str, name: str) -> LibraryFile:
        """Return an entry as a file that a job can carry."""
        found = self.files(kind)[self.key(kind, name)]
        return LibraryFile(kind, found.key, found.text)

    def parse_sheet(self, text: str) -> tuple[str, float]:
        """Return material key and thickness in mm of "polycarbonate 6 mm"."""
        return parse_sheet(self, text)

    def _record(self, kind: str, name: str, made: Callable[[EntryFile], R]) -> R:
        key = self.key(kind, name)
        if (kind, key) not in self._records:
            self._records[kind, key] = made(self.files(kind)[key])
        return cast("R", self._records[kind, key])

    def record(self, kind: str, name: str) -> object:
        """Return an entry of any kind, to look at it or to list it."""
        return getattr(self, kind)(name)

    def material(self, name: str) -> records.Material:
        """Return a sheet material."""
        return self._record("material", name, build.material)

    def cutter(self, name: str) -> records.Cutter:
        """Return a cutter."""
        return self._record("cutter", name, build.cutter)

    def holder(self, name: str) -> records.Holder:
        """Return a holder."""
        return self._record("holder", name, build.holder)

    def mounted(self, name: str) -> records.MountedCutter:
        """Return a mounted cutter."""
        made = partial(build.mounted, cutter_of=self.cutter, holder_of=self.holder)
        return self._record("mounted", name, made)

    def machine(self, name: str) -> records.Machine:
        """Return a router."""
        return self._record("machine", name, build.machine)

    def sheet(self, name: str) -> records.SheetStock:
        """Return a sheet."""
        return self._record("sheet", name, build.sheet)

    def recipe(self, name: str) -> records.Recipe:
        """Return a recipe."""
        return self._record("recipe", name, build.recipe)

    def rates(self, name: str) -> Rates:
        """Return rates and prices."""
        return self._record("rates", name, rates)

    def layer_rules(self, name: str) -> LayerRules:
        """Return layer rules."""
        return self._record("layer_rules", name, layer_rules)


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def _names_in(file: EntryFile) -> list[str]:
    """Return name and aliases that a file gives; its key where it cannot be read."""
    try:
        table = file.table()
    except LibraryError:
        return [file.key]
    aliases = table.get("aliases", [])
    names = [table.get("name", file.key), *(aliases if isinstance(aliases, list) else [])]
    return [name for name in names if isinstance(name, str)] or [file.key]
