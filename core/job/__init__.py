"""What the user decides, as one frozen value, and the file that keeps it."""

from core.job.job import (
    Acceptance,
    Air,
    ContourChoice,
    DrawingFile,
    Job,
    LibraryFile,
    Task,
)

__all__ = [
    "Acceptance",
    "Air",
    "ContourChoice",
    "DrawingFile",
    "Job",
    "LibraryFile",
    "Task",
]
