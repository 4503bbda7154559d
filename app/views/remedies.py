"""The limits of the selected contour that are not good, as cards with their remedies.

The card of the selected limit is open: its remedies are computed beside the window, each button is
one undo step. The other cards are one line and open by selecting their limit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.desk import step_name
from app.numbers import in_units
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.findings import Chip
from app.views.remedies_words import cause, headline, remedy_result
from app.widgets.wide_button import WideButton
from core.advice.words import remedy_text

if TYPE_CHECKING:
    from app.desk import Desk
    from core.advice.records import Advice, Edit
    from core.report.records import ContourReport, Limit

LOOKING = "Looking for remedies\u2026"
MOST_CARDS = 6


@dataclass(frozen=True, slots=True)
class Shown:
    """What a card is about: a limit of a pass of the selected contour."""

    step: int
    limit: Limit
    title: str
    cause: str


def not_good(desk: Desk) -> tuple[Shown, ...]:
    """Return the limits of the selected contour that are not good: the chosen one first.

    Of the passes of one step the worst is shown; the others follow the same remedy.
    """
    contour, chosen, now = desk.contour(), desk.limit(), desk.cut_pass()
    if contour is None:
        return ()
    worst: dict[tuple[str, str], tuple[tuple[bool, float], int, Limit]] = {}
    for place, one in enumerate(contour.passes):
        for limit in one.limits:
            if limit.state.value == "good":
                continue
            is_chosen = one is now and chosen is not None and limit.name == chosen.name
            rank = (not is_chosen, limit.margin_ratio)
            key = one.step, limit.name
            if key not in worst or rank < worst[key][0]:
                worst[key] = rank, place, limit
    found = sorted(worst.values(), key=lambda each: each[0])
    return tuple(_shown(desk, contour, place, limit) for _, place, limit in found[:MOST_CARDS])


def _shown(desk: Desk, contour: ContourReport, place: int, limit: Limit) -> Shown:
    told = cause(step_name(contour, place), limit, contour.passes[place], desk.units)
    return Shown(place, limit, headline(limit.name, limit.label), told)


class ReasonField(QLineEdit):
    """Asks for a reason in place; Escape leaves it."""

    left = Signal()

    def event(self, event: QEvent) -> bool:
        """Keep Escape for this field."""
        is_key = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        if is_key and event.type() is QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Leave with Escape."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)


class LimitCard(QFrame):
    """One limit that is not good; open it holds the remedies."""

    wanted = Signal(object)
    chosen = Signal(object)
    accepted = Signal(object, str)
    taken_back = Signal(object)

    def __init__(self, shown: Shown, desk: Desk, parent: QWidget, *, is_open: bool) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.shown, self._desk = shown, desk
        self.remedies: list[WideButton] = []
        self._edits: list[Edit] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(12, 8, 12, 10)
        self._box.setSpacing(5)
        head = QHBoxLayout()
        state = shown.limit.state.value
        word = "accepted" if shown.limit.accepted else state
        head.addWidget(Chip("note" if shown.limit.accepted else state, word, desk.theme, self))
        head.addStretch(1)
        self._box.addLayout(head)
        self._say(shown.title, TEXT_PT, bold=True)
        self._say(shown.cause, TEXT_PT)
        if shown.limit.accepted:
            self._add_accepted()
        elif is_open:
            self.looking = self._say(LOOKING, NOTE_PT, role="muted")
            self._add_acceptance()
        else:
            button = self._button("Remedies", f"Remedies for: {shown.title}")
            button.clicked.connect(self._want)
            head.addWidget(button)

    def _say(self, text: str, points: float, *, bold: bool = False, role: str = "") -> QLabel:
        label = QLabel(text)
        label.setWordWrap(True)
        label.setFont(font(points, bold=bold))
        label.setTextFormat(Qt.TextFormat.PlainText)
        label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        if role:
            label.setProperty("role", role)
        self._box.addWidget(label)
        return label

    def _button(self, text: str, name: str = "") -> QPushButton:
        button = QPushButton(text, self)
        button.setProperty("role", "plain")
        button.setAccessibleName(name or text)
        return button

    def _add_acceptance(self) -> None:
        self.accept = self._button("Accept, with a note", f"Accept {self.shown.limit.label}")
        self.accept.clicked.connect(self._ask_reason)
        self.reason = ReasonField(self)
        self.reason.setPlaceholderText("Why it may be so; Enter accepts, Esc leaves it")
        self.reason.setAccessibleName(f"reason for accepting {self.shown.limit.label}")
        self.reason.returnPressed.connect(self._accept)
        self.reason.left.connect(self._leave_reason)
        self.reason.hide()
        self._box.addWidget(self.accept, 0, Qt.AlignmentFlag.AlignLeft)
        self._box.addWidget(self.reason)

    def _add_accepted(self) -> None:
        self._say(f"Accepted in the whole job: {self.shown.limit.accepted}", TEXT_PT)
        button = self._button("Take the acceptance back")
        button.clicked.connect(self._take_back)
        self._box.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)

    def show_advice(self, advice: Advice) -> None:
        """Put the remedies where it said that they are looked for."""
        units = self._desk.units
        at = self._box.indexOf(self.looking)
        for remedy in advice.remedies:
            name = in_units(remedy.edit.name, units)
            button = WideButton(name, remedy_result(remedy, units), self)
            button.clicked.connect(self._choose)
            self._box.insertWidget(at + len(self.remedies), button)
            self.remedies.append(button)
            self._edits.append(remedy.edit)
        told = [f"To know: {remedy_text(remedy, units)}" for remedy in advice.told]
        text = "\n".join(in_units(line, units) for line in (*advice.said, *told))
        self.looking.setText(text or "Each is one step that Undo takes back.")

    @property
    def first(self) -> Edit | None:
        """The first remedy, if there is one."""
        return self._edits[0] if self._edits else None

    def _choose(self) -> None:
        button = self.sender()
        assert isinstance(button, WideButton)
        self.chosen.emit(self._edits[self.remedies.index(button)])

    def _want(self) -> None:
        self.wanted.emit(self.shown)

    def _ask_reason(self) -> None:
        self.accept.hide()
        self.reason.show()
        self.reason.setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave_reason(self) -> None:
        """Ask for no reason any more."""
        self.reason.clear()
        self.reason.hide()
        self.accept.show()
        self.accept.setFocus(Qt.FocusReason.OtherFocusReason)

    def _accept(self) -> None:
        text = self.reason.text().strip()
        if text:
            self.accepted.emit(self.shown, text)

    def _take_back(self) -> None:
        self.taken_back.emit(self.shown)
