"""Every action of the program as a table of data; menus, keys and the list by name come from it.

A row names the action, its words, its menu, its keys, its icon, and what it needs to make sense. A
test holds that no two actions share a key sequence, and that every row has its handler.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from app.theme import Palette

Key = QKeySequence.StandardKey


class Needs(enum.Enum):
    """What must be there for an action to be enabled."""

    NOTHING = enum.auto()
    JOB = enum.auto()
    PLAN = enum.auto()
    BACK = enum.auto()
    FORWARD = enum.auto()
    TRIAL = enum.auto()
    UNDO = enum.auto()
    REDO = enum.auto()


@dataclass(frozen=True, slots=True)
class Spec:
    """One row: name, words, menu, key sequences, icon, needs, and the group of a choice."""

    name: str
    text: str
    menu: str
    keys: tuple[QKeySequence.StandardKey | str, ...] = ()
    icon: str = ""
    needs: Needs = Needs.NOTHING
    group: str = ""


ACTIONS = (
    Spec("open", "Open\u2026", "File", (Key.Open,), "open"),
    Spec("open_sample", "Open the sample guard panel", "File", (), "sheet"),
    Spec("panel", "Panel by numbers", "File", (Key.New,), "panel"),
    Spec("save", "Save", "File", (Key.Save,), "save", Needs.JOB),
    Spec("save_as", "Save as\u2026", "File", (Key.SaveAs,), "save", Needs.JOB),
    Spec("quote_pdf", "Customer\u2019s quote (PDF)\u2026", "File", (), "page", Needs.PLAN),
    Spec("cost_pdf", "Cost sheet (PDF)\u2026", "File", (), "page", Needs.PLAN),
    Spec("workbook", "Workbook (XLSX)\u2026", "File", (), "table", Needs.PLAN),
    Spec("setup_sheet", "Setup sheet (PDF)\u2026", "File", (Key.Print,), "page", Needs.PLAN),
    Spec("nc", "NC program\u2026", "File", (), "code", Needs.PLAN),
    Spec("toolpaths", "Toolpaths (DXF)\u2026", "File", (), "paths", Needs.PLAN),
    Spec("close", "Close the job", "File", (Key.Close,), "close", Needs.JOB),
    Spec("quit", "Quit", "File", ("Ctrl+Q",), "quit"),
    Spec("undo", "Undo", "Edit", (Key.Undo,), "undo", Needs.UNDO),
    Spec("redo", "Redo", "Edit", (Key.Redo,), "redo", Needs.REDO),
    Spec("copy", "Copy the number", "Edit", (Key.Copy,), "copy", Needs.PLAN),
    Spec("copy_reason", "Copy with its reasoning", "Edit", ("Ctrl+Shift+C",), "reason", Needs.PLAN),
    Spec("copy_table", "Copy the table", "Edit", ("Ctrl+Alt+C",), "table", Needs.PLAN),
    Spec("question_1", "Will it cut cleanly?", "View", ("Ctrl+1",), "question"),
    Spec("question_2", "How long, and what price?", "View", ("Ctrl+2",), "question"),
    Spec("question_3", "What if I change this?", "View", ("Ctrl+3",), "question"),
    Spec("drawing", "Drawing: unit, layers, repairs", "View", ("Ctrl+D",), "layers", Needs.PLAN),
    Spec("next_region", "Next region", "View", ("F6",), "region"),
    Spec("previous_region", "Previous region", "View", ("Shift+F6",), "region"),
    Spec("zoom_in", "Zoom in", "View", ("+", "Ctrl++"), "zoom_in", Needs.PLAN),
    Spec("zoom_out", "Zoom out", "View", ("-", "Ctrl+-"), "zoom_out", Needs.PLAN),
    Spec("fit", "Show everything", "View", ("0",), "fit", Needs.PLAN),
    Spec("fit_selected", "Show the selected contour", "View", ("F",), "fit_selected", Needs.PLAN),
    Spec("paint_chip", "Paint by actual chip load", "View", (), "paint", Needs.PLAN, "paint"),
    Spec("paint_speed", "Paint by speed", "View", (), "paint", Needs.PLAN, "paint"),
    Spec("paint_temperature", "Paint by temperature", "View", (), "paint", Needs.PLAN, "paint"),
    Spec("paint_state", "Paint by state", "View", (), "paint", Needs.PLAN, "paint"),
    Spec("units", "Millimetres or inches", "View", ("Ctrl+U",), "units"),
    Spec("theme_system", "Colours as the system", "View", (), "theme", group="theme"),
    Spec("theme_light", "Light colours", "View", (), "theme", group="theme"),
    Spec("theme_dark", "Dark colours", "View", (), "theme", group="theme"),
    Spec("next_finding", "Next warning", "Plan", ("F8",), "finding", Needs.PLAN),
    Spec("previous_finding", "Previous warning", "Plan", ("Shift+F8",), "finding", Needs.PLAN),
    Spec("worst", "Go to the worst limit", "Plan", ("Ctrl+G",), "info", Needs.PLAN),
    Spec("apply_remedy", "Apply the first remedy", "Plan", ("Ctrl+.",), "adopt", Needs.PLAN),
    Spec("next_contour", "Next contour", "Plan", ("Alt+Down",), "down", Needs.PLAN),
    Spec("previous_contour", "Previous contour", "Plan", ("Alt+Up",), "up", Needs.PLAN),
    Spec("task", "Task of the selected contour", "Plan", ("F2",), "task", Needs.PLAN),
    Spec("back", "Back", "Plan", ("Alt+Left",), "previous", Needs.BACK),
    Spec("forward", "Forward", "Plan", ("Alt+Right",), "next", Needs.FORWARD),
    Spec("explain", "Explain the chosen number", "Plan", ("Ctrl+E",), "reason", Needs.PLAN),
    Spec("trial_open", "Open a trial", "Plan", ("Ctrl+T",), "trial", Needs.PLAN),
    Spec("play", "Play the cut, or stop", "Plan", ("Ctrl+Space",), "play", Needs.PLAN),
    Spec("slot", "Explore a straight slot", "Plan", ("Ctrl+Shift+T",), "slot"),
    Spec("trial_adopt", "Adopt the trial", "Plan", ("Ctrl+Return",), "adopt", Needs.TRIAL),
    Spec("trial_drop", "Drop the trial", "Plan", ("Esc",), "close", Needs.TRIAL),
    Spec("palette", "Every action by name\u2026", "Help", ("Ctrl+K",), "find"),
    Spec("keys", "Keyboard", "Help", ("F1",), "keys"),
    Spec("news", "What\u2019s new", "Help", (), "news"),
    Spec("about", "About, and cautions", "Help", (), "info"),
)
MENUS = ("File", "Edit", "View", "Plan", "Help")


class Actions(QObject):
    """The table made into Qt's actions.

    Parameters
    ----------
    handlers : mapping of str to callable
        What each action does, by its name.
    """

    def __init__(self, handlers: Mapping[str, Callable[[], object]], parent: QObject) -> None:
        super().__init__(parent)
        self._handlers = handlers
        self._by_name: dict[str, QAction] = {}
        groups: dict[str, QActionGroup] = {}
        for spec in ACTIONS:
            action = QAction(spec.text, self)
            action.setObjectName(spec.name)
            action.setShortcuts(sequences(spec))
            action.triggered.connect(self._on_triggered)
            if spec.group:
                if spec.group not in groups:
                    groups[spec.group] = QActionGroup(self)
                action.setCheckable(True)
                groups[spec.group].addAction(action)
            self._by_name[spec.name] = action

    def __getitem__(self, name: str) -> QAction:
        return self._by_name[name]

    def all(self) -> list[QAction]:
        """Return the actions in the order of the table."""
        return list(self._by_name.values())

    def run(self, name: str) -> None:
        """Do what an action does, if it makes sense now."""
        if self._by_name[name].isEnabled():
            self._handlers[name]()

    def _on_triggered(self) -> None:
        self._handlers[self.sender().objectName()]()

    def enable(self, there: Mapping[Needs, bool]) -> None:
        """Enable what makes sense now."""
        for spec in ACTIONS:
            self._by_name[spec.name].setEnabled(there.get(spec.needs, True))

    def colour(self, colours: Palette) -> None:
        """Give the actions their icons in the colours of the theme."""
        from app.icons import icon

        for spec in ACTIONS:
            if spec.icon:
                self._by_name[spec.name].setIcon(icon(spec.icon, colours.ink))


def sequences(spec: Spec) -> list[QKeySequence]:
    """Return the key sequences of a row; only the first of a standard key's many."""
    out: list[QKeySequence] = []
    for key in spec.keys:
        if isinstance(key, str):
            out.append(QKeySequence(key))
        else:
            out += QKeySequence.keyBindings(key)[:1] or [QKeySequence(_FALLBACK[key])]
    return out


_FALLBACK = {Key.SaveAs: "Ctrl+Shift+S", Key.Close: "Ctrl+W", Key.Redo: "Ctrl+Shift+Z"}
"""Keys where a platform names none."""
