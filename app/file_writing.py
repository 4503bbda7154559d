"""Pages and programs as files: asked for, made off the main thread, written whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QFileDialog, QWidget

from app.worker import Watch, Worker
from core.errors import WorkbenchError

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk import Desk
    from core.pipeline import Results

NOT_READY = "There is no plan to print yet."


class Made(NamedTuple):
    """What came of making: files, the line that is said, and a page to read (title, Markdown)."""

    files: tuple[tuple[Path, bytes], ...]
    said: str = ""
    page: tuple[str, str] | None = None


class FileWriter(QObject):
    """Makes files one after the other; `said` carries one line, `page_made` a page to read."""

    said = Signal(str)
    page_made = Signal(str, str)
    crashed = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._over = desk, parent
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_made)
        self.worker.failed.connect(self._on_failed)

    def plan(self) -> Results | None:
        """Return the plan that is to be printed; say so where there is none yet."""
        results = self._desk.results
        if results is None or self._desk.document.is_stale:
            self.said.emit(NOT_READY)
            return None
        return results

    def ask(self, title: str, ending: str, kinds: str) -> Path | None:
        """Ask where a file shall be; `ending` follows the name of the job."""
        settings = self._desk.settings
        proposed = Path(settings["folder"]) / f"{self._desk.document.name}{ending}"
        name, _ = QFileDialog.getSaveFileName(self._over, title, str(proposed), kinds)
        if not name:
            return None
        path = Path(name)
        settings["folder"] = str(path.parent)
        return path if path.suffix else path.with_suffix(Path(ending).suffix)

    def make(self, task: Callable[[Watch], Made]) -> None:
        """Do the task in the background and write its files."""
        self.worker.start(lambda watch: _written(task, watch))

    @Slot(object)
    def _on_made(self, answer: object) -> None:
        assert isinstance(answer, Made)
        names = ", ".join(path.name for path, _ in answer.files)
        self.said.emit(answer.said or f"Written: {names}")
        if answer.page is not None:
            self.page_made.emit(*answer.page)

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        if isinstance(error, WorkbenchError):
            self.said.emit(str(error))
        else:
            self.crashed.emit(error)

    def close(self) -> None:
        """Stop the worker."""
        self.worker.close()


def _written(task: Callable[[Watch], Made], watch: Watch) -> Made:
    from core.job.file import write_whole

    made = task(watch)
    watch.progress(0.95)  # told to stop until here, nothing is written
    for path, content in made.files:
        write_whole(path, content)
    return made
