"""The verb `batch`: every drawing and job of a folder to reports and one price table.

Files are planned by processes of their own, one a core: a bad file, even one that ends its process,
costs its own row and no other. Each report is written whole as soon as it is there; the table comes
last, in the order of the names, and holds what is done when the user stops.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
from concurrent.futures import CancelledError, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from app.batch_rows import Row, row_of, rows_csv
from app.options import JOB_SUFFIX, CommandLineError, job_of_files, with_options
from core.errors import Cancelled, DrawingError, JobFileError, WorkbenchError
from core.job import Job
from core.job.file import write_whole
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose
from core.report.as_json import report_text
from core.report.text import plan_text
from core.units import UnitSystem

if TYPE_CHECKING:
    import argparse
    from collections.abc import Callable, Iterator
    from concurrent.futures import Future
    from multiprocessing.synchronize import Event

SUFFIXES = (".dxf", JOB_SUFFIX)
TABLE = "prices.csv"

MOST_PROCESSES = 60
"""More cannot be waited for on Windows."""

ENDED = "planning it ended the process, perhaps for want of memory; plan it alone to see more"


@dataclass(frozen=True, slots=True)
class Errand:
    """One file to plan, with everything that a process of its own needs to know."""

    path: Path
    out: Path
    options: argparse.Namespace
    library: Path | None
    version: str


class Batch(NamedTuple):
    """What came of a folder: the rows that are done, in order, and how many there should be."""

    rows: tuple[Row, ...]
    wanted: int


def run_batch(
    options: argparse.Namespace,
    library: Path | None,
    version: str,
    progress: Callable[[int, int, str], None],
) -> Batch:
    """Plan every file of a folder and write reports and table.

    Parameters
    ----------
    options : Namespace
        The command line's words.
    library : Path or None
        The user's own library files.
    version : str
        Version of the program, for the reports.
    progress : callable
        Told how many are done, how many there are, and the name of the latest.

    Raises
    ------
    WorkbenchError
        If the folder cannot be read or written, or the options can be meant for no file.
    """
    paths = files_of(Path(options.folder))
    job = with_options(Job(), options, library)
    shelf = Shelf(job.library, library)
    choose(job, shelf)
    shelf.layer_rules(job.layer_rules)
    if options.cores is not None and options.cores < 1:
        raise CommandLineError(f"--cores: {options.cores} cores cannot plan; give 1 or more")
    out = _made(Path(options.out))
    errands = [Errand(path, out, options, library, version) for path in paths]
    rows: dict[str, Row] = {}

    def take(row: Row) -> None:
        rows[row.file] = row
        progress(len(rows), len(paths), row.file)

    with contextlib.suppress(KeyboardInterrupt):
        plan_all(errands, options.cores, take)
    done = tuple(rows[path.name] for path in paths if path.name in rows)
    with _deaf():
        write_whole(out / TABLE, rows_csv(done).encode())
    return Batch(done, len(paths))


def files_of(folder: Path) -> list[Path]:
    """Return the drawings and jobs of a folder in the order of their names.

    Raises
    ------
    DrawingError
        If it is no folder, cannot be read, or holds none.
    """
    try:
        found = [p for p in folder.iterdir() if p.suffix.lower() in SUFFIXES and p.is_file()]
    except OSError as error:
        raise DrawingError(
            f"{folder}: {error.strerror or error}; name a folder of drawings"
        ) from error
    if not found:
        raise DrawingError(f"{folder}: holds no {' and no '.join(SUFFIXES)} file")
    return sorted(found, key=lambda path: (path.name.casefold(), path.name))


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise JobFileError(
            f"{folder}: cannot be made ({error.strerror or error}); choose another place"
        ) from error
    return folder


def plan_all(errands: list[Errand], cores: int | None, take: Callable[[Row], None]) -> None:
    """Plan all errands and hand over each row as it comes."""
    if cores == 1:
        for errand in errands:
            take(plan_file(errand))
        return
    left = {errand.path.name for errand in errands}

    def taken(row: Row) -> None:
        left.discard(row.file)
        take(row)

    _by_many(errands, min(cores or _cores(), len(errands), MOST_PROCESSES), taken)
    # a process that ended took the others with it: what is left goes one by one
    for errand in errands:
        if errand.path.name in left:
            rows: list[Row] = []
            _by_many([errand], 1, rows.append)
            take(rows[0] if rows else Row(errand.path.name, ENDED))


def _by_many(errands: list[Errand], processes: int, take: Callable[[Row], None]) -> None:
    """Plan errands in processes; those of a process that ended give no row."""
    context = multiprocessing.get_context("spawn")
    stop = context.Event()
    futures: list[Future[Row]] = []
    with ProcessPoolExecutor(processes, context, _begin, (stop,)) as pool:
        with _deaf(), contextlib.suppress(BrokenProcessPool):
            futures += (pool.submit(plan_file, errand) for errand in errands)
        waiting = set(futures)
        try:
            for future in as_completed(futures):
                waiting.discard(future)
                _hand_over(future, take)
        except KeyboardInterrupt:
            stop.set()
            pool.shutdown(cancel_futures=True)
            for future in waiting:
                _hand_over(future, take)
            raise


def _hand_over(future: Future[Row], take: Callable[[Row], None]) -> None:
    with contextlib.suppress(BrokenProcessPool, Cancelled, CancelledError):
        take(future.result())


@contextlib.contextmanager
def _deaf() -> Iterator[None]:
    """Let an interrupt pass; processes begun here never hear one: they are told to stop."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


_asked_to_stop: Callable[[], bool] = bool
"""In a process of its own: whether the user stopped the batch."""


def _begin(stop: Event) -> None:
    global _asked_to_stop
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _asked_to_stop = stop.is_set


def plan_file(errand: Errand) -> Row:
    """Plan one file, write its reports, and return its row; a problem is a row too.

    Raises
    ------
    Cancelled
        If the user stopped the batch.
    """
    name = errand.path.name
    try:
        return _planned(errand)
    except Cancelled:
        raise
    except WorkbenchError as problem:
        return Row(name, _one_line(str(problem), errand.path))
    except Exception as fault:  # ours, but it must not cost the other files their plans
        words = _one_line(str(fault), errand.path)
        return Row(
            name, f"a fault of this program, please report it: {type(fault).__name__} {words}"
        )


def _planned(errand: Errand) -> Row:
    if _asked_to_stop():
        raise Cancelled("stopped")
    job = with_options(job_of_files([errand.path]), errand.options, errand.library)
    report = Pipeline(errand.library).results(job, cancelled=_asked_to_stop).report
    system = UnitSystem.INCH if errand.options.inch else UnitSystem.METRIC
    name = errand.path.name
    write_whole(errand.out / f"{name}.txt", plan_text(report, system).encode())
    text = report_text(report, errand.version) + "\n"
    write_whole(errand.out / f"{name}.json", text.encode())
    return row_of(name, report, job.quantity)


def _one_line(message: str, path: Path) -> str:
    """Return a message on one line, without the file's name in front: its row has it."""
    for said in (f"{path}: ", f"{path.name}: "):
        message = message.removeprefix(said)
    return " ".join(message.split())
