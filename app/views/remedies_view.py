"""Where remedies are applied: the cards of the selected contour, and what was done last.

Every remedy, acceptance and its taking back is one undo step. What was done stays said, with its
undo, until the job changes again.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.selection import Looked
from app.views.done_card import DoneCard
from app.views.remedies import LimitCard, Shown, not_good
from app.views.remedies_advisor import Asked
from core.job.job import Acceptance

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtGui import QShowEvent

    from app.desk import Desk
    from app.views.remedies_advisor import Advisor
    from core.advice.records import Edit
    from core.job.job import Job


class RemediesView(QWidget):
    """The cards."""

    acted = Signal()

    def __init__(self, desk: Desk, advisor: Advisor, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._advisor = desk, advisor
        self._is_told = True
        self._built: object = None
        self.cards: list[LimitCard] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(8)
        self.done = DoneCard(desk, self)
        self._box.addWidget(self.done)
        advisor.changed.connect(self._on_advice)

    def refresh(self) -> None:
        """Show the limits of the selection that are not good; the chosen one with remedies."""
        shown = not_good(self._desk)
        open_step = self._open_step(shown)
        colours = self._desk.theme.palette.name
        built = (self._desk.selection.now.contour, shown, open_step, colours, self._desk.units)
        if built != self._built:
            self._built = built
            self._rebuild(shown, open_step)
        self._ask()
        if not self._is_told and not self._desk.document.is_stale:
            self._is_told = True
            QTimer.singleShot(0, self.acted.emit)

    def _open_step(self, shown: tuple[Shown, ...]) -> int | None:
        """Return the pass whose card is open: that of the chosen limit, if it is not good."""
        chosen = self._desk.limit()
        is_first = bool(shown) and chosen is not None and shown[0].limit.name == chosen.name
        return shown[0].step if is_first and not shown[0].limit.accepted else None

    def _rebuild(self, shown: tuple[Shown, ...], open_step: int | None) -> None:
        for card in self.cards:
            self._box.removeWidget(card)
            card.hide()
            card.deleteLater()
        self.cards = []
        for index, one in enumerate(shown):
            is_open = index == 0 and open_step is not None
            card = LimitCard(one, self._desk, self, is_open=is_open)
            card.wanted.connect(self._select)
            card.chosen.connect(self._apply)
            card.accepted.connect(self._accept)
            card.taken_back.connect(self._take_back)
            self._box.addWidget(card)
            self.cards.append(card)
        self.setVisible(bool(self.cards) or self.done.is_said)
        self._show_advice()

    @property
    def open_card(self) -> LimitCard | None:
        """The card that holds remedies, if there is one."""
        is_open = isinstance(self._built, tuple) and self._built[2] is not None
        return self.cards[0] if is_open and self.cards else None

    def _ask(self) -> None:
        """Ask for the remedies of the open card while it can be seen and the plan is the job's."""
        document, results, card = self._desk.document, self._desk.results, self.open_card
        where = self._desk.selection.now.contour
        if card is None or results is None or where is None or document.is_stale:
            self._advisor.ask(None)
        elif self.isVisible():
            self._advisor.ask(Asked(results, where, card.shown.step, card.shown.limit.name))

    def _on_advice(self) -> None:
        if self.isVisible():
            self._ask()
        self._show_advice()

    def _show_advice(self) -> None:
        card, asked, advice = self.open_card, self._advisor.asked, self._advisor.advice
        if card is None or asked is None or advice is None or card.remedies:
            return
        mine = (self._desk.selection.now.contour, card.shown.step, card.shown.limit.name)
        if asked.results is self._desk.results and mine == (asked.where, asked.place, asked.limit):
            card.show_advice(advice)

    # what the user does

    def apply_first(self) -> str:
        """Apply the first remedy of the open card; return what is to be said."""
        card = self.open_card
        if card is None:
            return "The chosen limit is good: no remedy is needed."
        if card.first is None:
            still = self._advisor.is_busy
            return "Remedies are still being computed." if still else "There is no remedy for it."
        self._apply(card.first)
        return self.done.text.text()

    def _apply(self, edit: Edit) -> None:
        self._edit(edit.name, edit.change)

    def _accept(self, shown: Shown, reason: str) -> None:
        change = partial(_accepting, limit=shown.limit.name, reason=reason)
        self._edit(f"Accept {shown.limit.label}: {reason}", change)

    def _take_back(self, shown: Shown) -> None:
        change = partial(_accepting, limit=shown.limit.name, reason="")
        self._edit(f"Take back the acceptance of {shown.limit.label}", change)

    def _edit(self, text: str, change: Callable[[Job], Job]) -> None:
        self._is_told = False
        self.done.do(text, change)

    def _select(self, shown: Shown) -> None:
        now = self._desk.selection.now
        self._desk.selection.set(Looked(now.contour, shown.step, shown.limit.name, now.place_mm))

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Ask when it comes into view."""
        super().showEvent(event)
        self._ask()


def _accepting(job: Job, limit: str, reason: str) -> Job:
    """Return the job with a limit accepted for a reason; with none, no longer accepted."""
    kept = tuple(one for one in job.accepted if one.limit != limit)
    return replace(job, accepted=(*kept, Acceptance(limit, reason)) if reason else kept)
