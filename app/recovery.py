"""Never lose work: unsaved jobs are kept in a folder and offered at the next start.

Each running program keeps one job file and one note (where it came from) under its own name, and a
lock that ends with the process. What a dead process left is offered; a file that cannot be read is
moved aside, and told, so that it cannot stop the next start. What reads and writes jobs is loaded
when it is first needed, after the window's first paint.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLockFile, QStandardPaths

from core.errors import WorkbenchError

if TYPE_CHECKING:
    from core.job.job import Job

_SET_ASIDE = "set aside"


def recovery_folder() -> Path:
    """Return the user's recovery folder."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation)
    return Path(place) / "recovery"


@dataclass(frozen=True, slots=True)
class Kept:
    """A job that was not saved: where it is kept, and the file that it belongs to."""

    file: Path
    job: Job
    path: Path | None
    name: str


class Recovery:
    """Keeps the job of this process and finds those of others that ended.

    Parameters
    ----------
    folder : Path
        Where jobs are kept.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock: QLockFile | None = None
        self._file: Path | None = None

    def keep(self, job: Job, path: Path | None) -> None:
        """Keep a job; raises JobFileError if the folder cannot be written."""
        import json

        from core.job.file import job_bytes, write_whole

        if self._file is None:
            self._begin()
        assert self._file is not None
        write_whole(self._file, job_bytes(job))
        note = {"path": str(path) if path is not None else None}
        write_whole(self._file.with_suffix(".json"), json.dumps(note).encode())

    def forget(self) -> None:
        """Drop what is kept: the job was saved."""
        if self._file is not None:
            self._file.unlink(missing_ok=True)
            self._file.with_suffix(".json").unlink(missing_ok=True)

    def release(self) -> None:
        """Leave what is kept for the next start and begin under a new name."""
        if self._lock is not None:
            self._lock.unlock()
        self._lock = self._file = None

    def _begin(self) -> None:
        import uuid

        self.folder.mkdir(parents=True, exist_ok=True)
        self._file = self.folder / f"{uuid.uuid4().hex}.pane"
        self._lock = QLockFile(str(self._file.with_suffix(".lock")))
        self._lock.setStaleLockTime(0)
        self._lock.tryLock(0)

    def left_behind(self) -> tuple[list[Kept], list[Path]]:
        """Return the jobs that ended processes left, newest first, and what was moved aside."""
        from core.job.file import read_job

        found: list[Kept] = []
        aside: list[Path] = []
        files = sorted(self.folder.glob("*.pane"), key=_changed, reverse=True)
        for file in files:
            if file == self._file or not _is_free(file):
                continue
            try:
                job = read_job(file)
            except WorkbenchError:
                aside.append(self._set_aside(file))
                continue
            path = _path_in(file.with_suffix(".json"))
            name = path.name if path is not None else job.name or "an unnamed job"
            found.append(Kept(file, job, path, name))
        return found, aside

    def discard(self, kept: Kept) -> None:
        """Drop a job that another process left."""
        kept.file.unlink(missing_ok=True)
        kept.file.with_suffix(".json").unlink(missing_ok=True)

    def _set_aside(self, file: Path) -> Path:
        place = self.folder / _SET_ASIDE
        place.mkdir(exist_ok=True)
        return file.replace(place / file.name)


def _changed(file: Path) -> float:
    return file.stat().st_mtime


def _is_free(file: Path) -> bool:
    """Return whether no running process keeps this file."""
    lock = QLockFile(str(file.with_suffix(".lock")))
    lock.setStaleLockTime(0)
    if not lock.tryLock(0):
        return False
    lock.unlock()
    return True


def _path_in(note: Path) -> Path | None:
    import json

    try:
        path = json.loads(note.read_text(encoding="utf-8"))["path"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return Path(path) if isinstance(path, str) else None
