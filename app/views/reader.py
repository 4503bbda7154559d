"""A page of text over the window: keys, what is new, about. Escape or the button closes it."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QTextBrowser, QVBoxLayout, QWidget

from app.actions import ACTIONS, MENUS, sequences
from app.theme import ANSWER_PT, font

if TYPE_CHECKING:
    from collections.abc import Sequence

_WIDTH, _MARGIN = 640, 60
_NATIVE = QKeySequence.SequenceFormat.NativeText

CAUTIONS = (
    "A plan is an estimate. The makers of cutter, machine and sheet, local rules and qualified "
    "people come first.",
    "Loose and flying parts, fire, fumes, dust and noise are dangers of this work: hold every "
    "piece that comes free, never leave a running cut alone, draw off dust and fumes, and wear "
    "eye and ear protection.",
)


class Reader(QFrame):
    """Shows one page."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("editor")
        self.setAutoFillBackground(True)
        self._over = parent
        box = QVBoxLayout(self)
        box.setContentsMargins(16, 12, 16, 12)
        self.title = QLabel()
        self.title.setFont(font(ANSWER_PT, bold=True))
        box.addWidget(self.title)
        self.text = QTextBrowser()
        self.text.setFrameShape(QFrame.Shape.NoFrame)
        self.text.setAccessibleName("Text")
        self.text.setOpenLinks(False)
        box.addWidget(self.text)
        self.close_button = QPushButton("Close")
        self.close_button.setProperty("role", "plain")
        self.close_button.clicked.connect(self.hide)
        box.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignRight)
        self.hide()

    def show_page(self, title: str, markdown: str) -> None:
        """Show a page of Markdown."""
        self.title.setText(title)
        self.text.setMarkdown(markdown)
        width = min(_WIDTH, self._over.width() - _MARGIN)
        height = self._over.height() - 2 * _MARGIN
        self.setGeometry((self._over.width() - width) // 2, _MARGIN, width, height)
        self.show()
        self.raise_()
        self.text.setFocus(Qt.FocusReason.PopupFocusReason)

    def event(self, event: QEvent) -> bool:
        """Keep Escape for this page while it is open."""
        is_override = event.type() is QEvent.Type.ShortcutOverride
        if is_override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Close with Escape."""
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)


def page(name: str, version: str, cautions: Sequence[str]) -> tuple[str, str]:
    """Return the title and the Markdown of a page: "keys", "news" or "about"."""
    if name == "keys":
        return "Keyboard", keys_page()
    if name == "news":
        return "What\u2019s new", news_page()
    return "About", about_page(version, cautions)


def keys_page() -> str:
    """Return the keyboard map, from the table of actions."""
    lines: list[str] = []
    for menu in MENUS:
        rows = [(spec.text, sequences(spec)) for spec in ACTIONS if spec.menu == menu]
        lines += [f"### {menu}", "", "| keys | does |", "| --- | --- |"]
        for text, keys in rows:
            if keys:
                shown = " or ".join(key.toString(_NATIVE) for key in keys)
                lines.append(f"| {shown} | {text} |")
        lines.append("")
    lines += [
        "### On the sheet",
        "",
        "Arrows move the sheet, the wheel zooms, a click selects, a double click shows everything.",
        "",
        "### In a quantity",
        "",
        "Up and down step, with Shift by ten. Type it as you write it: `0.013 in`, `18 krpm`, "
        "`1/4 in`, `0,33 mm`. Escape brings the last good value back.",
    ]
    return "\n".join(lines)


def news_page() -> str:
    """Return the changelog."""
    return files("resources").joinpath("changelog.md").read_text(encoding="utf-8")


def about_page(version: str, cautions: Sequence[str]) -> str:
    """Return what the program is, and the cautions of the plan."""
    lines = [
        f"Panewright {version} plans how a CNC router cuts plastic sheet parts.",
        "",
        "Drawn with Qt; the printed pages are set in B612 (SIL Open Font License). Licence: MIT.",
        "",
        "### Before you start",
        "",
        *(f"- {caution}" for caution in cautions or CAUTIONS),
    ]
    return "\n".join(lines)
