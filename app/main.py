"""Start the program: a verb goes to the command line, anything else to the window."""

from __future__ import annotations

import os
import sys

import core

# one numpy thread: the arrays are small, and a thread pool costs more than it gives
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def main(arguments: list[str] | None = None) -> int:
    """Run the program and return its exit code."""
    if getattr(core, "PROJECT", None) != "panewright":
        sys.exit(f"another package named 'core' is installed here: {core.__file__}; remove it")
    from app.cli import run

    return run(sys.argv[1:] if arguments is None else arguments)
