"""Unsaved work is kept, offered after a crash, and a bad copy never stops a start."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from by_hand import HandPlanner, drain, job_by_hand, open_and_wait, press, settled
from test_window import edit_bracket

import app
from app.recovery import Recovery
from core.errors import JobFileError
from core.job.file import read_job


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "kept"


def test_what_a_dead_process_kept_is_found_with_the_file_it_belongs_to(folder):
    job, path = job_by_hand(thickness_mm=5.0), Path("/somewhere/guard.pane")
    first = Recovery(folder)
    first.keep(job, path)
    first.release()
    found, aside = Recovery(folder).left_behind()
    assert [(kept.job, kept.path, kept.name) for kept in found] == [(job, path, "guard.pane")]
    assert aside == []


def test_what_a_living_process_keeps_is_not_offered(folder):
    living = Recovery(folder)
    living.keep(job_by_hand(), None)
    assert Recovery(folder).left_behind() == ([], [])


def test_what_was_saved_is_not_offered(folder):
    recovery = Recovery(folder)
    recovery.keep(job_by_hand(), None)
    recovery.forget()
    recovery.release()
    assert Recovery(folder).left_behind() == ([], [])


def test_a_bad_copy_is_moved_aside_and_told_once(folder):
    folder.mkdir()
    (folder / "bad.pane").write_bytes(b"PK\x03\x04 half a zip")
    found, aside = Recovery(folder).left_behind()
    assert found == []
    assert [file.name for file in aside] == ["bad.pane"]
    assert aside[0].read_bytes().startswith(b"PK"), "nothing is thrown away"
    assert Recovery(folder).left_behind() == ([], [])


def test_a_bad_note_loses_the_path_but_not_the_job(folder):
    recovery = Recovery(folder)
    recovery.keep(job_by_hand(), Path("/a/b.pane"))
    recovery.release()
    for note in folder.glob("*.json"):
        note.write_text(json.dumps([1, 2]))
    found, _ = Recovery(folder).left_behind()
    assert (found[0].path, found[0].name) == (None, "bakery window")


def test_a_folder_that_cannot_be_made_is_said_in_one_line(tmp_path):
    (tmp_path / "kept").write_text("a file")
    with pytest.raises((JobFileError, OSError)):
        Recovery(tmp_path / "kept").keep(job_by_hand(), None)


def test_closing_with_unsaved_work_asks_nothing_and_the_next_start_offers_it(
    qtbot, made, window, job_file
):
    edit_bracket(qtbot, window, "thickness_mm", "5 mm")
    job = window.desk.document.job
    window.close()
    assert read_job(job_file).thickness_mm == 6.0
    again = made(planner=HandPlanner())
    again.show()
    qtbot.waitExposed(again)
    drain()
    assert "bakery.pane" in again.notice.text.text()
    again.notice.button.click()
    settled(qtbot, again)
    assert again.desk.document.job == job
    assert again.desk.document.path == job_file
    assert again.isWindowModified(), "it is unsaved until it is saved"
    press(qtbot, again, "save")
    assert read_job(job_file) == job
    again.close()


def test_opening_another_job_keeps_what_was_unsaved(qtbot, window, job_file):
    edit_bracket(qtbot, window, "thickness_mm", "5 mm")
    changed = window.desk.document.job
    open_and_wait(qtbot, window, job_file)
    assert window.desk.document.job.thickness_mm == 6.0
    assert window.notice.isVisible()
    window.notice.button.click()
    settled(qtbot, window)
    assert window.desk.document.job == changed


def test_a_failure_of_ours_keeps_the_job_first_and_tells_it_once(qtbot, window, tmp_path):
    edit_bracket(qtbot, window, "thickness_mm", "5 mm")
    for _ in range(2):
        try:
            raise ZeroDivisionError("our bug")
        except ZeroDivisionError as error:
            window.emergency.report(error)
    drain()
    assert "ZeroDivisionError" in window.notice.text.text()
    kept = list((tmp_path / "recovery").glob("*.pane"))
    assert [read_job(file) for file in kept] == [window.desk.document.job]
    window.notice.close_button.click()
    assert not window.notice.isVisible()


def test_a_failure_in_a_slot_reaches_the_hook_and_the_window_goes_on(qtbot, window):
    window.emergency.install()
    try:
        with qtbot.captureExceptions() as caught:
            window.desk.document.planner.fails_with = ZeroDivisionError("in the planner")
            edit_bracket(qtbot, window, "thickness_mm", "5 mm")
        assert caught == []
        assert "in the planner" in window.notice.text.text()
    finally:
        window.emergency.remove()
        window.desk.document.planner.fails_with = None
    press(qtbot, window, "undo")
    settled(qtbot, window)
    assert window.desk.document.job.thickness_mm == 6.0


CRASHES = """
import os, sys
from pathlib import Path
from app.recovery import Recovery
from core.job.job import DrawingFile, Job
Recovery(Path(sys.argv[1])).keep(Job(name="lost", drawings=(DrawingFile("a.dxf", b"0"),)), None)
os._exit(9)
"""


def test_what_a_process_kept_before_it_crashed_is_found(folder):
    root = Path(app.__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-c", CRASHES, str(folder)],
        cwd=root,
        env={"PYTHONPATH": str(root), "QT_QPA_PLATFORM": "offscreen"},
        check=False,
        timeout=60,
    )
    assert done.returncode == 9
    found, _ = Recovery(folder).left_behind()
    assert [kept.job.name for kept in found] == ["lost"]
