"""The three questions and their answers, always there; picking one changes the column only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QSizePolicy, QWidget

from app.desk import all_findings
from app.theme import ANSWER_PT, NOTE_PT, font
from app.widgets.mark import mark
from core.errors import Severity
from core.units import duration

if TYPE_CHECKING:
    from app.desk import Desk
    from app.quote_commands import Quoted
    from app.theme import Theme
    from app.trial import Trial
    from core.report.records import Report

QUESTIONS = ("Will it cut cleanly?", "How long, and what price?", "What if I change this?")
_CLEANLY = {"yes": "Yes", "tight": "Yes, but tight", "no": "Not yet"}
_PAD = 12


@dataclass(frozen=True, slots=True)
class Answer:
    """What a card says: the answer, chips of severity and words, and a note."""

    text: str
    note: str = ""
    chips: tuple[tuple[str, str], ...] = ()


class AnswerCard(QAbstractButton):
    """One question with its answer; checked while its reasons are shown."""

    def __init__(self, question: str, keys: str, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.question, self._keys, self._theme = question, keys, theme
        self.answer = Answer("\u2013")
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.say(self.answer)

    def say(self, answer: Answer) -> None:
        """Show an answer."""
        self.answer = answer
        chips = ", ".join(words for _, words in answer.chips)
        self.setAccessibleName(" ".join(filter(None, (self.question, answer.text, chips))))
        self.setAccessibleDescription(answer.note)
        self.setToolTip(answer.note)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return room for three lines."""
        small, big = QFontMetricsF(font(NOTE_PT)), QFontMetricsF(font(ANSWER_PT, bold=True))
        return QSize(300, round(2 * small.height() + big.height() + 24))

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the card."""
        colours = self._theme.palette
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        painter.setPen(QPen(QColor(colours.focus if on else colours.hairline), 2 if on else 1))
        painter.setBrush(QColor(colours.paper))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 6, 6)
        if self.hasFocus():
            painter.setPen(QPen(QColor(colours.focus), 1, Qt.PenStyle.DotLine))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(4, 4, -4, -4), 4, 4)
        self._paint_words(painter)
        painter.end()

    def _paint_words(self, painter: QPainter) -> None:
        colours = self._theme.palette
        small, big = font(NOTE_PT), font(ANSWER_PT, bold=True)
        width, y = self.width() - 2.0 * _PAD, 8.0
        painter.setFont(small)
        painter.setPen(QColor(colours.muted))
        line = QFontMetricsF(small)
        painter.drawText(QPointF(_PAD, y + line.ascent()), self.question)
        keys = line.horizontalAdvance(self._keys)
        painter.drawText(QPointF(_PAD + width - keys, y + line.ascent()), self._keys)
        y += line.height() + 2
        painter.setFont(big)
        painter.setPen(QColor(colours.ink))
        large = QFontMetricsF(big)
        room = width - sum(line.horizontalAdvance(words) + 36 for _, words in self.answer.chips)
        text = large.elidedText(self.answer.text, Qt.TextElideMode.ElideRight, max(room, 60.0))
        painter.drawText(QPointF(_PAD, y + large.ascent()), text)
        x = _PAD + large.horizontalAdvance(text) + 10
        for severity, words in self.answer.chips:
            x = self._paint_chip(painter, severity, words, x, y + large.height() / 2) + 6
        y += large.height() + 2
        painter.setFont(small)
        painter.setPen(QColor(colours.muted))
        note = line.elidedText(self.answer.note, Qt.TextElideMode.ElideRight, width)
        painter.drawText(QPointF(_PAD, y + line.ascent()), note)

    def _paint_chip(
        self, painter: QPainter, severity: str, words: str, x: float, y: float
    ) -> float:
        """Draw a filled label with the mark of its severity; return where it ends."""
        colours = self._theme.palette
        fill, ink = colours.chip[severity]
        small = font(NOTE_PT, bold=True)
        metrics = QFontMetricsF(small)
        width, height = metrics.horizontalAdvance(words) + 28, metrics.height() + 4
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(fill))
        painter.drawRoundedRect(QRectF(x, y - height / 2, width, height), 4, 4)
        mark(painter, colours, severity, QPointF(x + 11, y), 5.0, ink)
        painter.setFont(small)
        painter.setPen(QColor(ink))
        painter.drawText(QPointF(x + 20, y - metrics.height() / 2 + metrics.ascent()), words)
        return x + width


class AnswersBar(QWidget):
    """The three cards."""

    picked = Signal(int)

    def __init__(self, desk: Desk, trial: Trial, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._trial = desk, trial
        self._quoted: Quoted | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self._group = QButtonGroup(self)
        self.cards: list[AnswerCard] = []
        for number, question in enumerate(QUESTIONS, 1):
            card = AnswerCard(question, f"Ctrl+{number}", desk.theme, self)
            self._group.addButton(card, number)
            self.cards.append(card)
            row.addWidget(card, 1)
        self._group.idClicked.connect(self.picked)
        desk.document.changed.connect(self.refresh)
        desk.units_changed.connect(self.refresh)
        trial.changed.connect(self.refresh)
        desk.theme.changed.connect(self.update)
        self.refresh()

    def pick(self, number: int) -> None:
        """Show which question is being answered."""
        self._group.button(number).setChecked(True)

    def show_quote(self, quoted: Quoted | None) -> None:
        """Say the price of a quote while it is that of the present plan."""
        self._quoted = quoted
        self.refresh()

    def refresh(self) -> None:
        """Say the answers that hold now."""
        document = self._desk.document
        report = document.report
        if report is None:
            why = str(document.problem) if document.problem is not None else ""
            words = "Not planned" if why else "\u2013"
            answers = [
                Answer(words, why or "limits of every pass, and why"),
                Answer(words if why else "\u2013", "time and price of the job"),
            ]
        else:
            price = price_answer(report, document.job.quantity, self._quoted)
            answers = [cleanly_answer(report), price]
        answers.append(trial_answer(self._trial, report))
        for card, answer in zip(self.cards, answers, strict=True):
            card.say(answer)


def cleanly_answer(report: Report) -> Answer:
    """Return the answer to the first question."""
    from core.report.records import State, worst_limit

    answer = report.answer
    chips = []
    if answer.outside:
        chips.append(("outside", f"{answer.outside} outside"))
    if answer.tight:
        chips.append(("tight", f"{answer.tight} tight"))
    note = "all limits are good" if report.contours else "nothing to cut"
    found = worst_limit(report)
    gravest = next((f for f in all_findings(report) if f.severity is Severity.OUTSIDE), None)
    if gravest is not None and (found is None or found[2].state is not State.OUTSIDE):
        note = gravest.message
    elif found is not None:
        contour, cut_pass, limit = found
        note = f"worst: {contour.id} {contour.name}, {cut_pass.step}: {limit.label}"
    return Answer(_CLEANLY.get(answer.cleanly, answer.cleanly), note, tuple(chips))


def price_answer(report: Report, quantity: int, quoted: Quoted | None = None) -> Answer:
    """Return the answer to the second question."""
    time_s = report.totals.cycle_time_s
    many = f"all {quantity}" if quantity > 1 else "one"
    made = quoted.quote if quoted is not None and quoted.results.report is report else None
    price = report.price if made is None else made.price
    if price is None:
        return Answer(duration(time_s), f"machine time for {many}; price not computed")
    nested = "" if made is None else ", nested"
    note = f"machine time for {many}; price a part, {price.total} {price.currency} in all{nested}"
    return Answer(f"{duration(time_s)} \u00b7 {price.per_part} {price.currency}", note)


def trial_answer(trial: Trial, plan: Report | None) -> Answer:
    """Return the answer to the third question."""
    if not trial.is_open:
        return Answer("No trial open", "move a lever and see what follows; the plan stays")
    if trial.problem is not None:
        return Answer("Trial does not plan", str(trial.problem))
    if plan is None or trial.report is None:
        return Answer("Trial open", trial.words())
    change_s = trial.report.totals.cycle_time_s - plan.totals.cycle_time_s
    sign = "\u2212" if change_s < 0 else "+"
    return Answer(f"{sign}{duration(abs(change_s))} against the plan", trial.words())
