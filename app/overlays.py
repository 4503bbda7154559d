"""What opens over the window, made when first asked: the list of actions, and pages of text."""

from __future__ import annotations

from functools import cached_property
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.views.action_list import ActionList
from app.views.reader import Reader, page

if TYPE_CHECKING:
    from PySide6.QtWidgets import QMainWindow

    from app.actions import Actions
    from app.desk import Desk
    from app.views.map_slot_page import SlotPage


def program_version() -> str:
    """Return the version of the installed program."""
    try:
        return version("panewright")
    except PackageNotFoundError:
        return "not installed"


class Overlays(QObject):
    """Shows one thing over a window at a time."""

    def __init__(self, desk: Desk, actions: Actions, over: QMainWindow) -> None:
        super().__init__(over)
        self._desk, self._actions, self._over = desk, actions, over

    @cached_property
    def action_list(self) -> ActionList:
        """Return the list of every action."""
        out = ActionList(self._actions, self._over)
        out.chosen.connect(self._actions.run)
        return out

    @cached_property
    def reader(self) -> Reader:
        """Return what shows pages of text."""
        return Reader(self._over)

    def show_actions(self) -> None:
        """Open the list of every action."""
        self.action_list.begin()

    @cached_property
    def slot_page(self) -> SlotPage:
        """Return the page of a straight slot; what is set there stays."""
        from app.views.map_slot_page import SlotPage

        page = self._over.centralWidget()
        assert page is not None, "the shell is made before anything opens over it"
        return SlotPage(self._desk, page)

    def show_text(self, title: str, markdown: str) -> None:
        """Show a page of Markdown."""
        self.reader.show_page(title, markdown)

    def show_page(self, name: str) -> None:
        """Show a page over the window: a straight slot, or text with the plan's cautions."""
        if name == "slot":
            self.slot_page.begin()
            return
        report = self._desk.report
        cautions = report.cautions if report is not None else ()
        self.reader.show_page(*page(name, program_version(), cautions))
