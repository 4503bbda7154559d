"""Warnings as cards: what was noticed, how much it weighs by word, shape and fill, and where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.numbers import in_units
from app.theme import NOTE_PT, TEXT_PT, font
from app.widgets.mark import mark, mark_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.desk import Desk
    from app.theme import Theme
    from core.errors import Finding

_AT_ONCE = 20
"""Cards made at once; more are made when they are asked for."""


class Chip(QWidget):
    """A small filled label with the mark of a severity."""

    def __init__(self, severity: str, words: str, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._severity, self._words, self._theme = severity, words, theme
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(words)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Return the size of the words and the mark."""
        metrics = QFontMetricsF(font(NOTE_PT, bold=True))
        return QSize(
            round(metrics.horizontalAdvance(self._words) + 30), round(metrics.height() + 4)
        )

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint the chip; a note is outlined, not filled."""
        colours = self._theme.palette
        fill, ink = colours.chip.get(self._severity, (colours.paper, colours.ink))
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        is_note = self._severity not in colours.chip
        painter.setPen(QColor(colours.border) if is_note else Qt.PenStyle.NoPen)
        painter.setBrush(QColor(fill))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), 4, 4)
        mark(painter, colours, self._severity, QPointF(12, self.height() / 2), 5.0, ink)
        painter.setPen(QColor(ink))
        painter.setFont(font(NOTE_PT, bold=True))
        words = QRectF(self.rect()).adjusted(21, 0, 0, 0)
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self._words)
        painter.end()


class FindingCard(QFrame):
    """One finding."""

    asked = Signal(object)

    def __init__(self, finding: Finding, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.finding = finding
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        head = QHBoxLayout()
        word = finding.severity.value + (", repaired" if finding.repaired else "")
        head.addWidget(Chip(mark_of(finding), word, desk.theme, self))
        head.addStretch(1)
        if finding.at_mm is not None or finding.contour_id is not None:
            button = QPushButton("Show")
            button.setProperty("role", "plain")
            button.setAccessibleName(f"Show the place of: {finding.message}")
            button.clicked.connect(self._ask)
            head.addWidget(button)
        box.addLayout(head)
        text = QLabel(in_units(finding.message, desk.units))
        text.setFont(font(TEXT_PT))
        text.setWordWrap(True)
        text.setTextFormat(Qt.TextFormat.PlainText)
        text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.addWidget(text)

    def _ask(self) -> None:
        self.asked.emit(self.finding)

    def mouseDoubleClickEvent(self, _event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        """Show the place."""
        self._ask()


class FindingsView(QWidget):
    """All findings, the gravest first."""

    asked = Signal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._findings: tuple[Finding, ...] = ()
        self._cards: list[FindingCard] = []
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(8)
        self._more = QPushButton("")
        self._more.setProperty("role", "plain")
        self._more.clicked.connect(self._show_more)
        self._more.hide()
        self._box.addWidget(self._more)

    def show_findings(self, findings: Sequence[Finding]) -> None:
        """Show these findings; cards of the same findings stay."""
        if tuple(findings) == self._findings:
            return
        self._findings = tuple(findings)
        for card in self._cards:
            self._box.removeWidget(card)
            card.hide()
            card.deleteLater()
        self._cards.clear()
        self._show_more()

    def rebuild(self) -> None:
        """Write the cards anew, in other units."""
        findings, self._findings = self._findings, ()
        self.show_findings(findings)

    def card_of(self, finding: Finding) -> FindingCard | None:
        """Return the card of a finding, making the cards up to it."""
        if finding not in self._findings:
            return None
        while len(self._cards) <= self._findings.index(finding):
            self._show_more()
        return self._cards[self._findings.index(finding)]

    def _show_more(self) -> None:
        made = len(self._cards)
        for finding in self._findings[made : made + _AT_ONCE]:
            card = FindingCard(finding, self._desk, self)
            card.asked.connect(self.asked)
            self._box.insertWidget(self._box.count() - 1, card)
            self._cards.append(card)
        left = len(self._findings) - len(self._cards)
        self._more.setVisible(left > 0)
        self._more.setText(f"Show more warnings ({left} left)")
