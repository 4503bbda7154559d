"""The work page: the sentence, the sheet, the table, and the column that argues.

Below 1180 px the column becomes a drawer that lies over the sheet and is opened by a question.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, Qt, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QScrollArea,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.file_writing import FileWriter
from app.handover_commands import HandoverCommands
from app.quote_commands import QuoteCommands, Quoting
from app.views.contour_table import ContourTable
from app.views.drawing_link import DrawingLink
from app.views.drawing_marks import MarkTips, show_place
from app.views.drawing_page import DrawingPage
from app.views.drawing_task import TaskStrip, above_table
from app.views.quote_page import QuotePage
from app.views.reasons import CleanlyPage
from app.views.remedies_advisor import Advisor
from app.views.sentence import SentenceView
from app.views.sheet_panel import SheetPanel
from app.views.trial_page import TrialPage

if TYPE_CHECKING:
    from app.actions import Actions
    from app.desk import Desk
    from app.trial import Trial
    from core.errors import Finding

NARROW_PX = 1160
"""Width of the page below which the column becomes a drawer: a window of 1180 px less margins."""
_COLUMN_SHARE, _LEAST_COLUMN_PX, _MOST_COLUMN_PX = 0.30, 404, 520
_SHEET_SHARE = 0.58
_TAKES_THE_REST = 1
_DRAWING = 3
"""Place of the drawing page among the pages of the column; the questions stand before it."""


class Workbench(QWidget):
    """Everything about one job."""

    question_changed = Signal(int)

    def __init__(
        self, desk: Desk, trial: Trial, actions: Actions, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._desk = desk
        self.question = 1
        self._drawer: QFrame | None = None
        self._is_shared = False
        self._before = QByteArray(), QByteArray()
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(6)
        self.sentence = SentenceView(desk, self)
        box.addWidget(self.sentence)
        self.across = QSplitter(Qt.Orientation.Horizontal)
        self.down = QSplitter(Qt.Orientation.Vertical)
        self.sheet = SheetPanel(desk, actions)
        self.table = ContourTable(desk)
        self.tips = MarkTips(self.sheet.view)
        self.down.addWidget(self.sheet)
        self.tasks = TaskStrip(desk, self.sheet.view, self.table)
        self.down.addWidget(above_table(self.tasks, self.table))
        self.down.setStretchFactor(0, _TAKES_THE_REST)
        self.across.addWidget(self.down)
        self._make_papers(desk)
        self._make_column(desk, trial, actions)
        self.across.addWidget(self.column)
        self.across.setStretchFactor(0, _TAKES_THE_REST)
        for splitter in (self.across, self.down):
            splitter.setChildrenCollapsible(False)
            splitter.setHandleWidth(8)
        box.addWidget(self.across, 1)
        self.cleanly.field_asked.connect(self.sentence.open)
        self.cleanly.remedies.acted.connect(self._show_done)
        self._load()

    def _load(self) -> None:
        """Show what there is already: this page is made when the first job has arrived."""
        self.sentence.load()
        self.sheet.view.load()
        self.sheet.refresh()
        self.table.contour_model.load()
        self.cleanly.refresh()
        self.price.refresh()
        self.quoting.refresh()
        self.drawing.refresh()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Share the room when the page is first shown, as it was shared before if it was."""
        super().showEvent(event)
        if not self._is_shared:
            self._is_shared = True
            across, down = self._before
            if not (self.across.restoreState(across) and self.down.restoreState(down)):
                self.share()

    def share(self) -> None:
        """Give sheet, table and column their share of the page."""
        column = min(max(round(_COLUMN_SHARE * self.width()), _LEAST_COLUMN_PX), _MOST_COLUMN_PX)
        self.across.setSizes([self.width() - column, column])
        room = self.height() - self.sentence.height()
        self.down.setSizes([round(_SHEET_SHARE * room), round((1.0 - _SHEET_SHARE) * room)])

    def remember(self, across: QByteArray, down: QByteArray) -> None:
        """Take over how the room was shared before; it is shared so when the page is shown."""
        self._before = across, down

    def _make_papers(self, desk: Desk) -> None:
        """Make what leaves the window: the quote, the papers, the program."""
        self.quoting = Quoting(desk)
        self.writer = FileWriter(desk, self)
        quotes = QuoteCommands(desk, self.quoting, self.writer)
        machine = HandoverCommands(desk, self.writer)
        self.papers = {
            "quote_pdf": quotes.quote_pdf,
            "cost_pdf": quotes.cost_pdf,
            "workbook": quotes.workbook,
            "setup_sheet": machine.setup_sheet,
            "nc": machine.nc,
            "toolpaths": machine.toolpaths,
        }

    def _make_column(self, desk: Desk, trial: Trial, actions: Actions) -> None:
        self.advisor = Advisor(desk)
        self.cleanly = CleanlyPage(desk, self.advisor)
        self.price = QuotePage(desk, self.quoting, actions)
        self.trial_page = TrialPage(desk, trial, self.advisor)
        self.drawing = DrawingPage(desk)
        self.link = DrawingLink(desk, self)
        self.link.clicked.connect(self._on_link)
        self.pages = QStackedWidget()
        for page in (self.cleanly, self.price, self.trial_page, self.drawing):
            area = QScrollArea()
            area.setWidgetResizable(True)
            area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            area.setWidget(page)
            area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            self.pages.addWidget(area)
        self.column = QFrame()
        self.column.setObjectName("column")
        self.column.setMinimumWidth(_LEAST_COLUMN_PX)
        inner = QVBoxLayout(self.column)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.addWidget(self.link)
        inner.addWidget(self.pages)

    def finish(self) -> None:
        """Stop what is computed for this page: the window closes."""
        for worker in (self.advisor, self.quoting, self.writer):
            worker.close()

    def regions(self) -> list[QWidget]:
        """Return the parts that F6 goes through."""
        first = next(iter(self.sentence.findChildren(QWidget)), self.sentence)
        lever = next(iter(self.trial_page.levers.values()))
        pages: list[QWidget] = [self.cleanly.limits, self.price.time.lines, lever.quantity]
        page = self.drawing.layers.list if self.is_on_drawing else pages[self.question - 1]
        return [first, self.sheet.view, self.tasks.brackets["task"], self.table, page]

    def show_question(self, number: int) -> None:
        """Show the reasons for an answer."""
        is_same = number == self.question and not self.is_on_drawing
        self.question = number
        self._show_page(number - 1, toggles=is_same)
        self.question_changed.emit(number)

    def show_drawing(self) -> None:
        """Show how the drawing was read."""
        self._show_page(_DRAWING, toggles=self.is_on_drawing)

    def _show_page(self, index: int, *, toggles: bool) -> None:
        self.pages.setCurrentIndex(index)
        self.link.set_there(index == _DRAWING)
        if self._drawer is not None:
            self._drawer.setVisible(not (toggles and self._drawer.isVisible()))
            self._drawer.raise_()

    @property
    def is_on_drawing(self) -> bool:
        """Whether the column is about the drawing."""
        return self.pages.currentIndex() == _DRAWING

    def _on_link(self) -> None:
        if self.is_on_drawing:
            self.show_question(self.question)
        else:
            self.show_drawing()

    def show_noticed(self, finding: Finding) -> bool:
        """Show a finding in the list about the drawing, if that is shown and has it."""
        has_it = self.is_on_drawing and self.drawing.show_finding(finding)
        if has_it:
            show_place(self.sheet.view, finding)
            area = self.pages.widget(_DRAWING)
            assert isinstance(area, QScrollArea)
            self.drawing.adjustSize()
            area.ensureWidgetVisible(self.drawing.noticed.told)
        return has_it

    def show_card(self, finding: Finding) -> None:
        """Bring the card of a finding into view."""
        card = self.cleanly.findings.card_of(finding)
        area = self.pages.widget(0)
        if card is not None and isinstance(area, QScrollArea):
            self.cleanly.adjustSize()
            area.ensureWidgetVisible(card)

    def _show_done(self) -> None:
        area = self.pages.widget(0)
        if isinstance(area, QScrollArea):
            area.ensureWidgetVisible(self.cleanly.remedies.done)

    def show_reason(self) -> None:
        """Bring the formula into view and give it the focus."""
        area = self.pages.widget(0)
        if isinstance(area, QScrollArea):
            area.ensureWidgetVisible(self.cleanly.reason)
        self.cleanly.reason.text.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def has_drawer(self) -> bool:
        """Whether the column is a drawer now."""
        return self._drawer is not None

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Turn the column into a drawer, or back."""
        super().resizeEvent(event)
        is_narrow = self.width() < NARROW_PX
        if is_narrow and self._drawer is None:
            self._drawer = QFrame(self)
            self._drawer.setObjectName("drawer")
            self._drawer.setAutoFillBackground(True)
            inner = QVBoxLayout(self._drawer)
            inner.setContentsMargins(10, 0, 0, 0)
            inner.addWidget(self.column)
            self._drawer.hide()
        elif not is_narrow and self._drawer is not None:
            self.across.addWidget(self.column)
            self.column.show()
            self.share()
            self._drawer.deleteLater()
            self._drawer = None
        if self._drawer is not None:
            top = self.across.y()
            width = min(_LEAST_COLUMN_PX + 26, self.width())
            self._drawer.setGeometry(self.width() - width, top, width, self.height() - top)
