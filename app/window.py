"""Starts the program's window: the application, its collector and hooks, and the first job."""

from __future__ import annotations

import sys
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from app.clipboard import leave_clipboard
from app.collector import Collector
from app.main_window import MainWindow

if TYPE_CHECKING:
    from pathlib import Path


def run(path: Path | None = None, library_folder: Path | None = None) -> int:
    """Open the window and stay until it is closed.

    Parameters
    ----------
    path : Path or None
        A drawing or a job to open; None: the empty page.
    library_folder : Path or None
        The user's own library files.

    Returns
    -------
    int
        The exit code.
    """
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName("panewright")
    application.setOrganizationName("panewright")
    application.setStyle("Fusion")
    collector = Collector(application)
    window = MainWindow(library_folder=library_folder)
    window.emergency.install()
    window.show()
    if path is not None:
        QTimer.singleShot(0, partial(window.files.open, path))
    code = application.exec()
    window.emergency.remove()
    leave_clipboard()
    collector.collect()
    return code
