"""The quote in the window: computed beside it for every plan, and printed when asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from app.file_writing import FileWriter, Made
from app.worker import Watch, Worker
from core.errors import WorkbenchError
from core.library.shelf import Shelf
from core.quote.quoting import quote, rack_of
from core.quote.sheet_work import Planned

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from app.desk import Desk
    from core.pipeline import Results
    from core.quote.quoting import Quote

BREAKS = (1, 10, 50, 100)
_SETTLE_MS = 300
"""A lever that is being dragged is not quoted. [ms]."""
NO_PRICE = "There is no price, so there is nothing to write down; the second question says why."


@dataclass(frozen=True, eq=False, slots=True)
class Quoted:
    """The quote of a plan; `problem` says why there is none."""

    results: Results
    planned: Planned
    quote: Quote | None
    problem: str = ""


class Quoting(QObject):
    """Keeps the quote of the present plan; `changed` says that another one holds."""

    changed = Signal(object)
    crashed = Signal(object)

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._desk = desk
        self.quoted: Quoted | None = None
        self.worker = Worker(self)
        self.worker.answered.connect(self._on_answer)
        self.worker.failed.connect(self._on_failure)
        self._settle = QTimer(self, singleShot=True, interval=_SETTLE_MS)
        self._settle.timeout.connect(self._start)
        desk.document.changed.connect(self.refresh)

    @property
    def is_busy(self) -> bool:
        """Whether a quote is still to come."""
        return self._settle.isActive() or self.worker.is_busy

    def refresh(self) -> None:
        """Quote the plan, if it is another one than before."""
        results = self._desk.results
        if self.quoted is not None and self.quoted.results is results:
            return
        self.worker.cancel()
        if self.quoted is not None:
            self.quoted = None
            self.changed.emit(None)
        if results is None or not results.plan.passes:
            self._settle.stop()
        else:
            self._settle.start()

    def _start(self) -> None:
        results, folder = self._desk.results, self._desk.library_folder
        if results is not None:
            self.worker.start(lambda watch: quoted_of(results, folder, watch))

    @Slot(object)
    def _on_answer(self, answer: object) -> None:
        assert isinstance(answer, Quoted)
        if answer.results is self._desk.results:
            self.quoted = answer
            self.changed.emit(answer)

    @Slot(object)
    def _on_failure(self, error: object) -> None:
        self.crashed.emit(error)

    def close(self) -> None:
        """Stop the worker."""
        self._settle.stop()
        self.worker.close()


def quoted_of(results: Results, folder: Path | None, watch: Watch) -> Quoted:
    """Return the quote of a plan at its quantity and at the usual breaks."""
    job = results.job
    planned = Planned(results.contours, results.chosen, results.plan, results.motion)
    try:
        rack = rack_of(job, Shelf(job.library, folder), results.chosen.rates)
        made = quote(job, planned, rack, BREAKS, progress=watch.progress, enough=watch.cancelled)
    except WorkbenchError as error:
        if watch.cancelled():
            raise
        return Quoted(results, planned, None, str(error))
    return Quoted(results, planned, made)


class QuoteCommands(QObject):
    """Prints the quote: the customer's page, the shop's cost sheet, the workbook."""

    def __init__(self, desk: Desk, quoting: Quoting, writer: FileWriter) -> None:
        super().__init__(writer)
        self._desk, self._quoting, self._writer = desk, quoting, writer

    def quote_pdf(self) -> None:
        """Print what the customer reads."""
        self._print("Customer\u2019s quote", " quote.pdf", "PDF (*.pdf)", self._customer_page)

    def cost_pdf(self) -> None:
        """Print what the job costs the shop."""
        self._print("Cost sheet", " costs.pdf", "PDF (*.pdf)", self._cost_page)

    def workbook(self) -> None:
        """Write the ledger as a workbook."""
        self._print("Workbook", " costs.xlsx", "Workbook (*.xlsx)", self._workbook)

    def _print(
        self, title: str, ending: str, kinds: str, content: Callable[[Planned, Quote], bytes]
    ) -> None:
        results = self._writer.plan()
        path = self._writer.ask(title, ending, kinds) if results is not None else None
        if results is None or path is None:
            return
        known, folder = self._quoting.quoted, self._desk.library_folder
        kept = known if known is not None and known.results is results else None

        def made(watch: Watch) -> Made:
            quoted = kept or quoted_of(results, folder, watch)
            if quoted.quote is None or quoted.quote.price is None:
                return Made((), quoted.problem or NO_PRICE)
            return Made(((path, content(quoted.planned, quoted.quote)),))

        self._writer.make(made)

    def _customer_page(self, planned: Planned, made: Quote) -> bytes:
        from app.printing.quote_pdf import quote_pdf

        return quote_pdf(made, planned, date.today(), self._desk.units)

    def _cost_page(self, planned: Planned, made: Quote) -> bytes:
        from app.printing.quote_pdf import cost_pdf

        return cost_pdf(made, planned, date.today(), system=self._desk.units)

    def _workbook(self, _planned: Planned, made: Quote) -> bytes:
        from core.quote.workbook import workbook_bytes

        assert made.price is not None, "asked only where there is a price"
        return workbook_bytes(made, made.price)
