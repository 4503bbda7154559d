"""The column for the second question: time by kind and the price, adding up on the screen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QFrame,
    QHeaderView,
    QLabel,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.numbers import tidy
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.explanation import explanation_html
from core.units import duration

if TYPE_CHECKING:
    from app.theme import Palette
    from core.quote.price import Price
    from core.report.records import Totals
    from core.units import UnitSystem

_REASON = Qt.ItemDataRole.UserRole
_ROW_PX = 24

_KINDS = (
    ("cutting", "cutting_s", "main cuts at the speed that the machine really reaches"),
    ("moving between cuts", "moving_s", "rapid moves, lifts and lowerings"),
    ("entering and leaving", "entering_s", "ramps, leads in and out"),
    ("spindle changes", "spindle_changes_s", "the spindle's ramp between two speeds"),
    ("cutter changes", "cutter_changes_s", "the machine's time for a change of cutter"),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its name, its amount as shown, where it comes from, whether it is a sum."""

    name: str
    amount: str
    reason: str
    is_sum: bool = False


class Ledger(QFrame):
    """A list of lines and their sum; the chosen line tells where its number comes from."""

    def __init__(self, title: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        self.head = QLabel(title)
        self.head.setFont(font(TEXT_PT, bold=True))
        box.addWidget(self.head)
        self.lines = QTreeWidget()
        self.lines.setColumnCount(2)
        self.lines.setHeaderHidden(True)
        self.lines.setRootIsDecorated(False)
        self.lines.setProperty("role", "bare")
        self.lines.setAccessibleName(title)
        self.lines.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = self.lines.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.lines.currentItemChanged.connect(self._on_current)
        box.addWidget(self.lines)
        self.reason = QLabel()
        self.reason.setWordWrap(True)
        self.reason.setProperty("role", "muted")
        self.reason.setFont(font(NOTE_PT))
        self.reason.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.addWidget(self.reason)

    def set_title(self, title: str) -> None:
        """Call the ledger something else."""
        self.head.setText(title)
        self.lines.setAccessibleName(title)

    def show_lines(self, lines: list[Line]) -> None:
        """Show these lines; the chosen one stays chosen."""
        chosen = self.lines.currentIndex().row() if self.lines.selectedItems() else -1
        self.lines.blockSignals(True)
        self.lines.clear()
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for line in lines:
            item = QTreeWidgetItem([line.name, line.amount])
            item.setData(0, _REASON, line.reason)
            item.setTextAlignment(1, right)
            for column in (0, 1):
                item.setFont(column, font(TEXT_PT, bold=line.is_sum))
            self.lines.addTopLevelItem(item)
        self.lines.blockSignals(False)
        self.lines.setFixedHeight(len(lines) * _ROW_PX + 4)
        if 0 <= chosen < len(lines):
            self.lines.setCurrentIndex(self.lines.model().index(chosen, 0))
        else:
            self._on_current(None)

    def rows(self) -> list[tuple[str, ...]]:
        """Return the lines as texts."""
        items = [self.lines.topLevelItem(row) for row in range(self.lines.topLevelItemCount())]
        return [(item.text(0), item.text(1)) for item in items if item is not None]

    def _on_current(self, item: QTreeWidgetItem | None) -> None:
        text = item.data(0, _REASON) if item is not None else ""
        self.reason.setText(text or "Pick a line to see where its number comes from.")


def time_lines(totals: Totals) -> list[Line]:
    """Return the machine time by kind, with its sum."""
    lines = [Line(name, duration(getattr(totals, key)), reason) for name, key, reason in _KINDS]
    known = sum(getattr(totals, key) for _, key, _ in _KINDS)
    rest = totals.cycle_time_s - known
    if abs(rest) >= 0.05:
        lines.append(Line("other", duration(rest), "what the lines above leave"))
    total = duration(totals.cycle_time_s)
    return [*lines, Line("cycle time", total, "the sum of the lines", is_sum=True)]


def price_lines(price: Price, colours: Palette, system: UnitSystem) -> list[Line]:
    """Return the lines of a price with their reasons, and its sums."""
    money = price.currency
    lines = [
        Line(
            line.name,
            tidy(f"{line.amount} {money}"),
            explanation_html(line.explained, colours, system),
        )
        for line in price.lines
    ]
    each = "the unit price"
    return [
        *lines,
        Line("in all", f"{price.total} {money}", "the sum of the lines", is_sum=True),
        Line("a part", f"{price.per_part} {money}", each, is_sum=True),
    ]
