"""Windows on the real pipeline, and waiting until everything that they compute is there."""

from pathlib import Path

from by_hand import drain, open_and_wait, settled

import sample_jobs
from app.main_window import MainWindow
from app.recovery import Recovery

SAMPLES = Path(next(iter(sample_jobs.__path__)))


def real_window(qtbot, tmp_path, name="", size=(1400, 900)):
    """Return a window on a sample job, planned; without a name, on nothing."""
    window = MainWindow(recovery=Recovery(tmp_path / "recovery"))
    window.resize(*size)
    window.show()
    qtbot.waitExposed(window)
    if name:
        open_and_wait(qtbot, window, SAMPLES / name / f"{name}.pane")
    return window


def advised(qtbot, window):
    """Wait for the plan, and for the advice that is being computed."""
    settled(qtbot, window)
    qtbot.waitUntil(lambda: not window.bench.advisor.is_busy, timeout=20_000)
    drain()
