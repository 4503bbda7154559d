"""The pipeline, loaded when it is first asked: the window paints before numpy and ezdxf load."""

from __future__ import annotations

import importlib
import threading
from typing import TYPE_CHECKING

from core.units import convert

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from app.worker import Watch
    from core.job.job import Job
    from core.pipeline import Pipeline, Results


class LazyPlanner:
    """Plans jobs through one pipeline, one at a time.

    Parameters
    ----------
    folder : Path or None
        The user's own library files.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self._pipeline: Pipeline | None = None
        self._lock = threading.Lock()

    def results(
        self,
        job: Job,
        *,
        progress: Callable[[float], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Results:
        """Plan the job; raises WorkbenchError."""
        with self._lock:
            if self._pipeline is None:
                from core.pipeline import Pipeline

                self._pipeline = Pipeline(self._folder)
            return self._pipeline.results(job, progress=progress, cancelled=cancelled)


def load_the_rest(_watch: Watch) -> None:
    """Load, off the main thread, what the first job and the first switch of units will need."""
    importlib.import_module("core.pipeline")
    convert(1.0, "mm", "in")
