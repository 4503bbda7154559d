"""Colours: WCAG 2.2 contrast computed for every pair that carries meaning, in both themes."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFontDatabase
from PySide6.QtWidgets import QApplication

from app.theme import PRINT_FAMILY, Theme, ThemeChoice, font, load_print_font, palette
from app.views.scales import ramp

TEXT, GRAPHIC = 4.5, 3.0
"""WCAG 2.2, success criteria 1.4.3 (text) and 1.4.11 (graphics and fields)."""

TEXT_PAIRS = [
    ("ink", "paper"),
    ("ink", "panel"),
    ("ink", "wash"),
    ("ink", "bad_field"),
    ("muted", "paper"),
    ("muted", "panel"),
    ("focus", "paper"),
    ("focus", "panel"),
    ("on_focus", "focus"),
]
GRAPHIC_PAIRS = [("border", "paper"), ("border", "panel"), ("border", "sheet"), ("focus", "wash")]


def luminance(colour):
    """Return the relative luminance as WCAG 2.2 defines it."""
    parts = [c / 255.0 for c in QColor(colour).getRgb()[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_two_ends_that_the_standard_prints():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.005)


@pytest.fixture(params=["light", "dark"])
def colours(request):
    return palette(request.param)


@pytest.mark.parametrize(("text", "ground"), TEXT_PAIRS)
def test_text_can_be_read(colours, text, ground):
    assert contrast(getattr(colours, text), getattr(colours, ground)) >= TEXT


@pytest.mark.parametrize(("line", "ground"), GRAPHIC_PAIRS)
def test_fields_and_focus_can_be_seen(colours, line, ground):
    assert contrast(getattr(colours, line), getattr(colours, ground)) >= GRAPHIC


@pytest.mark.parametrize("state", ["outside", "tight", "fair", "good"])
@pytest.mark.parametrize("ground", ["paper", "panel", "sheet"])
def test_lines_of_every_state_can_be_seen(colours, state, ground):
    assert contrast(colours.line[state], getattr(colours, ground)) >= GRAPHIC


@pytest.mark.parametrize("state", ["outside", "tight", "good"])
def test_words_on_chips_can_be_read(colours, state):
    fill, ink = colours.chip[state]
    assert contrast(fill, ink) >= TEXT


@pytest.mark.parametrize("is_state", [False, True])
def test_every_colour_of_the_path_can_be_seen_on_part_and_sheet(colours, is_state):
    for colour in ramp(colours, is_state):
        for ground in (colours.paper, colours.sheet):
            assert contrast(colour, ground) >= GRAPHIC, colour


def test_a_fault_can_be_read_below_its_field(colours):
    assert contrast(colours.line["outside"], colours.paper) >= TEXT


def test_the_theme_follows_the_system_until_one_is_chosen(qapp, monkeypatch):
    # without a screen the platform has no colour scheme of its own to change
    theme = Theme()
    hints = QApplication.styleHints()
    assert theme.palette.name == "light"
    monkeypatch.setattr("app.theme.system_is_dark", lambda: True)
    hints.colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert theme.palette.name == "dark"
    theme.choose(ThemeChoice.LIGHT)
    hints.colorSchemeChanged.emit(Qt.ColorScheme.Dark)
    assert theme.palette.name == "light"
    assert QApplication.palette().window().color() == QColor(palette("light").panel)
    theme.choose(ThemeChoice.SYSTEM)
    assert theme.palette.name == "dark"


def test_the_bundled_font_loads_and_has_the_characters_that_are_printed(qapp):
    assert load_print_font() in QFontDatabase.families()
    systems = QFontDatabase.writingSystems(PRINT_FAMILY)
    assert QFontDatabase.WritingSystem.Latin in systems


def test_digits_are_of_equal_width(qapp):
    from PySide6.QtGui import QFontMetricsF

    metrics = QFontMetricsF(font())
    assert len({round(metrics.horizontalAdvance(d), 3) for d in "0123456789"}) == 1
