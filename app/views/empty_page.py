"""What a window without a job shows: where to begin."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.theme import ANSWER_PT, TEXT_PT, font

if TYPE_CHECKING:
    from app.actions import Actions
    from app.settings import Settings

_SHOWN_RECENT = 6


class RecentButton(QPushButton):
    """Opens one recent file."""

    asked = Signal(object)

    def __init__(self, path: Path, parent: QWidget) -> None:
        super().__init__(f"{path.name}   {path.parent.name}", parent)
        self._path = path
        self.setProperty("role", "plain")
        self.setToolTip(str(path))
        self.setAccessibleName(f"open {path.name}")
        self.clicked.connect(self._ask)

    def _ask(self) -> None:
        self.asked.emit(self._path)


class EmptyPage(QFrame):
    """Drop here, or begin with one of these."""

    recent_asked = Signal(object)

    def __init__(self, actions: Actions, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("drop")
        self._settings = settings
        box = QVBoxLayout(self)
        box.setSpacing(10)
        box.addStretch(2)
        head = QLabel("Drop a drawing or a job here")
        head.setFont(font(ANSWER_PT + 3, bold=True))
        head.setAlignment(Qt.AlignmentFlag.AlignCenter)
        box.addWidget(head)
        below = QLabel("a DXF becomes a plan on the sheet, cutters and machine of the last job")
        below.setFont(font(TEXT_PT))
        below.setProperty("role", "muted")
        below.setAlignment(Qt.AlignmentFlag.AlignCenter)
        box.addWidget(below)
        row = QHBoxLayout()
        row.addStretch(1)
        self.buttons: list[QPushButton] = []
        begin = ("open", "panel", "open_sample", "slot")
        for name, words in zip(begin, ("Open a drawing or a job\u2026", "", "", ""), strict=True):
            action = actions[name]
            button = QPushButton(words or action.text())
            button.setProperty("role", "plain")
            button.setToolTip(action.shortcut().toString())
            button.clicked.connect(action.trigger)
            self.buttons.append(button)
            row.addWidget(button)
        row.addStretch(1)
        box.addLayout(row)
        box.addSpacing(20)
        self._recent = QVBoxLayout()
        self._recent.setSpacing(6)
        box.addLayout(self._recent)
        box.addStretch(3)
        self._recent_widgets: list[QWidget] = []
        self.refresh()

    def refresh(self) -> None:
        """List the recent files."""
        for widget in self._recent_widgets:
            self._recent.removeWidget(widget)
            widget.hide()
            widget.deleteLater()
        self._recent_widgets = []
        paths = self._settings.recent()[:_SHOWN_RECENT]
        if paths:
            head = QLabel("Recent")
            head.setFont(font(TEXT_PT, bold=True))
            self._add(head)
        for path in paths:
            button = RecentButton(path, self)
            button.asked.connect(self.recent_asked)
            self._add(button)

    def _add(self, widget: QWidget) -> None:
        self._recent.addWidget(widget, 0, Qt.AlignmentFlag.AlignHCenter)
        self._recent_widgets.append(widget)
