"""A random user: presses, types and clicks at the real actions, and after every step all holds.

500 steps run here; a longer walk by a command:
`PANEWRIGHT_RANDOM_STEPS=2000 pytest tests/app/test_random_user.py`, which also holds the longest
step, painting included, to 200 ms of computing time.
"""

import os
import tempfile
import time
from pathlib import Path

from by_hand import HandPlanner, drain, job_by_hand, press
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.actions import ACTIONS
from app.fields import FIELDS
from app.main_window import MainWindow
from app.recovery import Recovery
from app.widgets.choice_list import ChoiceList
from app.widgets.quantity_field import QuantityField
from core.job.file import job_bytes, job_from_bytes, read_job, save_job

STEPS = int(os.environ.get("PANEWRIGHT_RANDOM_STEPS", "500"))
STEPS_A_WALK = 50
LONGEST_S = 0.2
LEFT = Qt.MouseButton.LeftButton

# those that ask for a file, or end the sitting
PAPERS = {"quote_pdf", "cost_pdf", "workbook", "setup_sheet", "nc", "toolpaths"}
ASKS = {"open", "open_sample", "save_as", "quit", "close"} | PAPERS
NAMES = sorted({spec.name for spec in ACTIONS} - ASKS)
GOOD = ["5 mm", "1/4 in", "0,33", "18 krpm", "4", "12000", "13 mm"]
BAD = ["1,500", "abc", "", "-2", "9**9"]


class Keys:
    """QTest's keys under the names that pytest-qt gives them."""

    keyClick = staticmethod(QTest.keyClick)  # noqa: N815 - as pytest-qt names it
    keyClicks = staticmethod(QTest.keyClicks)  # noqa: N815


class RandomUser(RuleBasedStateMachine):
    """Acts on one window; the invariants are what must hold after every step."""

    longest_s = 0.0

    def __init__(self):
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        folder = Path(self.folder.name)
        self.file = folder / "bakery.pane"
        save_job(self.file, job_by_hand())
        recovery = Recovery(folder / "recovery")
        planner = HandPlanner()
        self.window = MainWindow(planner=planner, trial_planner=planner, recovery=recovery)
        self.failures = []
        self.window.emergency.told.connect(self.failures.append)
        self.window.resize(1300, 820)
        self.window.show()
        self.window.files.open(self.file)
        self.settle()
        self.began = time.thread_time()

    def settle(self):
        workers = (
            self.window.files.worker,
            self.window.desk.document.worker,
            self.window.trial.worker,
        )
        while any(worker.is_busy for worker in workers):
            QApplication.processEvents()
        drain()

    def teardown(self):
        self.window.close()
        self.window.deleteLater()
        drain()
        self.folder.cleanup()

    # what the user does

    @rule(name=st.sampled_from(NAMES))
    def press_keys(self, name):
        action = self.window.actions_by_name[name]
        if action.shortcuts():
            press(Keys, self.window, name)
        else:
            action.trigger()
        self.settle()

    @rule(key=st.sampled_from([field.key for field in FIELDS]), text=st.sampled_from(GOOD + BAD))
    def edit_a_bracket(self, key, text):
        sentence = self.window.bench.sentence
        if sentence.bracket(key) is None:
            return
        QTest.mouseClick(sentence.bracket(key), LEFT)
        editor = sentence.editor
        if isinstance(editor.input, ChoiceList):
            QTest.keyClick(editor.input, Qt.Key.Key_Down)
        else:
            editor.input.selectAll()
            QTest.keyClick(editor.input, Qt.Key.Key_Delete)
            QTest.keyClicks(editor.input, text)
        QTest.keyClick(editor.input, Qt.Key.Key_Return)
        if sentence.editor is not None and isinstance(editor.input, QuantityField):
            assert editor.input.fault, "only a fault keeps the editor open"
            QTest.keyClick(editor.input, Qt.Key.Key_Escape)
            QTest.keyClick(editor.input, Qt.Key.Key_Escape)
        self.settle()

    @rule(x=st.integers(0, 700), y=st.integers(0, 300))
    def click_the_sheet(self, x, y):
        QTest.mouseMove(self.window.bench.sheet.view, QPoint(x, y))
        QTest.mouseClick(self.window.bench.sheet.view, LEFT, pos=QPoint(x, y))
        self.settle()

    @rule(key=st.sampled_from([Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right]))
    def arrows_in_the_table(self, key):
        QTest.keyClick(self.window.bench.table, key)
        self.settle()

    @rule(steps=st.integers(-3, 3), lever=st.sampled_from(["spindle_speed_rpm", "wall_stock_mm"]))
    def move_a_lever(self, steps, lever):
        slider = self.window.bench.trial_page.levers[lever].slider
        for _ in range(abs(steps)):
            QTest.keyClick(slider, Qt.Key.Key_Right if steps > 0 else Qt.Key.Key_Left)
        self.settle()

    @rule(width=st.sampled_from([800, 1000, 1180, 1600]), height=st.sampled_from([600, 720, 1000]))
    def resize(self, width, height):
        self.window.resize(width, height)
        self.settle()

    @rule()
    def undo_all_and_redo_all(self):
        stack = self.window.desk.document.undo_stack
        here, index = self.window.desk.document.job, stack.index()
        while stack.canUndo():
            stack.undo()
        while stack.index() < index:
            stack.redo()
        self.settle()
        assert self.window.desk.document.job == here

    @rule()
    def save_and_compare(self):
        if self.window.actions_by_name["save"].isEnabled():
            press(Keys, self.window, "save")
            self.settle()
            assert read_job(self.file) == self.window.desk.document.job
            assert not self.window.isWindowModified()

    # what holds after every step

    @invariant()
    def nothing_failed(self):
        assert self.failures == []

    @invariant()
    def the_job_survives_saving_and_loading(self):
        job = self.window.desk.document.job
        assert job_from_bytes(job_bytes(job), "job") == job

    @invariant()
    def what_is_shown_belongs_to_the_job(self):
        document = self.window.desk.document
        assert not document.is_stale
        assert (document.report is None) == (document.problem is not None)
        if document.report is not None:
            shown = document.report.contours[0].passes[0].z_top_mm
            assert shown == document.job.thickness_mm

    @invariant()
    def the_table_shows_what_is_selected(self):
        looked, model = self.window.desk.selection.now, self.window.bench.table.contour_model
        index = model.index_of(looked)
        if index.isValid():
            assert self.window.bench.table.currentIndex() == index

    @invariant()
    def the_window_paints(self):
        assert not self.window.grab().isNull()
        now = time.thread_time()
        RandomUser.longest_s = max(RandomUser.longest_s, now - self.began)
        self.began = now


TestRandomUser = RandomUser.TestCase
TestRandomUser.settings = settings(
    max_examples=max(STEPS // STEPS_A_WALK, 1),
    stateful_step_count=STEPS_A_WALK,
    deadline=None,
    derandomize=STEPS == 500,
    suppress_health_check=list(HealthCheck),
)


def test_no_step_of_a_long_walk_took_longer_than_a_blink():
    """Runs after the walk; in CI, where the machine is shared, only the walk itself is judged."""
    if STEPS > 500:
        assert RandomUser.longest_s <= LONGEST_S
    assert RandomUser.longest_s > 0.0
