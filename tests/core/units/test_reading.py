"""The quantity grammar: what is read, what is refused and why, and that nothing else happens."""

import contextlib
import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import UnitError, WorkbenchError
from core.units import KINDS, parse, parse_list, parse_size

READ = [
    ("12", "mm", 12.0),
    ("6.35", "mm", 6.35),
    ("6,35", "mm", 6.35),
    ("0,33 mm", "mm", 0.33),
    (".5 in", "mm", 12.7),
    ("0.013 in", "mm", 0.3302),
    ("1/4 in", "mm", 6.35),
    ('1/4"', "mm", 6.35),
    ("1 1/4 in", "mm", 31.75),
    ("-1 1/4 in", "mm", -31.75),
    ("−0.2 mm", "mm", -0.2),
    ("330 µm", "mm", 0.33),
    ("10 thou", "mm", 0.254),
    ("1 ft", "mm", 304.8),
    ("0.006 in/tooth", "mm", 0.1524),
    ("18 krpm", "rpm", 18_000.0),
    ("18 000 rpm", "rpm", 18_000.0),
    ("18\u2009000 1/min", "rpm", 18_000.0),
    ("234 in/min", "mm/min", 5943.6),
    ("5.94 m/min", "mm/min", 5940.0),
    ("99 mm/s", "mm/min", 5940.0),
    ("1 m/s2", "mm/s2", 1000.0),
    ("212 °F", "°C", 100.0),
    ("3 kW", "W", 3000.0),
    ("0.5 bar", "kPa", 50.0),
    ("1.5 h", "min", 90.0),
    ("500 g", "kg", 0.5),
    ("75 %", "", 0.75),
    ("0.75", "", 0.75),
    ("2 x 30 mm", "mm", 60.0),
    ("2x30mm", "mm", 60.0),
    ("900 mm / 4", "mm", 225.0),
    ("10 + 5 mm", "mm", 15.0),
    ("10 + 5 in", "mm", 381.0),
    ("1 in + 2 mm", "mm", 27.4),
    ("100 - 2 x 12.5 mm", "mm", 75.0),
    ("1.500,5 mm", "mm", 1500.5),
    ("1,500.5 mm", "mm", 1500.5),
    ("1,500,000 mm", "m", 1500.0),
    ("18 000/2", "rpm", 9000.0),
]

REFUSED = [
    ("", "missing"),
    ("   ", "missing"),
    ("abc", "cannot read"),
    ("1,500", "two ways; write 1.5 or 1500"),
    ("12,750 mm", "write 12.75 or 12750"),
    ("5 rpm", "a length is wanted"),
    ("5 kg", "measures a mass"),
    ("1/0 in", "divides by zero"),
    ("4 mm / 0", "divides by zero"),
    ("1 +", "ends too early"),
    ("5 3", "'3' is not understood"),
    ("6,", "cannot read"),
    ("1.2.3", "cannot read"),
    ("1_000 mm", "not understood"),
    ("1e3 mm", "not understood"),
    ("9**9**9 mm", "not understood"),
    ("__import__('os')", "cannot read"),
    ("nan", "cannot read"),
    ("inf mm", "cannot read"),
    ("3 mm x 2 mm", "only one factor"),
    ("1 / 2 mm + 3 / 1.5 mm", "only one factor"),
    ("1 in + 2", "unit of every term"),
    ("1 500/200 mm", "no part of a whole"),
    ("1" * 20, "too large"),
    ("1" * 400, "too long"),
    ("+".join("1" * 30), "too many terms"),
]


@pytest.mark.parametrize(("text", "unit", "expected"), READ)
def test_a_quantity_is_read_as_people_write_it(text, unit, expected):
    assert parse(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("text", "reason"), REFUSED)
def test_what_is_no_length_is_refused_with_the_reason(text, reason):
    with pytest.raises(UnitError, match=reason) as caught:
        parse(text, "mm")
    assert "\n" not in str(caught.value)


def test_a_hexadecimal_number_is_a_product_with_nothing_and_so_zero():
    assert parse("0x10 mm", "mm") == 0.0


def test_temperatures_are_not_added():
    with pytest.raises(UnitError, match="not added"):
        parse("20 °C + 3 °C", "°C")


def test_a_temperature_difference_is_no_temperature():
    with pytest.raises(UnitError, match="temperature difference"):
        parse("5 K", "°C")


def test_an_error_of_units_is_a_value_error_of_the_workbench():
    assert issubclass(UnitError, WorkbenchError)
    assert issubclass(UnitError, ValueError)


PIECES = st.sampled_from(
    [*"0123456789.,/+-−x×* \"'eE%()", "1/4", " 000", "\u2009", "½", "²", "٣", "mm", "in", "rpm"]
    + [word for words in KINDS.values() for word in words]
)


@given(
    st.lists(PIECES, max_size=30).map("".join) | st.text(max_size=250),
    st.sampled_from(["mm", "rpm", "°C", ""]),
)
def test_reading_gives_a_finite_number_or_a_unit_error_always(text, unit):
    with contextlib.suppress(UnitError):
        assert math.isfinite(parse(text, unit))


@given(st.text(alphabet="0123456789., ;x+-/mi n", max_size=60))
def test_lists_and_sizes_are_as_safe(text):
    with contextlib.suppress(UnitError):
        assert all(map(math.isfinite, parse_list(text, "mm")))
    with contextlib.suppress(UnitError):
        assert min(parse_size(text, "mm")) > 0.0


@pytest.mark.parametrize(
    "text", ["1+" * 5000, "1 " * 5000, "9" * 10_000, "1/" * 3000, "1 1/1 " * 2000, "," * 9000]
)
def test_a_hostile_text_is_refused_before_it_is_read(text):
    with pytest.raises(UnitError, match="too long"):
        parse(text, "mm")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5.9, 6.0, 5.8 mm", (5.9, 6.0, 5.8)),
        ("5.9,6.0,5.8 mm", (5.9, 6.0, 5.8)),
        ("5.9,6,5.8", (5.9, 6.0, 5.8)),
        ("5,9; 6; 5,8 mm", (5.9, 6.0, 5.8)),
        ("5,9 mm", (5.9,)),
        ("1/4, 5/16 in", (6.35, 7.9375)),
        ("1/4 in, 6 mm", (6.35, 6.0)),
    ],
)
def test_a_list_of_thicknesses_is_read(text, expected):
    assert parse_list(text, "mm") == pytest.approx(expected)


@pytest.mark.parametrize("text", ["", "6,6,6", "5.9, ", "5.9; ; 6", "5.9, rpm", "1, 2 rpm"])
def test_a_list_that_is_unclear_is_refused(text):
    with pytest.raises(UnitError):
        parse_list(text, "mm")


@pytest.mark.parametrize("text", ["900x600", "900 x 600 mm", "900 mm × 600 mm", "90 x 60 cm"])
def test_a_size_is_read(text):
    assert parse_size(text, "mm") == pytest.approx((900.0, 600.0))


@pytest.mark.parametrize("text", ["900", "900x600x5", "0x600", "900x-1", "x", "900 x 600 rpm"])
def test_a_size_that_is_none_is_refused(text):
    with pytest.raises(UnitError):
        parse_size(text, "mm")


def test_pint_is_not_loaded_to_read_what_needs_no_conversion():
    code = (
        "import sys; from core.units import parse; parse('6,35 mm', 'mm'); parse('18000', 'rpm');"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
