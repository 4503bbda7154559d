"""A trial: the plan with some levers moved, computed beside it; nothing changes until adopted."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal, Slot

from app.fields import BY_KEY, Field, Kind
from app.numbers import quantity
from app.worker import Watch, Worker
from core.errors import WorkbenchError

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.desk import Desk
    from app.document import Planner, Results
    from core.job.job import Job
    from core.pipeline import Results as WholeResults
    from core.report.records import Report

_CHEAP_S = 0.012

CHIP_LOAD = Field("feed_per_tooth_mm", "chip load", Kind.QUANTITY, "mm", 0.005, 2.0, 0.01)
LEVERS: tuple[Field, ...] = (
    BY_KEY["spindle_speed_rpm"],
    CHIP_LOAD,
    BY_KEY["wall_stock_mm"],
    BY_KEY["floor_stock_mm"],
)


class Trial(QObject):
    """The levers that were moved, and what follows."""

    changed = Signal()
    crashed = Signal(object)

    def __init__(self, desk: Desk, planner: Planner) -> None:
        super().__init__(desk)
        self._desk = desk
        self._planner = planner
        self.changes: dict[str, float] = {}
        self.results: Results | None = None
        self.problem: WorkbenchError | None = None
        self._cost_s = _CHEAP_S
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_answer)
        self.worker.failed.connect(self._on_failure)
        desk.document.job_changed.connect(self._on_job)

    @property
    def is_open(self) -> bool:
        """Whether any lever was moved."""
        return bool(self.changes)

    @property
    def report(self) -> Report | None:
        """The report of the trial."""
        return self.results.report if self.results is not None else None

    def job(self) -> Job:
        """Return the job with the levers where they are."""
        changes: dict[str, Any] = dict(self.changes)
        return replace(self._desk.document.job, **changes)

    @property
    def whole(self) -> WholeResults | None:
        """The trial with all its stages, as the pipeline makes them."""
        from core.pipeline import Results as WholeResults

        return self.results if isinstance(self.results, WholeResults) else None

    def move(self, key: str, value: float) -> None:
        """Move a lever."""
        self.move_all({key: value})

    def move_all(self, values: Mapping[str, float]) -> None:
        """Move several levers at once."""
        if any(self.changes.get(key) != value for key, value in values.items()):
            self.changes.update(values)
            self._compute()

    def drop(self) -> None:
        """Forget the trial."""
        self.worker.cancel()
        self.changes.clear()
        self.results = self.problem = None
        self.changed.emit()

    def adopt(self) -> None:
        """Make the trial the plan, as one undo step."""
        if not self.changes:
            return
        changes: dict[str, Any] = dict(self.changes)
        text = f"the trial: {self.words()}"
        self.drop()
        self._desk.document.edit(text, lambda job: replace(job, **changes))

    def words(self) -> str:
        """Return what was moved, in words."""
        units = self._desk.units
        return ", ".join(
            f"{lever.label} {quantity(self.changes[lever.key], lever.unit, units)}"
            for lever in LEVERS
            if lever.key in self.changes
        )

    def _on_job(self) -> None:
        if self.is_open:
            self._compute()

    def _compute(self) -> None:
        job, planner = self.job(), self._planner
        if not job.drawings:
            self.drop()
        elif self._cost_s < _CHEAP_S and self.worker.is_idle and not self.worker.is_busy:
            self._on_answer(_tried(planner, job, Watch(_nothing)))
        else:
            self.worker.start(lambda watch: _tried(planner, job, watch))
            self.changed.emit()

    @Slot(object)
    def _on_answer(self, answer: object) -> None:
        assert isinstance(answer, tuple)
        self.results, self.problem, self._cost_s = answer
        self.changed.emit()

    @Slot(object)
    def _on_failure(self, error: object) -> None:
        self.drop()
        self.crashed.emit(error)

    def close(self) -> None:
        """Stop the worker."""
        self.worker.close()


def _nothing(_share: float) -> None:
    """Say nothing of progress."""


def _tried(
    planner: Planner, job: Job, watch: Watch
) -> tuple[Results | None, WorkbenchError | None, float]:
    """Plan the trial; return results or the problem, and what it cost in seconds."""
    began = time.perf_counter()
    try:
        results = planner.results(job, progress=watch.progress, cancelled=watch.cancelled)
    except WorkbenchError as error:
        if watch.cancelled():
            raise
        return None, error, time.perf_counter() - began
    return results, None, time.perf_counter() - began
