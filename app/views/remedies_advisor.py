"""Advice computed beside the window: remedies for one limit, ways to go faster for the job.

One task at a time, on one bench that remembers the jobs it has tried. What is asked for next stops
what runs; an answer for a plan that is no longer there is dropped.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from app.worker import Watch, Worker
from core.advice.faster import ways_to_go_faster
from core.advice.remedies import advise
from core.advice.spindle_follows import spindle_follows
from core.advice.trying import Bench

if TYPE_CHECKING:
    from app.desk import Desk
    from core.advice.records import Advice, FasterWay
    from core.advice.spindle_follows import SpindleFollows
    from core.pipeline import Results

_SETTLE_MS = 150
"""Nothing is computed while the user is still walking through limits. [ms]."""


@dataclass(frozen=True, eq=False, slots=True)
class Asked:
    """A limit of a pass of a plan."""

    results: Results
    where: tuple[int, int]
    place: int
    limit: str

    def is_same(self, other: Asked | None) -> bool:
        """Whether the other asks the same of the same plan."""
        mine = (self.where, self.place, self.limit)
        return (
            other is not None
            and self.results is other.results
            and mine == (other.where, other.place, other.limit)
        )


@dataclass(frozen=True, eq=False, slots=True)
class Faster:
    """What makes the job of a plan faster."""

    results: Results
    ways: tuple[FasterWay, ...]
    follows: SpindleFollows | None


class Advisor(QObject):
    """Computes advice in the background; `changed` says that some has come or was asked for."""

    changed = Signal()
    crashed = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._bench = Bench(desk.library_folder)
        self._wanted: Asked | Results | None = None
        self.asked: Asked | None = None
        self.advice: Advice | None = None
        self.faster: Faster | None = None
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_answer)
        self.worker.failed.connect(self._on_failure)
        self._settle = QTimer(self, singleShot=True, interval=_SETTLE_MS)
        self._settle.timeout.connect(self._start)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._settle.isActive() or self.worker.is_busy

    def ask(self, asked: Asked | None) -> None:
        """Ask for the remedies of a limit; None: nobody looks at one any more."""
        if asked is None:
            self.asked = self.advice = None
            if isinstance(self._wanted, Asked):
                self._drop()
        elif not asked.is_same(self.asked):
            self.asked, self.advice = asked, None
            self._want(asked)

    def ask_faster(self, results: Results) -> None:
        """Ask for ways to go faster, unless they are known for this plan or on their way."""
        known = self.faster is not None and self.faster.results is results
        if not known and self._wanted is not results:
            # remedies that were on their way are asked for again when they are looked at
            self.asked = None if self.advice is None else self.asked
            self.faster = None
            self._want(results)

    def _want(self, wanted: Asked | Results) -> None:
        self.worker.cancel()
        self._wanted = wanted
        self._settle.start()

    def _drop(self) -> None:
        self._wanted = None
        self._settle.stop()
        self.worker.cancel()

    def _start(self) -> None:
        bench, wanted = self._bench, self._wanted
        if isinstance(wanted, Asked):
            self.worker.start(lambda watch: _advise(bench, wanted, watch))
        elif wanted is not None:
            self.worker.start(lambda watch: _faster(bench, wanted, watch))

    @Slot(object)
    def _on_answer(self, answer: object) -> None:
        self._wanted = None
        if isinstance(answer, Faster):
            self.faster = answer
        else:
            self.advice = answer  # type: ignore[assignment]
        self.changed.emit()

    @Slot(object)
    def _on_failure(self, error: object) -> None:
        self._wanted = None
        self.crashed.emit(error)

    def close(self) -> None:
        """Stop the worker."""
        self._settle.stop()
        self.worker.close()


def _advise(bench: Bench, asked: Asked, watch: Watch) -> Advice:
    return advise(bench, asked.results, asked.where, asked.place, asked.limit, watch.cancelled)


def _faster(bench: Bench, results: Results, watch: Watch) -> Faster:
    if not results.plan.passes:
        return Faster(results, (), None)
    ways = ways_to_go_faster(bench, results, watch.cancelled)
    return Faster(results, ways, spindle_follows(bench, results, watch.cancelled))
