"""Conversions against printed factors; numbers as people read them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import UnitError
from core.units import KINDS, UnitSystem, convert, in_system, number, parse, show

# NIST SP 811, appendix B, where exact; the rest derived from those (hp = 550 ft.lbf/s).
FACTORS = [
    ("in", "mm", 25.4),
    ("ft", "mm", 304.8),
    ("thou", "mm", 0.0254),
    ("psi", "kPa", 6.894757293168),
    ("hp", "W", 745.6998715822702),
    ("lbf", "N", 4.4482216152605),
    ("in/min", "mm/s", 0.42333333333333),
    ("in3/min", "mm3/s", 273.117733),
    ("inHg", "Pa", 3386.388),
    ("ft/min", "m/s", 0.00508),
    ("krpm", "rpm", 1000.0),
    ("1/min", "rpm", 1.0),
    ("%", "", 0.01),
    ("g/cm3", "kg/m3", 1000.0),
]


@pytest.mark.parametrize(("have", "want", "factor"), FACTORS)
def test_a_factor_is_the_printed_one(have, want, factor):
    assert convert(1.0, have, want) == pytest.approx(factor, rel=3e-6)


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(0.0, 32.0), (100.0, 212.0), (-40.0, -40.0)])
def test_temperatures_convert_with_their_offset(celsius, fahrenheit):
    assert convert(fahrenheit, "°F", "°C") == pytest.approx(celsius, abs=1e-9)
    assert convert(celsius, "°C", "°F") == pytest.approx(fahrenheit, abs=1e-9)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_word_of_a_kind_converts_to_every_other_and_back(kind):
    words = list(KINDS[kind])
    for word in words:
        there = convert(7.0, words[0], word)
        assert convert(there, word, words[0]) == pytest.approx(7.0, rel=1e-12)


def test_what_measures_something_else_does_not_convert():
    with pytest.raises(UnitError, match="measures a turning speed, and a length is wanted"):
        convert(1.0, "rpm", "mm")


def test_an_unknown_unit_is_named():
    with pytest.raises(UnitError, match="'furlong'"):
        convert(1.0, "furlong", "mm")


@given(st.floats(min_value=-1e5, max_value=1e5))
def test_millimetres_survive_the_way_to_inches_and_back(value):
    there, unit = in_system(value, "mm", UnitSystem.INCH)
    assert convert(there, unit, "mm") == pytest.approx(value, rel=1e-15, abs=1e-300)


@pytest.mark.parametrize(
    ("value", "unit", "metric", "inch"),
    [
        (0.3302, "mm", "0.33 mm", "0.013 in"),
        (6.35, "mm", "6.35 mm", "0.25 in"),
        (2050.0, "mm", "2\u2009050 mm", "80.709 in"),
        (5943.6, "mm/min", "5\u2009944 mm/min", "234 in/min"),
        (18000.0, "rpm", "18\u2009000 rpm", "18\u2009000 rpm"),
        (-2.5, "mm", "\u22122.5 mm", "\u22120.0984 in"),
        (0.0004, "mm", "0.0004 mm", "0.000016 in"),
        (0.0, "mm", "0 mm", "0 in"),
        (22.4, "K", "22 K", "22 K"),
        (0.75, "", "0.75", "0.75"),
    ],
)
def test_a_quantity_is_shown_in_either_system(value, unit, metric, inch):
    assert show(value, unit) == metric
    assert show(value, unit, UnitSystem.INCH) == inch


def test_what_has_no_number_is_said_in_words():
    assert number(float("nan")) == "unknown"
    assert number(float("inf")) == "no limit"
    assert number(float("-inf")) == "\u2212no limit"


def test_a_rounded_nothing_has_no_minus():
    assert number(-0.0) == "0"


@given(st.floats(min_value=-9e4, max_value=9e4))
def test_what_is_shown_can_be_typed_again(value):
    assert parse(show(value, "mm"), "mm") == pytest.approx(value, rel=1e-4, abs=6e-4)
