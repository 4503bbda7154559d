"""The column for the second question: the ledger of the quote, what moves it, time by kind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.clipboard import Table
from app.numbers import quantity, tidy
from app.theme import NOTE_PT, TEXT_PT, font
from app.views.ledger import Ledger, price_lines, time_lines
from app.views.quote_tables import breaks_html, plain_rows, range_html, slopes_html

if TYPE_CHECKING:
    from PySide6.QtGui import QShowEvent

    from app.actions import Actions
    from app.desk import Desk
    from app.quote_commands import Quoted, Quoting
    from core.report.records import Report

PAPERS = ("quote_pdf", "cost_pdf", "workbook", "setup_sheet", "nc", "toolpaths")


class QuotePage(QWidget):
    """Time and price of the job, and the papers that leave the window."""

    def __init__(
        self, desk: Desk, quoting: Quoting, actions: Actions, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._desk, self._quoting = desk, quoting
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 6, 6)
        box.setSpacing(8)
        self.price = Ledger("Price", self)
        self.time = Ledger("Machine time of the job", self)
        self.range = TextCard("What the price may come to", self)
        self.slopes = TextCard("What moves the price of a part most", self)
        self.breaks = TextCard("By quantity", self)
        self.noticed = TextCard("Noticed", self)
        for widget in (self.price, self.range, self.slopes, self.breaks, self.noticed, self.time):
            box.addWidget(widget)
        self.about = QLabel()
        self.about.setWordWrap(True)
        self.about.setFont(font(NOTE_PT))
        self.about.setProperty("role", "muted")
        box.addWidget(self.about)
        box.addWidget(self._papers(actions))
        box.addStretch(1)
        desk.document.changed.connect(self.refresh)
        desk.units_changed.connect(self.refresh)
        desk.theme.changed.connect(self.refresh)
        quoting.changed.connect(self.refresh)

    def _papers(self, actions: Actions) -> QFrame:
        card = QFrame()
        card.setObjectName("card")
        grid = QGridLayout(card)
        grid.setContentsMargins(12, 8, 12, 10)
        head = QLabel("To hand over")
        head.setFont(font(TEXT_PT, bold=True))
        grid.addWidget(head, 0, 0, 1, 2)
        self.buttons: dict[str, QPushButton] = {}
        for place, name in enumerate(PAPERS):
            action = actions[name]
            button = QPushButton(action.text())
            button.setProperty("role", "plain")
            button.setToolTip(action.shortcut().toString())
            button.clicked.connect(action.trigger)
            grid.addWidget(button, 1 + place // 2, place % 2)
            self.buttons[name] = button
        return card

    def quoted(self) -> Quoted | None:
        """Return the quote, if it is that of the present plan."""
        quoted = self._quoting.quoted
        return quoted if quoted is not None and quoted.results is self._desk.results else None

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Bring the page up to date when it comes into view."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Show the numbers that hold now, while somebody can see them."""
        if not self.isVisible():
            return
        report = self._desk.report
        for widget in (self.time, self.price, self.about):
            widget.setVisible(report is not None)
        if report is None:
            return
        self.time.show_lines(time_lines(report.totals))
        units = self._desk.units
        cut = quantity(report.totals.cut_mm, "mm", units)
        rapid = quantity(report.totals.rapid_mm, "mm", units)
        self.about.setText(
            f"Cut {cut}, rapid moves {rapid}, {len(report.sheets)} sheet"
            f"{'s' if len(report.sheets) != 1 else ''} with the parts in rows. A plan's time and "
            "price are estimates."
        )
        self._show_quote(self.quoted(), report)

    def _show_quote(self, quoted: Quoted | None, report: Report) -> None:
        colours, units = self._desk.theme.palette, self._desk.units
        made = quoted.quote if quoted is not None else None
        price = made.price if made is not None else None
        problem = quoted.problem if quoted is not None else ""
        shown = price if price is not None else (None if quoted is not None else report.price)
        self.price.setVisible(shown is not None)
        if shown is not None:
            sheets = made.work.sheet_count if made is not None else 0
            nested = f"nested on {sheets} sheet{'s' if sheets != 1 else ''}"
            self.price.set_title(
                f"Price, {nested}" if made is not None else "Price with the parts in rows"
            )
            self.price.show_lines(price_lines(shown, colours, units))
        money = price.currency if price is not None else ""
        per_range = made.range if made is not None and price is not None else None
        self.range.say(range_html(per_range, money) if per_range is not None else "")
        self.slopes.say(slopes_html(made.slopes, money) if made is not None and price else "")
        self.breaks.say(breaks_html(made, money, colours) if made is not None and price else "")
        notes = [problem] if problem else []
        notes += [finding.message for finding in made.findings] if made is not None else []
        self.noticed.say(plain_rows(notes))

    def table(self) -> Table:
        """Return what is shown for the clipboard: price, breaks and time."""
        rows = [*self.price.rows()]
        quoted = self.quoted()
        if quoted is not None and quoted.quote is not None:
            for one in quoted.quote.breaks:
                rows.append((f"a part at {one.quantity}", str(one.per_part)))
        return Table(("line", "amount"), (*rows, *self.time.rows()))


class TextCard(QFrame):
    """A heading with a few lines below it; nothing to say: not there."""

    def __init__(self, title: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        box = QVBoxLayout(self)
        box.setContentsMargins(12, 8, 12, 10)
        box.setSpacing(4)
        head = QLabel(title)
        head.setFont(font(TEXT_PT, bold=True))
        box.addWidget(head)
        self.text = QLabel()
        self.text.setTextFormat(Qt.TextFormat.RichText)
        self.text.setWordWrap(True)
        self.text.setFont(font(NOTE_PT))
        self.text.setAccessibleName(title)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.addWidget(self.text)
        self.hide()

    def say(self, text: str) -> None:
        """Show rich text."""
        self.text.setText(tidy(text))
        self.setVisible(bool(text))
