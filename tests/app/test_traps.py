"""The traps of the window, each with a test that would catch it again."""

import gc
import subprocess
import sys
import threading
import weakref
from pathlib import Path

import pytest
import shiboken6
from by_hand import HandPlanner, drain, job_by_hand, open_and_wait
from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QDialog, QMessageBox, QWidget

import app
from app.collector import Collector
from app.fields import FIELDS
from app.main_window import MainWindow
from app.worker import Worker
from core.job.file import save_job

APP = Path(app.__file__).parent
CYCLES = 200


def test_drawing_lines_keeps_the_count_of_references_to_none():
    """A Qt binding once let go of None too often and aborted at the end of the program."""
    image = QImage(20, 20, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    before = sys.getrefcount(None)
    for _ in range(1000):
        painter.drawLine(0, 0, 10, 10)
    after = sys.getrefcount(None)
    painter.end()
    assert abs(after - before) < 100


def test_the_collector_runs_only_on_the_main_thread(qtbot):
    threads = []

    def note(phase, _info):
        if phase == "start":
            threads.append(threading.current_thread())

    collector = Collector()
    gc.callbacks.append(note)
    try:
        worker = Worker()
        with qtbot.waitSignal(worker.answered):
            worker.start(lambda _watch: len([[[]] for _ in range(50_000)]))
        garbage = [[] for _ in range(5000)]
        for one in garbage:
            one.append(one)
        del garbage, one
        collector.collect()
        worker.close()
    finally:
        gc.callbacks.remove(note)
    assert threads, "it did collect"
    assert set(threads) == {threading.main_thread()}


def test_nothing_is_destroyed_in_a_pool_thread(qtbot):
    """Objects that only the collector frees stay until the main thread collects."""
    worker = Worker()
    died_in = []

    class Cycle(QObject):
        def __init__(self):
            super().__init__()
            self.me = self

    weakref.finalize(Cycle(), lambda: died_in.append(threading.current_thread()))
    with qtbot.waitSignal(worker.answered):
        worker.start(lambda _watch: [[] for _ in range(100_000)] and None)
    worker.close()
    assert died_in == []
    gc.collect()
    assert died_in == [threading.main_thread()]


@pytest.mark.parametrize("path", sorted(APP.rglob("*.py")), ids=lambda p: p.name)
def test_no_signal_is_connected_to_a_lambda(path):
    """A lambda that holds its window kept 50 of 50 of them alive."""
    text = "".join(path.read_text(encoding="utf-8").split())
    assert "connect(lambda" not in text


def count_alive():
    gc.collect()
    objects = gc.get_objects()
    return sum(isinstance(one, QWidget) and shiboken6.isValid(one) for one in objects), len(objects)


def test_200_cycles_of_open_and_close_leave_no_widget_behind(qtbot, window, job_file, tmp_path):
    other = tmp_path / "other.pane"
    save_job(other, job_by_hand(thickness_mm=4.0))

    def cycle():
        open_and_wait(qtbot, window, other)
        window.files.close_job()
        drain()

    for _ in range(5):
        cycle()
    widgets, objects = count_alive()
    for _ in range(CYCLES):
        cycle()
    widgets_after, objects_after = count_alive()
    assert widgets_after <= widgets + 2
    assert objects_after <= objects * 1.02 + 500


def test_a_closed_window_is_freed(qtbot, made, job_file):
    alive = []
    for _ in range(10):
        window = made(planner=HandPlanner())
        window.show()
        open_and_wait(qtbot, window, job_file)
        window.bench.sentence.open("material")
        drain()
        window.close()
        window.deleteLater()
        drain()
        alive.append(weakref.ref(window))
        del window
    gc.collect()
    assert [ref() for ref in alive] == [None] * 10


def test_the_window_opens_no_dialog_of_its_own(window):
    """File dialogs are the system's; a margin, a warning or a question is never a box."""
    for path in sorted(APP.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        assert "QMessageBox" not in text, path.name
    assert window.findChildren(QDialog) == []
    assert window.findChildren(QMessageBox) == []


HEAVY = ("scipy", "ezdxf", "pint", "shapely", "pyqtgraph", "numpy", "cattrs")

FIRST_PAINT = """
import os, sys
from PySide6.QtWidgets import QApplication
from app.main_window import MainWindow
application = QApplication([])
class Seen(MainWindow):
    def paintEvent(self, event):
        super().paintEvent(event)
        print(",".join(name for name in sys.argv[1:] if name in sys.modules))
        sys.stdout.flush()
        os._exit(0)
window = Seen()
window.show()
application.exec()
"""


def test_the_first_paint_loads_nothing_heavy(tmp_path):
    root = Path(app.__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-c", FIRST_PAINT, *HEAVY],
        cwd=root,
        env={"QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path), "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == ""


class Windows(QObject):
    """Notes every widget that shows up as a window of its own."""

    def __init__(self):
        super().__init__()
        self.seen = []

    def eventFilter(self, watched, event):  # noqa: N802 - Qt's name
        if (
            event.type() is QEvent.Type.Show
            and isinstance(watched, QWidget)
            and watched.isWindow()
            and not isinstance(watched, MainWindow)
        ):
            self.seen.append(f"{type(watched).__name__} {getattr(watched, 'text', str)()}")
        return False


def test_no_part_flashes_up_as_a_window_of_its_own(qtbot, qapp, empty_window, job_file):
    """A part shown before it has its parent takes the focus from the window for good."""
    windows = Windows()
    qapp.installEventFilter(windows)
    open_and_wait(qtbot, empty_window, job_file)
    for number in (2, 3, 1):
        empty_window.show_question(number)
    for field in FIELDS:
        empty_window.bench.sentence.open(field.key)
        drain()
    empty_window.overlays.show_actions()
    empty_window.overlays.show_page("keys")
    qapp.removeEventFilter(windows)
    assert windows.seen == []


COPIES = """
import sys
from functools import partial
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from app import window
from app.clipboard import Table, copy_table
application = QApplication([])
QTimer.singleShot(300, partial(copy_table, Table(("a",), (("1",),))))
QTimer.singleShot(600, application.closeAllWindows)
sys.exit(window.run())
"""


def test_a_table_on_the_clipboard_does_not_crash_the_end_of_the_program(tmp_path):
    root = Path(app.__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-c", COPIES],
        cwd=root,
        env={"QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path), "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
