"""What is done along the selected contour, as a line of brackets between sheet and table.

Every bracket opens its editor in place. With "all 8 alike" pressed, a change holds for every
contour that is the same, in one undo step.
"""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.drawing_commands import (
    TASK_WORDS,
    WITH_DEPTH,
    Key,
    alike,
    choice_of,
    with_choice,
    with_task,
)
from app.numbers import quantity
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.drawing_task_editor import BY_KEY, FIELDS, TaskEditor, tasks_for
from app.views.sentence import Bracket
from core.job.job import Task

if TYPE_CHECKING:
    from app.desk import Desk
    from app.fields import Field
    from app.views.contour_table import ContourTable
    from app.views.sheet_view import SheetView
    from core.job.job import ContourChoice
    from core.report.records import ContourReport

_WORDS = {"task": "", "depth_mm": "deep", "recipe": "recipe", "spindle_speed_rpm": "spindle"}
_OWN_RECIPE = (Task.DRILL, Task.EDGE_BREAK, Task.COUNTERSINK)
"""Tasks that are always done by the recipe of their name."""
_ROUND_MM = 0.01
"""A contour whose length differs from that of its circle by less is round."""
_EDGE_PX = 10
_PICK = "Pick a contour on the sheet or in the table to say what is done along it."


def above_table(strip: TaskStrip, table: ContourTable) -> QWidget:
    """Return the line of brackets with the table below it."""
    out = QWidget()
    box = QVBoxLayout(out)
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(2)
    box.addWidget(strip)
    box.addWidget(table, 1)
    return out


class TaskStrip(QWidget):
    """Shows and edits the choice for the selected contour."""

    def __init__(
        self, desk: Desk, view: SheetView, table: ContourTable, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._desk, self._view, self._table = desk, view, table
        self.editor: TaskEditor | None = None
        self.setAccessibleName("What is done along the selected contour")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 2)
        row.setSpacing(6)
        self.name = QLabel()
        self.name.setFont(font(TEXT_PT, bold=True))
        self.name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.name.setMinimumWidth(90)
        row.addWidget(self.name, 1)
        self.brackets: dict[str, Bracket] = {}
        self._labels: dict[str, QLabel] = {}
        for field in FIELDS:
            self._add(row, field)
        self.alike = QPushButton()
        self.alike.setCheckable(True)
        self.alike.setProperty("role", "choice")
        self.alike.setFont(font(NOTE_PT))
        row.addWidget(self.alike)
        for watched in (view, table.viewport()):
            watched.installEventFilter(self)
        desk.document.changed.connect(self.refresh)
        desk.document.job_changed.connect(self.refresh)
        desk.selection.changed.connect(self._on_selection)
        desk.units_changed.connect(self.refresh)
        self.refresh()

    def _add(self, row: QHBoxLayout, field: Field) -> None:
        label = QLabel(_WORDS[field.key])
        label.setFont(font(NOTE_PT))
        label.setProperty("role", "muted")
        bracket = Bracket(field, self)
        bracket.clicked.connect(self._on_click)
        first, second = (bracket, label) if field.key == "depth_mm" else (label, bracket)
        row.addWidget(first)
        row.addWidget(second)
        self.brackets[field.key], self._labels[field.key] = bracket, label

    # what is shown

    def keys(self) -> tuple[Key, ...]:
        """Return the contours that a change is for."""
        contour = self._desk.contour()
        if contour is None:
            return ()
        if self.alike.isChecked():
            return alike(self._desk.report, contour)
        return ((contour.drawing, contour.id),)

    def _on_selection(self) -> None:
        """Close an editor that was opened for another contour."""
        if self.editor is not None and self.editor.contour != self._desk.selection.now.contour:
            self.editor.close_editor()
        self.refresh()

    def refresh(self) -> None:
        """Show the selected contour."""
        contour = self._desk.contour()
        known = contour is not None and contour.drawing < len(self._desk.document.job.drawings)
        self.alike.setVisible(known)
        if contour is None or not known:
            self.name.setText(_PICK)
            for key in self.brackets:
                self._show_field(key, "", False)
            return
        choice = choice_of(self._desk.document.job, (contour.drawing, contour.id))
        task = choice.task or Task(contour.task)
        self.name.setText(f"{contour.id}  {contour.name}")
        self.name.setToolTip(self.name.text())
        self._show_field("task", TASK_WORDS[task], True)
        depth = "how deep?" if choice.depth_mm is None else self._length(choice.depth_mm)
        self._show_field("depth_mm", depth, task in WITH_DEPTH)
        cuts = task is not Task.NONE
        self._show_field("recipe", self._recipe(choice), cuts and task not in _OWN_RECIPE)
        self._show_field("spindle_speed_rpm", self._speed(choice), cuts)
        self._show_alike(contour)

    def _show_field(self, key: str, words: str, is_shown: bool) -> None:
        self.brackets[key].set_words(words)
        self.brackets[key].setVisible(is_shown)
        self._labels[key].setVisible(is_shown and bool(_WORDS[key]))

    def _length(self, value_mm: float) -> str:
        return quantity(value_mm, "mm", self._desk.units)

    def _recipe(self, choice: ContourChoice) -> str:
        if choice.recipe is None:
            return "as the job"
        return dict(self._desk.shelf().names("recipe")).get(choice.recipe, choice.recipe)

    def _speed(self, choice: ContourChoice) -> str:
        if choice.spindle_speed_rpm is None:
            return "as the job"
        return quantity(choice.spindle_speed_rpm, "rpm", self._desk.units)

    def _show_alike(self, contour: ContourReport) -> None:
        count = len(alike(self._desk.report, contour))
        self.alike.setVisible(count > 1)
        self.alike.setText(f"all {count} alike")
        self.alike.setAccessibleName(f"a change holds for all {count} alike")
        if count < 2:
            self.alike.setChecked(False)

    # editing

    def _on_click(self) -> None:
        bracket = self.sender()
        assert isinstance(bracket, Bracket)
        self.open(bracket.field.key)

    def open(self, key: str, at: QPoint | None = None) -> None:
        """Open the editor of a field under its bracket, or at a point of the window."""
        contour = self._desk.contour()
        if contour is None or self.brackets[key].isHidden():
            return
        if self.editor is not None:
            self.editor.close_editor()
        window, bracket = self.window(), self.brackets[key]
        tasks = tasks_for(contour.kind, is_round=self._is_round(contour))
        place = (contour.drawing, contour.id)
        now = self._effective(key, contour)
        editor = TaskEditor(BY_KEY[key], self._desk, place, tasks, now, window)
        editor.chosen.connect(self._on_chosen)
        editor.closed.connect(self._on_closed)
        below = at or bracket.mapTo(window, QPoint(0, bracket.height() + 2))
        editor.fit_into(window.height() - 2 * _EDGE_PX)
        x = min(below.x(), window.width() - editor.width() - _EDGE_PX)
        y = min(below.y(), window.height() - editor.height() - _EDGE_PX)
        editor.move(max(x, _EDGE_PX), max(y, _EDGE_PX))
        self.editor = editor
        editor.begin()

    def _is_round(self, contour: ContourReport) -> bool:
        """Return whether a contour is a circle, as its radius and its length say."""
        radius = contour.min_radius_mm
        return radius is not None and abs(contour.length_mm - math.tau * radius) < _ROUND_MM

    def _effective(self, key: str, contour: ContourReport) -> str:
        """Return the number that an editor begins with where none was typed."""
        if key == "spindle_speed_rpm" and contour.passes:
            return f"{contour.passes[0].spindle_speed_rpm:g} rpm"
        if key == "depth_mm":
            return f"{self._desk.document.job.thickness_mm / 2.0:g} mm"
        return ""

    def _on_chosen(self, key: str, value: Any) -> None:
        keys = self.keys()
        task = Task(value) if key == "task" and value is not None else None
        if key == "task":
            change = partial(with_task, keys=keys, task=task)
        else:
            change = partial(with_choice, keys=keys, **{key: value})
        words = f"{BY_KEY[key].label} of {self._subject(keys)}: {self._said(key, value)}"
        self._desk.document.edit(words, change)
        if task in WITH_DEPTH and choice_of(self._desk.document.job, keys[0]).depth_mm is None:
            self.open("depth_mm")

    def _subject(self, keys: tuple[Key, ...]) -> str:
        contour = self._desk.contour()
        name = contour.name.partition(" (")[0] if contour is not None else ""
        return name if len(keys) < 2 else f"{len(keys)} alike, {name}"

    def _said(self, key: str, value: Any) -> str:
        field = BY_KEY[key]
        if value is None:
            return f"left to {field.left_to}"
        if key == "task":
            return TASK_WORDS[Task(value)]
        return quantity(value, field.unit, self._desk.units) if field.unit else str(value)

    def _on_closed(self, key: str, had_focus: bool) -> None:
        self.editor = None
        if had_focus:
            self.brackets[key].setFocus(Qt.FocusReason.PopupFocusReason)

    # a click with the other button

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Select what is under the pointer and open the tasks there."""
        if event.type() is not QEvent.Type.ContextMenu or not isinstance(event, QContextMenuEvent):
            return False
        if event.reason() is QContextMenuEvent.Reason.Mouse:
            if watched is self._view:
                self._view.select_at(QPointF(event.pos()))
            else:
                self._table.setCurrentIndex(self._table.indexAt(event.pos()))
            self.open("task", self.window().mapFromGlobal(event.globalPos()))
        else:
            self.open("task")
        return True
