"""A line that tells something and offers one thing to do; never a message box."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget


class NoticeBar(QFrame):
    """Shows the newest notice until it is answered or put away."""

    answered = Signal(str)
    put_away = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("notice")
        self._action = ""
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 6, 8, 6)
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        row.addWidget(self.text, 1)
        self.button = QPushButton()
        self.close_button = QPushButton("Put away")
        for button in (self.button, self.close_button):
            button.setProperty("role", "plain")
            row.addWidget(button)
        self.button.clicked.connect(self._answer)
        self.close_button.clicked.connect(self._put_away)
        self.hide()

    def tell(self, text: str, action: str = "", words: str = "") -> None:
        """Show a notice, with a button if there is something to do."""
        self._action = action
        self.text.setText(text)
        self.setAccessibleName(text)
        self.button.setText(words)
        self.button.setVisible(bool(action))
        self.show()

    def clear(self) -> None:
        """Show nothing."""
        self._action = ""
        self.hide()

    def _answer(self) -> None:
        action = self._action
        self.clear()
        self.answered.emit(action)

    def _put_away(self) -> None:
        action = self._action
        self.clear()
        self.put_away.emit(action)
