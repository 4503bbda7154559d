"""Brings a drawing in from the disk, or says in one line why not."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from core.errors import DrawingError
from core.job.job import DrawingFile

if TYPE_CHECKING:
    import pathlib

MAX_FILE_BYTES = 256 * 1024 * 1024
"""Largest drawing taken in: some 100 bytes an entity line, this is millions of entities."""


def open_drawing_file(path: pathlib.Path) -> DrawingFile:
    """Return the file's bytes under its name.

    Raises
    ------
    DrawingError
        The file is missing, a folder, unreadable, empty or too large.
    """
    shown = str(path)
    if path.is_dir():
        raise DrawingError(f"{shown}: is a folder; name a DXF file in it")
    try:
        size = path.stat().st_size
        if size > MAX_FILE_BYTES:
            raise DrawingError(too_large(shown, size))
        with path.open("rb") as stream:
            content = stream.read(MAX_FILE_BYTES + 1)
    except FileNotFoundError:
        raise DrawingError(f"{shown}: no such file; check the name and the folder") from None
    except (OSError, ValueError) as problem:
        number = problem.errno if isinstance(problem, OSError) else None
        why = os.strerror(number) if number else str(problem)
        raise DrawingError(
            f"{shown}: cannot be read ({why}); check that you may open it"
        ) from problem
    return DrawingFile(name=path.name, content=content)


def too_large(name: str, size_bytes: int) -> str:
    """Return the one line for a file beyond the bound."""
    return (
        f"{name}: {size_bytes / 1e6:,.0f} MB is more than a drawing may have "
        f"({MAX_FILE_BYTES / 1e6:,.0f} MB); save only what is to be cut"
    )
