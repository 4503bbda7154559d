"""Every action by name: type some letters, pick one, Enter does it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QLineEdit, QListWidget, QListWidgetItem, QVBoxLayout, QWidget

from app.theme import TEXT_PT, font

if TYPE_CHECKING:
    from app.actions import Actions

_WIDTH, _HEIGHT = 520, 380
_NATIVE = QKeySequence.SequenceFormat.NativeText


def matches(typed: str, words: str) -> bool:
    """Return whether every typed piece stands in the words.

    Examples
    --------
    >>> matches("zoo in", "Zoom in"), matches("in zoo", "Zoom in"), matches("x", "Zoom in")
    (True, True, False)
    """
    return all(piece in words.casefold() for piece in typed.casefold().split())


class ActionList(QFrame):
    """A field and the actions whose names hold what is typed."""

    chosen = Signal(str)

    def __init__(self, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("editor")
        self.setAutoFillBackground(True)
        self._actions = actions
        self._over = parent
        box = QVBoxLayout(self)
        box.setContentsMargins(8, 8, 8, 8)
        self.field = QLineEdit()
        self.field.setPlaceholderText("What do you want to do?")
        self.field.setAccessibleName("Name of an action")
        self.field.textChanged.connect(self._filter)
        self.field.installEventFilter(self)
        box.addWidget(self.field)
        self.list = QListWidget()
        self.list.setAccessibleName("Actions")
        self.list.setFrameShape(QFrame.Shape.NoFrame)
        self.list.setFont(font(TEXT_PT))
        self.list.itemClicked.connect(self._take)
        box.addWidget(self.list)
        self.hide()

    def begin(self) -> None:
        """Open the list over the window."""
        width = min(_WIDTH, self._over.width() - 40)
        height = min(_HEIGHT, self._over.height() - 120)
        self.setGeometry((self._over.width() - width) // 2, 90, width, height)
        self.field.clear()
        self._filter("")
        self.show()
        self.raise_()
        self.field.setFocus(Qt.FocusReason.PopupFocusReason)

    def _filter(self, typed: str) -> None:
        self.list.clear()
        for action in self._actions.all():
            if action.objectName() != "palette" and matches(typed, action.text()):
                keys = action.shortcut().toString(_NATIVE)
                item = QListWidgetItem(action.text() + (f"    {keys}" if keys else ""))
                item.setIcon(action.icon())
                item.setData(Qt.ItemDataRole.UserRole, action.objectName())
                if not action.isEnabled():
                    item.setFlags(Qt.ItemFlag.NoItemFlags)
                self.list.addItem(item)
        for row in range(self.list.count()):
            if self.list.item(row).flags() & Qt.ItemFlag.ItemIsEnabled:
                self.list.setCurrentRow(row)
                break

    def _take(self, item: QListWidgetItem) -> None:
        if item.flags() & Qt.ItemFlag.ItemIsEnabled:
            self.hide()
            self._over.setFocus()
            self.chosen.emit(item.data(Qt.ItemDataRole.UserRole))

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Arrows move in the list, Enter takes, Escape closes, leaving closes."""
        if event.type() is QEvent.Type.FocusOut and not self.list.hasFocus():
            self.hide()
        if not isinstance(event, QKeyEvent):
            return False
        if event.type() is QEvent.Type.ShortcutOverride and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        if event.type() is not QEvent.Type.KeyPress:
            return False
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
        if step is not None:
            row = (self.list.currentRow() + step) % max(self.list.count(), 1)
            self.list.setCurrentRow(row)
            return True
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.list.currentItem() is not None:
                self._take(self.list.currentItem())
            return True
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
            return True
        return False
