"""Opening, saving, closing and keeping jobs. Nothing asks "are you sure": what is left is kept."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot
from PySide6.QtWidgets import QFileDialog

from app.opening import FILTER, JOB_SUFFIX, Opened, open_path, sample_path
from app.recovery import Kept, Recovery
from app.worker import Worker
from core.errors import WorkbenchError
from core.job.job import Job

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from app.desk import Desk

_KEEP_MS = 15_000
"""Unsaved work is kept at least this often. [ms]."""


class FileCommands(QObject):
    """What the file menu does.

    `said` carries a line for the notice bar and the name of an action that answers it, or "";
    `refused` the short line for the status bar that nothing was opened.
    """

    said = Signal(str, str)
    refused = Signal(str)
    opened = Signal()
    crashed = Signal(object)
    opening_changed = Signal(str)

    def __init__(self, desk: Desk, recovery: Recovery, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._recovery, self._parent = desk, recovery, parent
        self.kept: list[Kept] = []
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_opened)
        self.worker.failed.connect(self._on_failed)
        self._kept_job: Job | None = None
        self._asked_for = ""
        self._timer = QTimer(self, interval=_KEEP_MS)
        self._timer.timeout.connect(self.keep)
        self._timer.start()
        desk.document.undo_stack.indexChanged.connect(self._on_edit)

    # opening

    def ask_open(self) -> None:
        """Ask for a file and open it."""
        folder = self._desk.settings["folder"]
        name, _ = QFileDialog.getOpenFileName(self._parent, "Open", folder, FILTER)
        if name:
            self.open(Path(name))

    def open_sample(self) -> None:
        """Open the sample guard panel."""
        path = sample_path()
        if path is None:
            self.said.emit("The sample jobs are not installed.", "")
        else:
            self.open(path)

    def open(self, path: Path) -> None:
        """Open a drawing or a job; the present job stays until the new one is there."""
        base, planner = self._desk.document.job, self._desk.document.planner
        self._desk.settings["folder"] = str(path.parent)
        self._asked_for = path.name
        self.opening_changed.emit(f"Opening {path.name}")
        self.worker.start(lambda watch: open_path(path, base, planner, watch))

    @Slot(object)
    def _on_opened(self, answer: object) -> None:
        assert isinstance(answer, Opened)
        self.opening_changed.emit("")
        self._leave_present()
        self._desk.selection.clear()
        self._desk.document.replace(answer.job, answer.path, answer.results, answer.problem)
        self._desk.settings.add_recent(answer.source)
        if answer.problem is not None:
            self.said.emit(str(answer.problem), "")
        self.opened.emit()

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        self.opening_changed.emit("")
        stays = "" if self._desk.document.is_empty else "; the job before it stays"
        self.refused.emit(f"{self._asked_for} was not opened{stays}")
        if isinstance(error, WorkbenchError):
            self.said.emit(str(error), "")
        else:
            self.crashed.emit(error)

    # saving

    def save(self) -> bool:
        """Save to the job's file; ask for one the first time."""
        path = self._desk.document.path
        return self.save_as() if path is None else self._save_to(path)

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        job = self._desk.document.job
        stem = job.name or Path(job.drawings[0].name).stem
        folder = Path(self._desk.settings["folder"])
        name, _ = QFileDialog.getSaveFileName(
            self._parent, "Save the job", str(folder / f"{stem}{JOB_SUFFIX}"), "Jobs (*.pane)"
        )
        if not name:
            return False
        path = Path(name)
        return self._save_to(path if path.suffix else path.with_suffix(JOB_SUFFIX))

    def _save_to(self, path: Path) -> bool:
        from core.job.file import save_job

        document = self._desk.document
        try:
            save_job(path, document.job)
        except WorkbenchError as error:
            self.said.emit(str(error), "save_as")
            return False
        document.path = path
        document.undo_stack.setClean()
        self._recovery.forget()
        self._kept_job = document.job
        self._desk.settings.add_recent(path)
        self.opened.emit()
        return True

    # keeping

    @property
    def is_unsaved(self) -> bool:
        """Whether there is work that no file holds."""
        document = self._desk.document
        return not document.is_empty and not document.undo_stack.isClean()

    def _on_edit(self) -> None:
        if not self.is_unsaved:
            self._recovery.forget()
            self._kept_job = None

    def keep(self) -> None:
        """Keep unsaved work in the recovery folder; never raises."""
        job = self._desk.document.job
        if not self.is_unsaved or job is self._kept_job:
            return
        try:
            self._recovery.keep(job, self._desk.document.path)
            self._kept_job = job
        except (WorkbenchError, OSError) as error:
            self.said.emit(f"The recovery copy cannot be written: {error}", "save_as")

    def _leave_present(self) -> None:
        """Keep what is unsaved before another job takes its place, and offer it."""
        if self.is_unsaved:
            self.keep()
            self._recovery.release()
            self.look_for_kept()
        self._recovery.forget()
        self._kept_job = None

    def look_for_kept(self) -> None:
        """Offer what was not saved, here or by a process that ended."""
        self.kept, aside = self._recovery.left_behind()
        for file in aside:
            self.said.emit(f"A recovery copy cannot be read; it was moved to {file.parent}.", "")
        if self.kept:
            more = f" and {len(self.kept) - 1} more" if len(self.kept) > 1 else ""
            self.said.emit(f"Unsaved changes of {self.kept[0].name}{more} are kept.", "recover")

    def recover(self) -> None:
        """Open what was kept last; it is unsaved until it is saved."""
        if not self.kept:
            return
        kept = self.kept.pop(0)
        self._leave_present()
        self._desk.selection.clear()
        document = self._desk.document
        document.replace(kept.job, kept.path)
        document.undo_stack.resetClean()
        self.keep()
        self._recovery.discard(kept)
        self.opened.emit()

    def close_job(self) -> None:
        """Put the job away; the empty page follows."""
        self._leave_present()
        self._desk.selection.clear()
        self._desk.document.replace(Job(), None)
        self.opened.emit()

    def finish(self) -> None:
        """Keep what is unsaved for the next start: the window closes."""
        self._timer.stop()
        self.worker.close()
        self.keep()
        if not self.is_unsaved:
            self._recovery.forget()
        self._recovery.release()
