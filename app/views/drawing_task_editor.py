"""The editor of what is done along a contour; it opens in place, under its bracket.

Its fields are those of a choice by hand. What is left open is decided by the contour's place and
the layer rules (task), by the job and the task (recipe), by the house rule (spindle speed).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt

from app.drawing_commands import TASK_WORDS, choice_of
from app.fields import Field, Kind, Option
from app.views.field_editor import FieldEditor
from app.widgets.quantity_field import QuantityField
from core.errors import WorkbenchError
from core.job.job import Task

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent
    from PySide6.QtWidgets import QWidget

    from app.desk import Desk
    from app.drawing_commands import Key
    from core.library.shelf import Shelf

FIELDS = (
    Field("task", "task", Kind.CHOICE, left_to="its place and the layer rules"),
    Field("depth_mm", "depth", Kind.QUANTITY, "mm", 0.1, 60.0, 0.5),
    Field("recipe", "recipe", Kind.CHOICE, shelf="recipe", left_to="job and its task"),
    Field(
        "spindle_speed_rpm",
        "spindle speed here",
        Kind.QUANTITY,
        "rpm",
        500.0,
        60_000.0,
        500.0,
        left_to="job",
    ),
)
BY_KEY = {field.key: field for field in FIELDS}

_NOTES = {
    Task.OUTSIDE: "the part lies inside; the cutter runs round it",
    Task.INSIDE: "the part lies around; the cutter runs within",
    Task.ON_LINE: "the middle of the cutter follows the line",
    Task.POCKET: "cleared down to a depth; what stands inside stays",
    Task.BORE: "a helix, then once round the wall; for round holes",
    Task.DRILL: "straight down with a drill of this diameter; for round holes",
    Task.EDGE_BREAK: "a small chamfer along the upper edge",
    Task.COUNTERSINK: "a cone round a hole, for a screw's head",
    Task.COUNTERBORE: "cleared down to a depth round a hole",
    Task.NONE: "stays as it is drawn",
}
_ROUND_ONLY = (Task.BORE, Task.DRILL, Task.COUNTERSINK)
_ALONG_OPEN = (Task.ON_LINE, Task.NONE)


def tasks_for(kind: str, *, is_round: bool) -> tuple[Task, ...]:
    """Return the tasks that a contour can have.

    Examples
    --------
    >>> [task.value for task in tasks_for("open", is_round=False)]
    ['on_line', 'none']
    """
    if kind == "open":
        return _ALONG_OPEN
    return tuple(task for task in Task if is_round or task not in _ROUND_ONLY)


class TaskEditor(FieldEditor):
    """Edits one field of the choice for a contour."""

    def __init__(
        self,
        field: Field,
        desk: Desk,
        key: Key,
        tasks: tuple[Task, ...],
        effective: str,
        parent: QWidget,
    ) -> None:
        self.contour, self._tasks = key, tasks
        super().__init__(field, desk, effective, parent)

    def _value(self) -> Any:
        return getattr(choice_of(self._desk.document.job, self.contour), self.field.key)

    def _options(self) -> list[Option]:
        if self.field.key == "task":
            return [Option(task.value, TASK_WORDS[task], _NOTES[task]) for task in self._tasks]
        shelf = self._desk.shelf()
        return [Option(key, name, _steps(shelf, key)) for key, name in shelf.names("recipe")]

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Enter takes the shown number over where nothing else would decide it."""
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        is_open = not self.field.left_to and self._value() is None
        if is_enter and is_open and isinstance(self.input, QuantityField) and not self.input.fault:
            self._take_number(self.input.value)
        super().keyPressEvent(event)

    def _hint(self) -> str:
        return super()._hint() if self.field.left_to else "from the top of the sheet"


def _steps(shelf: Shelf, key: str) -> str:
    """Return the steps of a recipe; why it cannot be used, if it cannot."""
    try:
        return ", then ".join(step.name for step in shelf.recipe(key).steps)
    except WorkbenchError as error:
        return f"cannot be used: {error}"
