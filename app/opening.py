"""Opens what a user names or drops, off the main thread; a drawing becomes a job."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import DrawingError, WorkbenchError
from core.job.job import Job

if TYPE_CHECKING:
    from app.document import Planner, Results
    from app.worker import Watch

JOB_SUFFIX = ".pane"
SUFFIXES = (JOB_SUFFIX, ".dxf")
FILTER = "Jobs and drawings (*.pane *.dxf *.DXF);;All files (*)"


@dataclass(frozen=True)
class Opened:
    """A job that was opened, with its plan or the reason why there is none."""

    job: Job
    path: Path | None
    source: Path
    results: Results | None
    problem: WorkbenchError | None


def open_path(path: Path, base: Job, planner: Planner, watch: Watch) -> Opened:
    """Open a drawing or a job file and plan it.

    Parameters
    ----------
    path : Path
        What to open.
    base : Job
        The choices that a new drawing starts with.
    planner : Planner
        Plans it.
    watch : Watch
        Progress and cancel.

    Raises
    ------
    WorkbenchError
        If it cannot be opened, or is a drawing that cannot be read.
    """
    from core.job.file import read_job

    is_job = path.suffix.lower() == JOB_SUFFIX
    job = read_job(path) if is_job else _job_of_drawing(path, base)
    results, problem = None, None
    try:
        results = planner.results(job, progress=watch.progress, cancelled=watch.cancelled)
    except DrawingError:
        if not is_job:
            raise
    except WorkbenchError as error:
        if watch.cancelled():
            raise
        problem = error
    return Opened(job, path if is_job else None, path, results, problem)


def _job_of_drawing(path: Path, base: Job) -> Job:
    from core.drawing import open_drawing_file

    return Job(
        drawings=(open_drawing_file(path),),
        material=base.material,
        thickness_mm=base.thickness_mm,
        sheet=base.sheet,
        rough_cutter=base.rough_cutter,
        finish_cutter=base.finish_cutter,
        machine=base.machine,
        rates=base.rates,
        air=base.air,
    )


def sample_path() -> Path | None:
    """Return the sample guard panel, if the samples are installed."""
    import sample_jobs

    for folder in map(Path, sample_jobs.__path__):
        for found in (*sorted(folder.glob("guard*/*.pane")), *sorted(folder.glob("guard*/*.dxf"))):
            return found
    return None
