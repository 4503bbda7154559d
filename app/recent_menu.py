"""The menu of recent files, written anew whenever it opens."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

if TYPE_CHECKING:
    from app.settings import Settings


class RecentMenu(QMenu):
    """Lists what was opened or saved last."""

    asked = Signal(object)

    def __init__(self, settings: Settings, parent: QWidget) -> None:
        super().__init__("Recent", parent)
        self._settings = settings
        self.aboutToShow.connect(self._list)
        self.triggered.connect(self._on_triggered)

    def _list(self) -> None:
        self.clear()
        for path in self._settings.recent():
            self.addAction(path.name).setData(str(path))

    def _on_triggered(self, action: QAction) -> None:
        self.asked.emit(Path(action.data()))
