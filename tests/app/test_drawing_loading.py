"""Loading drawings: what cannot be read leaves the old job, with one clear line; Cancel works."""

import threading

import pytest
from by_hand import HandPlanner, job_by_hand, settled
from drawn import messy
from PySide6.QtCore import Qt

from app.opening import open_path
from app.worker import Watch
from core.drawing import opening
from core.errors import DrawingError
from core.job.job import Job
from core.pipeline import Pipeline

LEFT = Qt.MouseButton.LeftButton


def refused(qtbot, window, path):
    window.files.open(path)
    settled(qtbot, window)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.dxf", b""),
        ("photo.dxf", b"\x89PNG\r\n\x1a\n" + bytes(200)),
        ("cut off.dxf", messy()[:300]),
        ("text.dxf", b"this is a letter to a customer\n" * 20),
    ],
)
def test_a_damaged_drawing_leaves_the_job_and_says_so(
    qtbot, window, tmp_path, monkeypatch, name, content
):
    monkeypatch.setattr(window.desk.document, "planner", Pipeline())
    path = tmp_path / name
    path.write_bytes(content)
    before = window.desk.document.job
    refused(qtbot, window, path)
    assert window.desk.document.job == before
    assert window.status.message.text() == f"{name} was not opened; the job before it stays"
    assert window.notice.isVisible()
    assert name in window.notice.text.text()
    assert "\n" not in window.notice.text.text()


def test_a_drawing_that_is_too_large_is_refused_before_it_is_read(
    qtbot, window, tmp_path, monkeypatch
):
    monkeypatch.setattr(opening, "MAX_FILE_BYTES", 1000)
    path = tmp_path / "huge.dxf"
    path.write_bytes(bytes(2000))
    refused(qtbot, window, path)
    assert window.desk.document.job == job_by_hand()
    assert "huge.dxf was not opened" in window.status.message.text()
    assert "save only what is to be cut" in window.notice.text.text()


def test_without_a_job_the_empty_page_stays(qtbot, empty_window, tmp_path):
    refused(qtbot, empty_window, tmp_path / "missing.dxf")
    assert empty_window.desk.document.is_empty
    assert empty_window.status.message.text() == "missing.dxf was not opened"
    assert empty_window.pages.currentWidget() is empty_window.empty_page


class SlowPlanner(HandPlanner):
    """Waits until it is told to stop."""

    def __init__(self):
        super().__init__()
        self.began, self.was_stopped = threading.Event(), threading.Event()

    def results(self, job, *, progress=None, cancelled=None):
        self.began.set()
        while not cancelled():
            self.was_stopped.wait(0.005)
        self.was_stopped.set()
        progress(0.5)
        raise AssertionError("progress of a cancelled task stops it")


def test_cancel_while_a_drawing_is_loading_leaves_the_job(qtbot, window, tmp_path, monkeypatch):
    slow = SlowPlanner()
    monkeypatch.setattr(window.desk.document, "planner", slow)
    path = tmp_path / "slow.dxf"
    path.write_bytes(messy())
    window.files.open(path)
    qtbot.waitUntil(slow.began.is_set)
    qtbot.waitUntil(window.status.cancel.isVisible)
    assert window.status.message.text() == "Opening slow.dxf"
    qtbot.mouseClick(window.status.cancel, LEFT)
    qtbot.waitUntil(slow.was_stopped.is_set)
    settled(qtbot, window)
    assert window.desk.document.job == job_by_hand()
    assert window.status.message.text() == "Stopped; nothing was changed"
    assert not window.status.cancel.isVisible()


def test_loading_tells_its_share(tmp_path):
    path = tmp_path / "plate.dxf"
    path.write_bytes(messy())
    shares = []
    opened = open_path(path, Job(), Pipeline(), Watch(shares.append))
    assert opened.results is not None
    assert shares == sorted(shares)
    assert len(shares) > 2
    assert 0.0 < shares[-1] <= 1.0


def test_a_drawing_without_anything_to_read_is_a_clear_line(tmp_path):
    path = tmp_path / "letter.dxf"
    path.write_text("a letter\n" * 10)
    with pytest.raises(DrawingError, match=r"letter\.dxf"):
        open_path(path, Job(), Pipeline(), Watch([].append))


def test_a_long_line_in_the_status_bar_does_not_widen_the_window(window):
    before = window.minimumSizeHint().width()
    window.status.say("a name that never ends " * 60)
    assert window.minimumSizeHint().width() == before
    assert window.status.message.toolTip().startswith("a name")
