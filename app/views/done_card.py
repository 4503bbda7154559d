"""Says what was done by a button, with its undo, until the job changes again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from app.numbers import in_units
from app.theme import TEXT_PT, font

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.desk import Desk
    from core.job.job import Job


class DoneCard(QFrame):
    """Does an edit as one undo step and says so."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("notice")
        self._desk = desk
        self._job: Job | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 6, 8, 6)
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setFont(font(TEXT_PT))
        row.addWidget(self.text, 1)
        self.undo = QPushButton("Undo")
        self.undo.setProperty("role", "plain")
        self.undo.clicked.connect(desk.document.undo_stack.undo)
        row.addWidget(self.undo)
        self.hide()
        desk.document.job_changed.connect(self._on_job)

    @property
    def is_said(self) -> bool:
        """Whether what was done still stands."""
        return self._job is not None

    def do(self, text: str, change: Callable[[Job], Job]) -> None:
        """Apply a change as one undo step and say what was done."""
        document = self._desk.document
        after = change(document.job)
        if after == document.job:
            return
        self._job = after
        told = f"Done: {in_units(text, self._desk.units)}"
        self.text.setText(told)
        self.setAccessibleName(told)
        self.undo.setAccessibleName(f"Undo: {in_units(text, self._desk.units)}")
        self.show()
        document.edit(text[:1].lower() + text[1:], change)

    def _on_job(self) -> None:
        if self._desk.document.job != self._job:
            self._job = None
            self.hide()
