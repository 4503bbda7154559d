"""The one document: a frozen job, its undo stack, and what follows from it.

Every edit is a function from job to job and one undo step. The results follow in a worker; an edit
that is known to be cheap is answered on the spot, so that a lever paints with the same frame.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtGui import QUndoCommand, QUndoStack

from app.worker import Watch, Worker
from core.errors import WorkbenchError
from core.job.job import Job

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from core.report.records import Report

_CHEAP_S = 0.012
"""An edit whose last answer took less is computed on the spot: it fits into one frame. [s]."""
_MERGE_S = 1.5
"""Edits of one lever within this time are one undo step. [s]."""


class Results(Protocol):
    """What the pipeline delivers."""

    @property
    def report(self) -> Report:
        """All there is to say about the job."""


class Planner(Protocol):
    """The pipeline, as the window sees it."""

    def results(
        self,
        job: Job,
        *,
        progress: Callable[[float], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Results:
        """Plan the job; raises WorkbenchError."""


class EditJob(QUndoCommand):
    """Replace the job by another one; the only undo command there is."""

    def __init__(self, document: Document, text: str, after: Job, key: str) -> None:
        super().__init__(text)
        self._document = document
        self._before = document.job
        self._after = after
        self._key = key
        self._made_s = time.monotonic()

    def redo(self) -> None:
        """Put the new job in place; never raises, the stack would keep the command."""
        self._document._show(self._after, self._key)

    def undo(self) -> None:
        """Put the old job back."""
        self._document._show(self._before, self._key)

    def id(self) -> int:
        """Return a number shared by edits that may merge, or -1."""
        return hash(self._key) & 0x7FFFFFFF if self._key else -1

    def mergeWith(self, other: QUndoCommand) -> bool:  # noqa: N802 - Qt's name
        """Join a drag or a run of key strokes into one undo step."""
        if not isinstance(other, EditJob) or other._key != self._key:
            return False
        if other._made_s - self._made_s > _MERGE_S:
            return False
        self._after = other._after
        self._made_s = other._made_s
        self.setObsolete(self._after == self._before)
        return True


class Document(QObject):
    """Holds the job. Views read `job` and `results` and listen.

    A job that cannot be planned is still a job: `problem` then says why, and `results` are None.
    While `is_stale` the results belong to an earlier job and the worker is at it.
    """

    job_changed = Signal()
    changed = Signal()
    crashed = Signal(object)

    def __init__(
        self, planner: Planner, job: Job | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.job = job or Job()
        self.path: Path | None = None
        self.results: Results | None = None
        self.problem: WorkbenchError | None = None
        self.is_stale = False
        self.planner = planner
        self.undo_stack = QUndoStack(self)
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_answer)
        self.worker.failed.connect(self._on_failure)
        self._cost_s: dict[str, float] = {}

    @property
    def report(self) -> Report | None:
        """The latest report, if there is one."""
        return self.results.report if self.results is not None else None

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to plan."""
        return not self.job.drawings

    @property
    def name(self) -> str:
        """What the job is called: by its file, its own name, its first drawing."""
        if self.path is not None:
            return self.path.stem
        if self.is_empty:
            return "no job"
        return self.job.name or self.job.drawings[0].name.rpartition(".")[0]

    def edit(self, text: str, change: Callable[[Job], Job], *, key: str = "") -> None:
        """Apply a function from job to job as one undoable step.

        Parameters
        ----------
        text : str
            What was done, as the undo menu says it.
        change : callable
            From the present job to the next one.
        key : str
            Edits of the same key that follow each other closely become one step.
        """
        after = change(self.job)
        if after != self.job:
            self.undo_stack.push(EditJob(self, text, after, key))

    def replace(
        self,
        job: Job,
        path: Path | None,
        results: Results | None = None,
        problem: WorkbenchError | None = None,
    ) -> None:
        """Put another job in place of everything: one was opened, or the desk is cleared."""
        self.worker.cancel()
        self.undo_stack.clear()
        self.job, self.path = job, path
        self.results, self.problem, self.is_stale = results, problem, False
        self._cost_s.clear()
        self.job_changed.emit()
        if results is None and problem is None and job.drawings:
            self._plan("")
        else:
            self.changed.emit()

    def _show(self, job: Job, key: str) -> None:
        self.job = job
        self.job_changed.emit()
        if job.drawings:
            self._plan(key)
        else:
            self.results = None
            self.changed.emit()

    def _plan(self, key: str) -> None:
        self.is_stale = True
        cheap = self._cost_s.get(key, _CHEAP_S) < _CHEAP_S
        if key and cheap and self.worker.is_idle and not self.worker.is_busy:
            self._settle(_planned(self.planner, self.job, key, None))
        else:
            job, planner = self.job, self.planner
            self.worker.start(lambda watch: _planned(planner, job, key, watch))

    @Slot(object)
    def _on_answer(self, answer: object) -> None:
        assert isinstance(answer, _Answer)
        self._settle(answer)

    def _settle(self, answer: _Answer) -> None:
        self._cost_s[answer.key] = answer.cost_s
        self.results, self.problem, self.is_stale = answer.results, answer.problem, False
        self.changed.emit()
        if answer.crash is not None:
            self.crashed.emit(answer.crash)

    @Slot(object)
    def _on_failure(self, error: object) -> None:
        self.is_stale = False
        self.changed.emit()
        self.crashed.emit(error)

    def close(self) -> None:
        """Stop the worker; the document is not used again."""
        self.worker.close()
        # a stack that is destroyed says that its steps are gone, to views that are gone too
        self.undo_stack.blockSignals(True)


class _Answer:
    """What planning gave: results, or the reason why there are none."""

    __slots__ = ("cost_s", "crash", "key", "problem", "results")

    def __init__(self, key: str) -> None:
        self.key = key
        self.results: Results | None = None
        self.problem: WorkbenchError | None = None
        self.crash: Exception | None = None
        self.cost_s = 0.0


def _planned(planner: Planner, job: Job, key: str, watch: Watch | None) -> _Answer:
    """Plan, and keep whatever comes: nothing may be raised through an undo command."""
    answer = _Answer(key)
    began = time.perf_counter()
    try:
        if watch is None:
            answer.results = planner.results(job)
        else:
            answer.results = planner.results(
                job, progress=watch.progress, cancelled=watch.cancelled
            )
    except WorkbenchError as error:
        if watch is not None and watch.cancelled():
            raise
        answer.problem = error
    except Exception as error:
        answer.crash = error
    answer.cost_s = time.perf_counter() - began
    return answer
