"""What the user decides, as one frozen value, and the file that keeps it."""

from core.job.job import (
    FROM_THE_TOP,
    Acceptance,
    Air,
    ContourChoice,
    DrawingFile,
    Job,
    LibraryFile,
    Task,
)
from core.job.keep_out import Form, KeepOut
from core.job.offer import FreeLine, LineChange, Offer, Per, PinnedPart

__all__ = [
    "FROM_THE_TOP",
    "Acceptance",
    "Air",
    "ContourChoice",
    "DrawingFile",
    "Form",
    "FreeLine",
    "Job",
    "KeepOut",
    "LibraryFile",
    "LineChange",
    "Offer",
    "Per",
    "PinnedPart",
    "Task",
]
