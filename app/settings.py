"""What the program remembers between two starts, as a table of data.

Kept in one ini file in the user's configuration folder. A value that cannot be read falls back to
its default: a damaged settings file never stops the program.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QByteArray, QSettings

from app.theme import ThemeChoice
from core.units import UnitSystem

_RECENT_COUNT = 8


@dataclass(frozen=True, slots=True)
class Setting:
    """One remembered value: its key, its default, the words it may take (none: any text)."""

    key: str
    default: str
    words: tuple[str, ...] = ()


SETTINGS = (
    Setting("theme", ThemeChoice.SYSTEM.value, tuple(ThemeChoice)),
    Setting("units", UnitSystem.METRIC.value, tuple(UnitSystem)),
    Setting("paint", "chip load", ("chip load", "speed", "temperature", "state")),
    Setting("question", "1", ("1", "2", "3")),
    Setting("folder", ""),
)
_BY_KEY = {setting.key: setting for setting in SETTINGS}


class Settings:
    """Reads and writes the table."""

    def __init__(self) -> None:
        self._store = QSettings(
            QSettings.Format.IniFormat, QSettings.Scope.UserScope, "panewright", "panewright"
        )

    def __getitem__(self, key: str) -> str:
        setting = _BY_KEY[key]
        value = self._store.value(f"settings/{key}", setting.default)
        if not isinstance(value, str) or (setting.words and value not in setting.words):
            return setting.default
        return value

    def __setitem__(self, key: str, value: str) -> None:
        setting = _BY_KEY[key]
        if setting.words and value not in setting.words:
            raise ValueError(f"{key} is one of {', '.join(setting.words)}, not {value!r}")
        self._store.setValue(f"settings/{key}", value)

    def recent(self) -> list[Path]:
        """Return the files opened last, newest first, as far as they still exist."""
        value = self._store.value("recent/files", [])
        names = [value] if isinstance(value, str) else value
        if not isinstance(names, list):
            return []
        return [Path(str(name)) for name in names if Path(str(name)).is_file()]

    def add_recent(self, path: Path) -> None:
        """Put a file at the head of the recent ones."""
        others = [one for one in self.recent() if one != path.resolve()]
        names = [str(one) for one in (path.resolve(), *others)]
        self._store.setValue("recent/files", names[:_RECENT_COUNT])

    def state(self, name: str) -> QByteArray:
        """Return the remembered state of a window or a splitter; empty if there is none."""
        value = self._store.value(f"state/{name}")
        return value if isinstance(value, QByteArray) else QByteArray()

    def set_state(self, name: str, value: QByteArray) -> None:
        """Remember the state of a window or a splitter."""
        self._store.setValue(f"state/{name}", value)
