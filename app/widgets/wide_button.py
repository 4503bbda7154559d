"""A button with a name and a line under it, both wrapped to the width that there is."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.theme import NOTE_PT, TEXT_PT, font

_LEAST_WIDTH_PX = 200


class WideButton(QPushButton):
    """Shows what it does in its first line and what comes of it below."""

    def __init__(self, name: str, result: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "plain")
        self.setAccessibleName(name)
        self.setAccessibleDescription(result)
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(10, 6, 10, 6)
        self._box.setSpacing(1)
        self.name = self._line(name, TEXT_PT, bold=bool(result))
        self.result = self._line(result, NOTE_PT) if result else None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def _line(self, text: str, points: float, *, bold: bool = False) -> QLabel:
        label = QLabel(text, self)
        label.setFont(font(points, bold=bold))
        label.setWordWrap(True)
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._box.addWidget(label)
        return label

    def hasHeightForWidth(self) -> bool:  # noqa: N802 - Qt's name
        """Say that a narrower button is a higher one."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 - Qt's name
        """Return the height of the wrapped lines."""
        return self._box.totalHeightForWidth(width)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return a size that holds the lines at a modest width."""
        return QSize(_LEAST_WIDTH_PX, self.heightForWidth(max(self.width(), _LEAST_WIDTH_PX)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return what it takes at the least."""
        return QSize(_LEAST_WIDTH_PX, self.heightForWidth(max(self.width(), _LEAST_WIDTH_PX)))
