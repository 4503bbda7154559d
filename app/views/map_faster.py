"""Ways to go faster, ranked: what each gains and needs, one undo step each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget

from app.numbers import in_units
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.done_card import DoneCard
from app.views.remedies_words import follows_result, way_result
from app.widgets.wide_button import WideButton
from core.advice.words import faster_text

if TYPE_CHECKING:
    from app.desk import Desk
    from app.views.remedies_advisor import Advisor, Faster
    from core.advice.records import Edit

LOOKING = "Looking for ways\u2026"


class FasterCard(QFrame):
    """The ways as buttons; another machine is only told."""

    def __init__(self, desk: Desk, advisor: Advisor, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk, self._advisor = desk, advisor
        self._shown: tuple[Faster | None, object] | None = None
        self.buttons: list[WideButton] = []
        self._edits: list[Edit] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(12, 8, 12, 10)
        self._box.setSpacing(5)
        head = QLabel("Ways to go faster")
        head.setFont(font(TEXT_PT, bold=True))
        self._box.addWidget(head)
        self.done = DoneCard(desk, self)
        self._box.addWidget(self.done)
        self.told = QLabel(LOOKING)
        self.told.setFont(font(NOTE_PT))
        self.told.setProperty("role", "muted")
        self.told.setWordWrap(True)
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._box.addWidget(self.told)
        advisor.changed.connect(self.refresh)
        desk.document.changed.connect(self.refresh)
        desk.units_changed.connect(self.refresh)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Look for ways when the card comes into view."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Show the ways that are known for the plan; ask for them where they are not."""
        results, found = self._desk.results, self._advisor.faster
        if not self.isVisible() or results is None or self._desk.document.is_stale:
            return
        if found is None or found.results is not results:
            found = None
            self._advisor.ask_faster(results)
        if self._shown != (found, self._desk.units):
            self._shown = found, self._desk.units
            self._rebuild(found)

    def _rebuild(self, found: Faster | None) -> None:
        for button in self.buttons:
            self._box.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.buttons, self._edits = [], []
        self.told.setText(LOOKING)
        if found is None:
            return
        units = self._desk.units
        told = []
        for way in found.ways:
            if way.edit.only_told:
                told.append(f"To know: {in_units(faster_text(way), units)}")
            else:
                blocked = "Puts a limit outside. " if way.is_blocked else ""
                self._add(way.edit, blocked + way_result(way, units))
        if found.follows is not None:
            self._add(found.follows.edit, follows_result(found.follows, units))
        if not found.ways:
            told.append("Nothing that was tried makes this job faster.")
        self.told.setText("\n".join(told))
        self.told.setVisible(bool(told))

    def _add(self, edit: Edit, result: str) -> None:
        button = WideButton(in_units(edit.name, self._desk.units), result, self)
        button.clicked.connect(self._choose)
        self._box.insertWidget(self._box.count() - 1, button)
        self.buttons.append(button)
        self._edits.append(edit)

    def _choose(self) -> None:
        button = self.sender()
        assert isinstance(button, WideButton)
        edit = self._edits[self.buttons.index(button)]
        self.done.do(edit.name, edit.change)
