"""The window's tests: a real Qt without a screen, the bundled font, windows on plans by hand."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
os.environ.setdefault("QT_SCALE_FACTOR", "1")
sys.path.insert(0, str(Path(__file__).parent))

import pytest
from by_hand import HandPlanner, drain, job_by_hand, open_and_wait
from PySide6.QtCore import QSettings
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import QApplication

from app.clipboard import leave_clipboard
from app.main_window import MainWindow
from app.recovery import Recovery
from app.theme import PRINT_FAMILY, load_print_font
from core.job.file import save_job


@pytest.fixture(scope="session")
def qapp_args():
    return ["panewright", "-style", "Fusion"]


@pytest.fixture(scope="session", autouse=True)
def _bundled_font(qapp):
    """Without a font, Qt draws boxes and every picture still looks like a pass."""
    family = load_print_font()
    assert family in QFontDatabase.families()
    font = qapp.font()
    font.setFamily(PRINT_FAMILY)
    qapp.setFont(font)
    yield
    leave_clipboard()


@pytest.fixture(autouse=True)
def _hygiene(qapp, tmp_path):
    """Settings of its own for each test; nothing survives; the collector off as in the program."""
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path / "ini"))
    gc.disable()
    yield
    for widget in QApplication.topLevelWidgets():
        widget.close()
        widget.deleteLater()
    drain()
    gc.enable()
    gc.collect()


@pytest.fixture
def planner():
    return HandPlanner()


@pytest.fixture
def made(tmp_path):
    """Return a function that makes windows on hand-made plans."""

    def make(planner=None, **kwargs):
        planner = planner or HandPlanner()
        recovery = Recovery(tmp_path / "recovery")
        return MainWindow(planner=planner, trial_planner=HandPlanner(), recovery=recovery, **kwargs)

    return make


@pytest.fixture
def empty_window(qtbot, made):
    """A window without a job, shown."""
    window = made()
    window.resize(1400, 900)
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.close()


@pytest.fixture
def job_file(tmp_path):
    path = tmp_path / "bakery.pane"
    save_job(path, job_by_hand())
    return path


@pytest.fixture
def window(qtbot, empty_window, job_file):
    """A window on a saved job, planned."""
    open_and_wait(qtbot, empty_window, job_file)
    return empty_window
