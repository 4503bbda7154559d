"""Work off the main thread: one task at a time, cancellable, stale answers dropped.

Every task gets a generation number. Starting or cancelling counts it up, so that an answer of an
older generation that still arrives is thrown away. A task is told to stop through its `Watch`.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QThreadPool, Signal, Slot

from core.errors import Cancelled

if TYPE_CHECKING:
    from collections.abc import Callable

_PATIENCE_MS = 5000
"""How long a closing window waits for a task that was told to stop. [ms]."""


@dataclass(frozen=True)
class Watch:
    """What a task uses to say how far it is and to hear that it shall stop."""

    report: Callable[[float], None]
    stopped: threading.Event = field(default_factory=threading.Event)

    def progress(self, share: float) -> None:
        """Say which share is done, from 0 to 1; raises `Cancelled` when told to stop."""
        if self.stopped.is_set():
            raise Cancelled("stopped")
        self.report(share)

    def cancelled(self) -> bool:
        """Return whether the task shall stop."""
        return self.stopped.is_set()


class _Run:
    """One task. Its signals live on the worker, in the main thread."""

    def __init__(self, worker: Worker, generation: int, task: Callable[[Watch], object]) -> None:
        self._worker = worker
        self._generation = generation
        self._task = task
        self.watch = Watch(self._progress)

    def _progress(self, share: float) -> None:
        self._worker.progress_arrived.emit(self._generation, share)

    def __call__(self) -> None:
        """Do the task and hand its answer, or its exception, to the main thread."""
        if self.watch.cancelled():
            return
        try:
            answer: object = self._task(self.watch)
        except Cancelled:
            return
        except BaseException as error:
            answer = error
        self._worker.answer_arrived.emit(self._generation, answer)


class Worker(QObject):
    """Runs tasks in a pool of one thread."""

    progressed = Signal(float)
    answered = Signal(object)
    failed = Signal(object)
    busy_changed = Signal(bool)

    progress_arrived = Signal(int, float)
    answer_arrived = Signal(int, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._generation = 0
        self._running: _Run | None = None
        self.progress_arrived.connect(self._on_progress)
        self.answer_arrived.connect(self._on_answer)

    @property
    def is_busy(self) -> bool:
        """Whether a task whose answer is wanted is running."""
        return self._running is not None

    @property
    def is_idle(self) -> bool:
        """Whether nothing runs at all, not even a task that was told to stop."""
        return self._pool.activeThreadCount() == 0

    def start(self, task: Callable[[Watch], object]) -> None:
        """Drop what is running and do this instead."""
        self._stop()
        run = _Run(self, self._generation, task)
        self._running = run
        self.busy_changed.emit(True)
        self._pool.start(run)

    def cancel(self) -> None:
        """Stop what is running; nothing will be answered."""
        if self._running is not None:
            self._stop()
            self.busy_changed.emit(False)

    def close(self) -> None:
        """Stop and wait until the thread has ended."""
        self.cancel()
        self._pool.waitForDone(_PATIENCE_MS)

    def _stop(self) -> None:
        self._generation += 1
        if self._running is not None:
            self._running.watch.stopped.set()
            self._running = None

    @Slot(int, float)
    def _on_progress(self, generation: int, share: float) -> None:
        if generation == self._generation:
            self.progressed.emit(share)

    @Slot(int, object)
    def _on_answer(self, generation: int, answer: object) -> None:
        if generation != self._generation:
            return
        self._running = None
        self.busy_changed.emit(False)
        if isinstance(answer, BaseException):
            self.failed.emit(answer)
        else:
            self.answered.emit(answer)
