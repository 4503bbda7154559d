"""The document: one frozen job, one undo command, answers that arrive later or at once."""

import threading
import time
from dataclasses import replace

import pytest
from by_hand import HandPlanner, job_by_hand

from app.document import Document
from core.errors import WorkbenchError


@pytest.fixture
def document(qtbot, planner):
    document = Document(planner, job_by_hand())
    yield document
    document.close()


def set_thickness(mm):
    return lambda job: replace(job, thickness_mm=mm)


def idle(document):
    return lambda: not document.worker.is_busy and not document.is_stale


def test_an_edit_is_one_undo_step_and_is_planned(qtbot, document):
    start = document.job
    document.edit("thickness", set_thickness(3.0))
    qtbot.waitUntil(idle(document))
    assert document.report.contours[0].passes[0].z_top_mm == 3.0
    document.undo_stack.undo()
    assert document.job is start
    document.undo_stack.redo()
    assert document.job.thickness_mm == 3.0
    assert document.job.drawings is start.drawings, "unchanged parts are shared"


def test_an_edit_that_changes_nothing_leaves_no_step(document):
    document.edit("thickness", set_thickness(document.job.thickness_mm))
    assert document.undo_stack.count() == 0


def test_a_drag_is_one_step(document):
    start = document.job
    for step in range(50):
        document.edit("speed", set_thickness(5.0 + step / 100), key="thickness")
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.job == start


def test_a_drag_back_to_the_start_leaves_no_step(document):
    start = document.job.thickness_mm
    document.edit("thickness", set_thickness(8.0), key="thickness")
    document.edit("thickness", set_thickness(start), key="thickness")
    assert document.undo_stack.count() == 0


def test_two_drags_with_a_pause_between_are_two_steps(document, monkeypatch):
    document.edit("thickness", set_thickness(8.0), key="thickness")
    later = time.monotonic() + 60.0
    monkeypatch.setattr(time, "monotonic", lambda: later)
    document.edit("thickness", set_thickness(9.0), key="thickness")
    assert document.undo_stack.count() == 2


def test_an_edit_that_fails_changes_nothing(document):
    before = document.job
    with pytest.raises(ZeroDivisionError):
        document.edit("bad", lambda job: 1 / 0)
    assert document.job is before
    assert document.undo_stack.count() == 0


def test_a_job_that_cannot_be_planned_is_still_a_job(qtbot, document):
    document.edit("thickness", set_thickness(13.0))
    qtbot.waitUntil(idle(document))
    assert document.results is None
    assert "13 mm" in str(document.problem)
    document.undo_stack.undo()
    qtbot.waitUntil(idle(document))
    assert document.problem is None
    assert document.report is not None


def test_a_bug_of_the_planner_never_leaves_redo(qtbot, document, planner):
    planner.fails_with = ZeroDivisionError("our bug")
    with qtbot.waitSignal(document.crashed) as caught:
        document.edit("thickness", set_thickness(5.0))
    assert isinstance(caught.args[0], ZeroDivisionError)
    assert document.undo_stack.count() == 1, "the edit stands; only its plan is missing"


def test_a_lever_that_was_cheap_is_answered_on_the_spot(qtbot, document):
    document.edit("speed", set_thickness(5.0), key="lever")
    qtbot.waitUntil(idle(document))
    document.edit("speed", set_thickness(5.5), key="lever")
    assert document.report.contours[0].passes[0].z_top_mm == 5.5, "no event loop in between"


class SlowPlanner(HandPlanner):
    """Waits until it is let go, or told to stop."""

    def __init__(self):
        super().__init__()
        self.gate = threading.Event()

    def results(self, job, *, progress=None, cancelled=None):
        while not self.gate.wait(0.005):
            if cancelled is not None and cancelled():
                raise WorkbenchError("stopped half way")
        return super().results(job)


def test_an_answer_to_an_older_job_is_dropped(qtbot):
    planner = SlowPlanner()
    document = Document(planner, job_by_hand())
    document.edit("thickness", set_thickness(4.0))
    document.edit("thickness", set_thickness(7.0))
    planner.gate.set()
    qtbot.waitUntil(idle(document))
    assert document.report.contours[0].passes[0].z_top_mm == 7.0
    document.close()


def test_a_cancelled_plan_is_never_answered_and_the_thread_ends(qtbot):
    planner = SlowPlanner()
    document = Document(planner, job_by_hand())
    document.edit("thickness", set_thickness(4.0))
    document.worker.cancel()
    document.close()
    qtbot.wait(20)
    assert document.worker.is_idle
    assert document.report is None
