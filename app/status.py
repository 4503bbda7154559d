"""The status bar: what happened, progress with Cancel, and the units, currency and version."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import (
    QLabel,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QStatusBar,
    QWidget,
)

from app.theme import NOTE_PT, font
from core.units import UnitSystem

if TYPE_CHECKING:
    from app.desk import Desk

_SHOW_AFTER_MS = 250
"""Work that ends sooner shows no progress bar: it would only flicker. [ms]."""


class StatusBar(QStatusBar):
    """Says what goes on."""

    cancel_asked = Signal()
    units_asked = Signal()

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._is_busy = False
        self.setSizeGripEnabled(False)
        self.setContentsMargins(10, 0, 10, 4)
        self.message = QLabel()
        self.message.setFont(font(NOTE_PT))
        self.message.setAccessibleName("What happened last")
        self.message.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.addWidget(self.message, 1)
        self.bar = QProgressBar()
        self.bar.setRange(0, 100)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(140)
        self.bar.setAccessibleName("Progress")
        self.cancel = QPushButton("Cancel")
        self.cancel.setProperty("role", "plain")
        self.cancel.clicked.connect(self.cancel_asked)
        self.units = QPushButton()
        self.units.setProperty("role", "choice")
        self.units.setFont(font(NOTE_PT))
        self.units.setToolTip("Millimetres or inches (Ctrl+U)")
        self.units.clicked.connect(self.units_asked)
        self.about = QLabel()
        self.about.setFont(font(NOTE_PT))
        self.about.setProperty("role", "muted")
        self._version = ""
        for widget in (self.bar, self.cancel, self.units, self.about):
            self.addPermanentWidget(widget)
        self.bar.hide()
        self.cancel.hide()
        self._show = QTimer(self, singleShot=True, interval=_SHOW_AFTER_MS)
        self._show.timeout.connect(self._show_bar)
        desk.units_changed.connect(self.refresh)
        desk.document.changed.connect(self.refresh)
        self.refresh()

    def say(self, text: str) -> None:
        """Say what happened; a line that is too long for the bar is whole in its tip."""
        self.message.setText(text)
        self.message.setToolTip(text)

    def set_version(self, version: str) -> None:
        """Show the version of the program."""
        self._version = version
        self.refresh()

    def refresh(self) -> None:
        """Show units, currency and version."""
        is_inch = self._desk.units is UnitSystem.INCH
        self.units.setText("in" if is_inch else "mm")
        self.units.setAccessibleName(f"units: {'inches' if is_inch else 'millimetres'}")
        report = self._desk.report
        price = report.price if report is not None else None
        words = ["\u00b0C", price.currency if price is not None else "", self._version]
        self.about.setText(" \u00b7 ".join(filter(None, words)))

    def set_busy(self, is_busy: bool, text: str = "") -> None:
        """Show progress if it takes long enough to be seen."""
        self._is_busy = is_busy
        if is_busy:
            self.bar.setValue(0)
            if text:
                self.say(text)
            self._show.start()
        else:
            self._show.stop()
            self.bar.hide()
            self.cancel.hide()

    def set_making(self, is_busy: bool) -> None:
        """Show that a paper or a program is being made."""
        self.set_busy(is_busy, "Making the file")

    def set_share(self, share: float) -> None:
        """Show which share is done."""
        self.bar.setValue(round(100 * share))

    def _show_bar(self) -> None:
        self.bar.setVisible(self._is_busy)
        self.cancel.setVisible(self._is_busy)
