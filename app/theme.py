"""Light and dark: the colours as data, and the one place that hands them to Qt.

Terms: *paper* lies under text and drawing, *panel* is the window behind it; *ink* and *muted* are
the two strengths of text; *border* outlines what can be edited, *hairline* only decorates;
a *chip* is a small filled label (fill, ink on it); the *line* colours stand for the state of a
limit. State is never told by colour alone: word, shape and line style go with it.
"""

from __future__ import annotations

import enum
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

PRINT_FAMILY = "B612"
_FONTS = ("B612-Regular.otf", "B612-Bold.otf")
TEXT_PT, NOTE_PT, ANSWER_PT = 10.0, 9.0, 15.0


class ThemeChoice(enum.StrEnum):
    """What the user asked for."""

    SYSTEM = "system"
    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of one theme, as #RRGGBB."""

    name: str
    paper: str
    panel: str
    ink: str
    muted: str
    border: str
    hairline: str
    focus: str
    on_focus: str
    wash: str
    bad_field: str
    sheet: str
    line: dict[str, str]
    chip: dict[str, tuple[str, str]]
    map: list[str]


@lru_cache(maxsize=2)
def palette(name: str) -> Palette:
    """Return the palette of that name from the shipped themes."""
    text = files("resources").joinpath("themes", f"{name}.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    chips = {key: (fill, ink) for key, (fill, ink) in data.pop("chip").items()}
    return Palette(name=name, chip=chips, **data)


class Theme(QObject):
    """The theme in force; follows the system until the user says otherwise."""

    changed = Signal()

    def __init__(
        self, choice: ThemeChoice = ThemeChoice.SYSTEM, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.choice = choice
        self.palette = palette("light")
        hints = QApplication.styleHints()
        hints.colorSchemeChanged.connect(self._system_changed)
        self.choose(choice)

    def choose(self, choice: ThemeChoice) -> None:
        """Use this theme from now on."""
        self.choice = choice
        scheme = {
            ThemeChoice.SYSTEM: Qt.ColorScheme.Unknown,
            ThemeChoice.LIGHT: Qt.ColorScheme.Light,
            ThemeChoice.DARK: Qt.ColorScheme.Dark,
        }[choice]
        QApplication.styleHints().setColorScheme(scheme)
        self._apply()

    def _system_changed(self, _scheme: Qt.ColorScheme) -> None:
        if self.choice is ThemeChoice.SYSTEM:
            self._apply()

    def _apply(self) -> None:
        self.palette = palette(self._name())
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.setPalette(qt_palette(self.palette))
        sheet = style_sheet(self.palette)
        if application.styleSheet() != sheet:
            application.setStyleSheet(sheet)
        self.changed.emit()

    def _name(self) -> str:
        if self.choice is not ThemeChoice.SYSTEM:
            return self.choice.value
        return "dark" if system_is_dark() else "light"


def system_is_dark() -> bool:
    """Return whether the system asks for dark colours."""
    return QApplication.styleHints().colorScheme() is Qt.ColorScheme.Dark


def qt_palette(colours: Palette) -> QPalette:
    """Return Qt's palette for these colours."""
    role = QPalette.ColorRole
    out = QPalette()
    for key, colour in (
        (role.Window, colours.panel),
        (role.WindowText, colours.ink),
        (role.Base, colours.paper),
        (role.AlternateBase, colours.panel),
        (role.Text, colours.ink),
        (role.Button, colours.panel),
        (role.ButtonText, colours.ink),
        (role.BrightText, colours.paper),
        (role.Highlight, colours.focus),
        (role.HighlightedText, colours.on_focus),
        (role.ToolTipBase, colours.paper),
        (role.ToolTipText, colours.ink),
        (role.PlaceholderText, colours.muted),
        (role.Link, colours.focus),
        (role.LinkVisited, colours.focus),
        (role.Accent, colours.focus),
        (role.Mid, colours.hairline),
    ):
        out.setColor(key, QColor(colour))
    for key in (role.Text, role.WindowText, role.ButtonText):
        out.setColor(QPalette.ColorGroup.Disabled, key, QColor(colours.muted))
    return out


def style_sheet(c: Palette) -> str:
    """Return the few rules that a palette cannot say."""
    return f"""
    QFrame#card {{ background: {c.paper}; border: 1px solid {c.hairline}; border-radius: 6px; }}
    QFrame#drop {{ background: {c.paper}; border: 2px dashed {c.border}; border-radius: 8px; }}
    QFrame#notice {{ background: {c.wash}; border: 1px solid {c.focus}; border-radius: 6px; }}
    QFrame#editor {{ background: {c.paper}; border: 1px solid {c.focus}; border-radius: 6px; }}
    QFrame#drawer {{ background: {c.panel}; border-left: 1px solid {c.border}; }}
    QLabel[role="muted"] {{ color: {c.muted}; }}
    QLabel[role="fault"] {{ color: {c.line["outside"]}; }}
    QPushButton[role="bracket"] {{ background: {c.paper}; border: 1px solid {c.border};
        border-radius: 4px; padding: 1px 6px; text-align: left; color: {c.ink}; }}
    QPushButton[role="bracket"]:hover {{ border-color: {c.focus}; background: {c.wash}; }}
    QPushButton[role="bracket"]:focus {{ border: 2px solid {c.focus}; padding: 0px 5px; }}
    QPushButton[role="plain"] {{ background: {c.paper}; border: 1px solid {c.border};
        border-radius: 4px; padding: 4px 10px; color: {c.ink}; }}
    QPushButton[role="plain"]:hover {{ border-color: {c.focus}; background: {c.wash}; }}
    QPushButton[role="plain"]:focus {{ border: 2px solid {c.focus}; padding: 3px 9px; }}
    QPushButton[role="plain"]:disabled {{ color: {c.muted}; border-color: {c.hairline}; }}
    QPushButton[role="choice"] {{ background: transparent; border: 1px solid {c.hairline};
        border-radius: 4px; padding: 3px 9px; color: {c.muted}; }}
    QPushButton[role="choice"]:checked {{ background: {c.wash}; border-color: {c.focus};
        color: {c.ink}; }}
    QPushButton[role="choice"]:focus {{ border: 2px solid {c.focus}; padding: 2px 8px; }}
    QLineEdit, QAbstractSpinBox {{ background: {c.paper}; color: {c.ink};
        border: 1px solid {c.border}; border-radius: 4px; padding: 3px 6px;
        selection-background-color: {c.focus}; selection-color: {c.on_focus}; }}
    QLineEdit:focus {{ border: 2px solid {c.focus}; padding: 2px 5px; }}
    QLineEdit[bad="true"] {{ background: {c.bad_field}; border: 2px solid {c.line["outside"]};
        padding: 2px 5px; }}
    QTreeView {{ background: {c.paper}; border: 1px solid {c.hairline}; border-radius: 6px; }}
    QTreeView::item {{ height: 24px; }}
    QTreeView[role="bare"] {{ border: none; }}
    QTreeView:focus {{ border: 1px solid {c.focus}; }}
    QHeaderView::section {{ background: {c.panel}; color: {c.muted}; border: none;
        border-bottom: 1px solid {c.hairline}; padding: 4px 6px; }}
    QSplitter::handle {{ background: {c.panel}; }}
    QStatusBar::item {{ border: none; }}
    QScrollArea {{ border: none; }}
    QToolTip {{ background: {c.paper}; color: {c.ink}; border: 1px solid {c.border}; }}
    """


def load_print_font() -> str:
    """Load the bundled font and return its family; the pages are printed with it."""
    for name in _FONTS:
        data = files("resources").joinpath("fonts", name).read_bytes()
        QFontDatabase.addApplicationFontFromData(data)
    return PRINT_FAMILY


def font(points: float = TEXT_PT, *, bold: bool = False) -> QFont:
    """Return the system's font with digits of equal width."""
    out = QFont(QApplication.font())
    out.setPointSizeF(points)
    out.setWeight(QFont.Weight.DemiBold if bold else QFont.Weight.Normal)
    out.setFeature(QFont.Tag("tnum"), 1)
    return out
