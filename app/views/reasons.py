"""The column for the first question: where we are, the limits, the formula, the warnings."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QVBoxLayout, QWidget

from app.desk import all_findings, number_named, step_name, worst_first
from app.fields import BY_KEY
from app.selection import Looked
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.explanation import explanation_html, explanation_text
from app.views.findings import FindingsView
from app.views.remedies_view import RemediesView
from app.widgets.limit_list import LimitList, limit_words
from core.explained import Origin

if TYPE_CHECKING:
    from app.desk import Desk
    from app.views.remedies_advisor import Advisor
    from core.explained import Explained, Input
    from core.report.records import ContourReport, PassReport

_ARROW = " \u25b8 "


class Breadcrumb(QLabel):
    """Contour, pass and limit as links; every pass of the contour can be picked."""

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setWordWrap(True)
        self.setFont(font(TEXT_PT))
        self.setAccessibleName("Selected contour, pass and limit")
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.linkActivated.connect(self._on_link)

    def refresh(self, contour: ContourReport | None, chosen: PassReport | None, limit: str) -> None:
        """Show where we are."""
        if contour is None:
            self.setText("Pick a contour on the sheet or in the table.")
            return
        colour = self._desk.theme.palette.focus
        parts = [f"<b>{contour.id}&nbsp;{html.escape(contour.name)}</b>"]
        steps = []
        for index, cut_pass in enumerate(contour.passes):
            name = html.escape(step_name(contour, index))
            is_here = cut_pass is chosen
            link = f'<a style="color:{colour}" href="pass:{index}">{name}</a>'
            steps.append(f"<b>{name}</b>" if is_here else link)
        if steps:
            parts.append(" | ".join(steps))
        if limit:
            parts.append(html.escape(limit))
        self.setText(_ARROW.join(parts))

    def _on_link(self, link: str) -> None:
        now = self._desk.selection.now
        step = int(link.removeprefix("pass:"))
        self._desk.selection.set(Looked(now.contour, step, now.limit))


class ReasonCard(QFrame):
    """The formula of a number; a computed value in it leads to its own formula and back."""

    field_asked = Signal(str)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk = desk
        self._trail: list[Explained] = []
        self._cut_pass: PassReport | None = None
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        self.back = QPushButton()
        self.back.setProperty("role", "plain")
        self.back.clicked.connect(self._go_back)
        self.back.hide()
        box.addWidget(self.back, 0, Qt.AlignmentFlag.AlignLeft)
        self.text = QLabel()
        self.text.setTextFormat(Qt.TextFormat.RichText)
        self.text.setWordWrap(True)
        self.text.setFont(font(TEXT_PT))
        self.text.setAccessibleName("Formula of the chosen limit")
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        self.text.linkActivated.connect(self._on_link)
        box.addWidget(self.text)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setProperty("role", "muted")
        self.told.setFont(font(NOTE_PT))
        self.told.hide()
        box.addWidget(self.told)

    @property
    def number(self) -> Explained | None:
        """The number that is explained now."""
        return self._trail[-1] if self._trail else None

    @property
    def is_deeper(self) -> bool:
        """Whether a value inside the chosen limit's formula is explained, not the limit itself."""
        return len(self._trail) > 1

    def explain(self, number: Explained | None, cut_pass: PassReport | None) -> None:
        """Explain a number of a pass, from the start; what was followed in it is kept if it can."""
        keys = [one.key for one in self._trail[1:]]
        self._cut_pass = cut_pass
        same = bool(self._trail) and number is not None and self._trail[0].key == number.key
        self._trail = [] if number is None else [number]
        if same and cut_pass is not None:
            followed = [number_named(cut_pass, key) for key in keys]
            self._trail += [one for one in followed if one is not None]
        self.refresh()

    def refresh(self) -> None:
        """Write the card anew."""
        number = self.number
        self.setVisible(number is not None)
        self.told.hide()
        if number is None:
            return
        theme, units = self._desk.theme, self._desk.units
        self.text.setText(explanation_html(number, theme.palette, units))
        self.back.setVisible(len(self._trail) > 1)
        if len(self._trail) > 1:
            self.back.setText(f"Back to {self._trail[-2].name}")

    def reasoning(self) -> str:
        """Return the reason as plain text."""
        return "" if self.number is None else explanation_text(self.number)

    def _go_back(self) -> None:
        self._trail.pop()
        self.refresh()

    def _on_link(self, link: str) -> None:
        number = self.number
        if number is None or not link.startswith("input:"):
            return
        self.follow(number.inputs[int(link.removeprefix("input:"))])

    def follow(self, one: Input) -> None:
        """Show where a value comes from: its own formula, its bracket, or its source."""
        deeper = None if self._cut_pass is None else number_named(self._cut_pass, one.name)
        if deeper is None and self._cut_pass is not None and one.source:
            deeper = number_named(self._cut_pass, one.source)
        if deeper is not None and deeper.key not in [number.key for number in self._trail]:
            self._trail.append(deeper)
            self.refresh()
            return
        field = _field_of(one)
        if field:
            self.field_asked.emit(field)
            return
        where = f": {one.source}" if one.source else ""
        self.told.setText(f"{one.name} comes from \u201c{one.origin.value}\u201d{where}.")
        self.told.show()


def _field_of(one: Input) -> str:
    """Return the bracket that sets a value, if there is one."""
    if one.origin in (Origin.TYPED, Origin.DEFAULT, Origin.LIBRARY):
        for field in BY_KEY.values():
            if field.label == one.name or field.key == one.source:
                return field.key
    return ""


class CleanlyPage(QWidget):
    """Everything that argues for the answer to "will it cut cleanly?"."""

    finding_asked = Signal(object)
    field_asked = Signal(str)

    def __init__(self, desk: Desk, advisor: Advisor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 6, 6)
        box.setSpacing(8)
        self.breadcrumb = Breadcrumb(desk, self)
        box.addWidget(self.breadcrumb)
        self.limits_card = QFrame()
        self.limits_card.setObjectName("card")
        inner = QVBoxLayout(self.limits_card)
        inner.setContentsMargins(4, 6, 4, 6)
        self.limits = LimitList(desk.theme, desk.units)
        self.limits.picked.connect(self._on_limit)
        inner.addWidget(self.limits)
        self.more = QPushButton()
        self.more.setProperty("role", "choice")
        self.more.setFont(font(NOTE_PT))
        self.more.clicked.connect(self._on_more)
        inner.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        self.limits.fitted.connect(self._on_fitted)
        box.addWidget(self.limits_card)
        self.reason = ReasonCard(desk, self)
        self.reason.field_asked.connect(self.field_asked)
        box.addWidget(self.reason)
        self.remedies = RemediesView(desk, advisor, self)
        box.addWidget(self.remedies)
        self.findings = FindingsView(desk, self)
        self.findings.asked.connect(self.finding_asked)
        box.addWidget(self.findings)
        box.addStretch(1)
        desk.document.changed.connect(self.refresh)
        desk.selection.changed.connect(self.refresh)
        desk.theme.changed.connect(self.refresh)
        desk.units_changed.connect(self._on_units)

    def _on_limit(self, name: str) -> None:
        now = self._desk.selection.now
        cut_pass, contour = self._desk.cut_pass(), self._desk.contour()
        step = now.step
        if step is None and contour is not None and cut_pass is not None:
            step = contour.passes.index(cut_pass)
        self._desk.selection.set(Looked(now.contour, step, name, now.place_mm))

    def _on_more(self) -> None:
        self.limits.set_shows_all(not self.limits.shows_all)

    def _on_fitted(self, left: int) -> None:
        self.more.setVisible(left > 0 or self.limits.shows_all)
        self.more.setText("Only the worst" if not left else f"{left} more, all good")

    def _on_units(self) -> None:
        self.limits.system = self._desk.units
        self.findings.rebuild()
        self.refresh()

    def refresh(self) -> None:
        """Show the selection."""
        contour, cut_pass = self._desk.contour(), self._desk.cut_pass()
        limit = self._desk.limit()
        self.breadcrumb.refresh(contour, cut_pass, limit.label if limit is not None else "")
        limits = worst_first(cut_pass) if cut_pass is not None else ()
        self.limits_card.setVisible(bool(limits))
        self.limits.show_limits(limits, limit.name if limit is not None else "")
        self.reason.explain(limit.explained if limit is not None else None, cut_pass)
        self.remedies.refresh()
        report = self._desk.report
        self.findings.show_findings(all_findings(report) if report is not None else ())

    def value_text(self) -> str:
        """Return the chosen number, for the clipboard."""
        limit = self._desk.limit()
        number = self.reason.number
        if number is not None and self.reason.is_deeper:
            return number.lines()[0]
        return "" if limit is None else limit_words(limit, self._desk.units)
