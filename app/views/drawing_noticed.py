"""What is asked about a drawing and what was repaired in it: a list of kinds with their places.

A kind of repair has a button that refuses it, or wants it again; a place is shown on the sheet
when it becomes the current one.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QFrame,
    QHeaderView,
    QLabel,
    QPushButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.drawing_commands import REPAIRS
from app.numbers import in_units
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.drawing_words import grade_of, place_words, short_title
from app.widgets.mark import mark, mark_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from app.desk import Desk
    from app.theme import Palette
    from core.errors import Finding

_FINDING = Qt.ItemDataRole.UserRole
_ROW_PX, _LEAST_ROWS, _MOST_ROWS = 24, 2, 12
_ICON_PX = 18
_NOTHING = "Nothing had to be repaired, nothing is asked."


class RepairButton(QPushButton):
    """Refuses a kind of repair, or wants it again."""

    asked = Signal(str, bool)

    def __init__(self, code: str, is_refused: bool) -> None:
        repair = REPAIRS[code]
        super().__init__("Repair them" if is_refused else repair.refuse)
        self._code, self._is_refused = code, is_refused
        self.setProperty("role", "choice")
        self.setFont(font(NOTE_PT))
        about = repair.left if is_refused else repair.title
        self.setAccessibleName(f"{self.text()}, now: {about}")
        self.clicked.connect(self._ask)

    def _ask(self) -> None:
        self.asked.emit(self._code, self._is_refused)


class NoticedCard(QFrame):
    """Findings of a drawing, by kind."""

    place_asked = Signal(object)
    repair_asked = Signal(str, bool)

    def __init__(self, desk: Desk, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._desk = desk
        self._shown: tuple[object, ...] = ()
        self._rows: list[tuple[Finding, QTreeWidgetItem]] = []
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        self.title = QLabel()
        self.title.setFont(font(TEXT_PT, bold=True))
        box.addWidget(self.title)
        self.list = self._make_list()
        box.addWidget(self.list)
        self.told = QLabel()
        self.told.setFont(font(TEXT_PT))
        self.told.setWordWrap(True)
        self.told.setTextFormat(Qt.TextFormat.PlainText)
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.told.setAccessibleName("What was noticed there")
        box.addWidget(self.told)

    def _make_list(self) -> QTreeWidget:
        out = QTreeWidget()
        out.setColumnCount(2)
        out.setHeaderHidden(True)
        out.setProperty("role", "bare")
        out.setIconSize(QSize(_ICON_PX, _ICON_PX))
        out.setIndentation(14)
        out.setAccessibleName("Repaired or asked, by kind; Right opens the places of a kind")
        out.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = out.header()
        header.setStretchLastSection(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        out.currentItemChanged.connect(self._on_current)
        out.itemClicked.connect(self._on_clicked)
        out.itemExpanded.connect(self._fit)
        out.itemCollapsed.connect(self._fit)
        return out

    def show_findings(self, findings: Sequence[Finding], refused: Iterable[str]) -> None:
        """Show these findings, and the kinds of repair that are refused."""
        left = frozenset(refused)
        shown = (tuple(findings), left, self._desk.units, self._desk.theme.palette.name)
        if shown == self._shown:
            return
        self._shown = shown
        open_codes = self._open_codes()
        self.list.blockSignals(True)
        self.list.clear()
        self._rows = []
        for (code, grade), group in groupby(findings, key=_kind):
            self._add_kind(code, grade, list(group), left, code in open_codes)
        for code in sorted(left & set(REPAIRS) - {f.code for f in findings}):
            item = QTreeWidgetItem([REPAIRS[code].left])
            self.list.addTopLevelItem(item)
            self._add_button(item, code, True)
        self.list.blockSignals(False)
        self._say_title(findings)
        self._tell(None)
        self._fit()

    def _open_codes(self) -> set[str]:
        tops = [self.list.topLevelItem(row) for row in range(self.list.topLevelItemCount())]
        return {str(item.data(1, _FINDING)) for item in tops if item and item.isExpanded()}

    def _add_kind(
        self, code: str, grade: str, findings: list[Finding], refused: frozenset[str], is_open: bool
    ) -> None:
        palette, system = self._desk.theme.palette, self._desk.units
        many = f" \u00b7 {len(findings)}" if len(findings) > 1 else ""
        is_refused = code in refused
        words = REPAIRS[code].left if is_refused else short_title(findings[0])
        top = QTreeWidgetItem([f"{grade}: {words}{many}"])
        top.setIcon(0, _icon(palette, mark_of(findings[0])))
        top.setData(0, _FINDING, findings[0])
        top.setData(1, _FINDING, code)
        self.list.addTopLevelItem(top)
        if len(findings) == 1:
            self._rows.append((findings[0], top))
        for number, finding in enumerate(findings if len(findings) > 1 else ()):
            child = QTreeWidgetItem([f"{number + 1}  {place_words(finding.at_mm, system)}"])
            child.setData(0, _FINDING, finding)
            child.setFont(0, font(NOTE_PT))
            top.addChild(child)
            self._rows.append((finding, child))
        if code in REPAIRS:
            self._add_button(top, code, is_refused)
        else:
            top.setFirstColumnSpanned(True)
        top.setExpanded(is_open)

    def _add_button(self, item: QTreeWidgetItem, code: str, is_refused: bool) -> None:
        button = RepairButton(code, is_refused)
        button.asked.connect(self.repair_asked)
        self.list.setItemWidget(item, 1, button)

    def _say_title(self, findings: Sequence[Finding]) -> None:
        repaired = sum(f.repaired for f in findings)
        asked = sum(grade_of(f) in ("asked", "outside") for f in findings)
        words = f"Repaired {repaired}, asked {asked}" if findings else _NOTHING
        self.title.setText(words)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is listed, in its order."""
        return tuple(finding for finding, _ in self._rows)

    def show_current(self, finding: Finding) -> None:
        """Make a finding the current one, opening its kind; nothing is asked by it."""
        for known, item in self._rows:
            if known == finding:
                self.list.blockSignals(True)
                self.list.setCurrentItem(item)
                self.list.blockSignals(False)
                self._fit()
                self.list.scrollToItem(item)
                self._tell(finding)
                return

    def _tell(self, finding: Finding | None) -> None:
        self.told.setVisible(finding is not None)
        if finding is not None:
            self.told.setText(in_units(finding.message, self._desk.units))

    def _on_current(self, item: QTreeWidgetItem | None) -> None:
        finding = item.data(0, _FINDING) if item is not None else None
        self._tell(finding)
        if finding is not None:
            self.place_asked.emit(finding)

    def _on_clicked(self, item: QTreeWidgetItem) -> None:
        """Go to the place again, should the sheet have been moved meanwhile."""
        finding = item.data(0, _FINDING)
        if finding is not None:
            self.place_asked.emit(finding)

    def _fit(self) -> None:
        rows = 0
        for row in range(self.list.topLevelItemCount()):
            item = self.list.topLevelItem(row)
            rows += 1 + (item.childCount() if item is not None and item.isExpanded() else 0)
        self.list.setVisible(rows > 0)
        self.list.setFixedHeight(min(max(rows, _LEAST_ROWS), _MOST_ROWS) * _ROW_PX + 6)


def _kind(finding: Finding) -> tuple[str, str]:
    return finding.code, grade_of(finding)


def _icon(palette: Palette, severity: str) -> QIcon:
    pixmap = QPixmap(2 * _ICON_PX, 2 * _ICON_PX)
    pixmap.setDevicePixelRatio(2.0)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    mark(painter, palette, severity, QPointF(_ICON_PX / 2, _ICON_PX / 2), 6.0)
    painter.end()
    return QIcon(pixmap)
