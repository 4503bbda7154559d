"""Reading library files: strict, and all faults at once with their paths."""

import pytest

from core.errors import LibraryError
from core.job.job import LibraryFile
from core.library import build, rate_build
from core.library.files import EntryFile, read_library_file
from core.library.shelf import Shelf

HOLDER = """
name = "Holder of ours"
source = "its card"
basis = "shop"
balanced_speed = { value = 18, unit = "krpm" }
balance_grade = { value = 2.5, unit = "mm/s", source = "another card", basis = "datasheet" }
mass = { value = 450, unit = "g", low = 440, high = 460 }
"""


def holder(text):
    return build.holder(EntryFile("ours", "holders/ours.toml", text))


def problems(text, made=holder):
    with pytest.raises(LibraryError) as caught:
        made(text)
    assert caught.value.file == "holders/ours.toml"
    return caught.value.problems


def test_values_come_in_the_unit_of_the_record():
    read = holder(HOLDER)
    assert (read.balanced_speed_rpm, read.mass_kg) == (18_000.0, pytest.approx(0.45))


def test_a_value_keeps_what_its_source_prints_and_inherits_the_source_of_its_file():
    sources = holder(HOLDER).sources
    assert (sources["mass_kg"].value, sources["mass_kg"].unit) == (450.0, "g")
    assert sources["mass_kg"].source == "its card"
    assert sources["balance_grade_mm_s"].source == "another card"


def test_a_key_of_the_list_of_sources_is_cited_in_full():
    read = holder(HOLDER.replace('"its card"', '"crawford"'))
    assert read.sources["mass_kg"].source.startswith("R. J. Crawford, Plastics Engineering")


def test_all_faults_are_told_at_once_with_their_paths():
    told = problems(
        'name = 3\ncolour = "red"\n'
        'balanced_speed = { value = "24000", unit = "rpm", source = "s", basis = "guess" }\n'
        'balance_grade = { value = true, unit = "mm/s", source = "s", basis = "shop" }\n'
    )
    assert [fault.split(" @ ")[1] for fault in told] == [
        "$.balance_grade.value",
        "$.balanced_speed.value",
        "$.name",
        "$.mass",
        "$.balanced_speed.basis",
        "$",
    ]


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("value = 450", 'value = "450"', "a number without quotes is needed @ $.mass.value"),
        ("value = 450", "value = true", "a number without quotes is needed @ $.mass.value"),
        ("value = 450", "value = nan", "the range that makes sense (kg) @ $.mass.value"),
        ("value = 450", "value = 0", "the range that makes sense (kg) @ $.mass.value"),
        ("high = 460", "high = 400", "low, value, high must rise @ $.mass"),
        ("high = 460", "high = inf", "low, value, high must rise @ $.mass"),
        ('unit = "g"', 'unit = "mm"', "a mass is wanted (kg) @ $.mass.unit"),
        ('unit = "g"', 'unit = "stone"', "is not a unit that is known here @ $.mass.unit"),
        ('name = "Holder of ours"', 'aliases = "x"', "a list in [ ] is needed @ $.aliases"),
        ('basis = "shop"', 'basis = "rumour"', "is needed @ $.mass.basis"),
        ('source = "its card"', "", "is missing @ $.mass.source"),
        ("mass = {", "mass = 3 #", "a table is needed @ $.mass"),
    ],
)
def test_a_slip_is_refused_with_its_place(old, new, fault):
    assert any(told.endswith(fault) for told in problems(HOLDER.replace(old, new, 1)))


@pytest.mark.parametrize("text", ["name = [", "\x00", "a" * 10, "[a]\n[a]", "x = " + "[" * 5000])
def test_what_is_no_toml_is_one_clear_line(text):
    (fault,) = problems(text)
    assert fault.endswith("@ $")


def test_a_chip_load_range_that_falls_is_refused():
    text = Shelf().files("cutter")["o_flute_6"].text.replace("low = 0.2\n", "low = 0.9\n")
    with pytest.raises(LibraryError, match=r"low, high must rise @ \$\.chip_loads\[0\]"):
        build.cutter(EntryFile("ours", "cutters/ours.toml", text))


def test_heat_coefficients_need_their_band():
    text = Shelf().files("material")["petg"].text.replace("low = 60.0\n", "")
    with pytest.raises(LibraryError, match=r"are needed @ \$\.heat\.specific_cutting_force"):
        build.material(EntryFile("ours", "materials/ours.toml", text))


def test_money_is_text_with_a_point():
    text = Shelf().files("rates")["kiln_lane"].text.replace('"58.00"', '"58,00"')
    with pytest.raises(LibraryError, match=r"'58,00' is no amount.*machine_per_hour"):
        rate_build.rates(EntryFile("ours", "rates/ours.toml", text))


def test_a_file_of_the_users_is_read_as_an_entry_that_a_job_carries(tmp_path):
    path = tmp_path / "ours.toml"
    path.write_text(HOLDER, "utf-8")
    assert read_library_file("holder", path) == LibraryFile("holder", "ours", HOLDER)


def test_what_cannot_be_read_is_one_clear_line(tmp_path):
    binary, large = tmp_path / "binary.toml", tmp_path / "large.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    large.write_bytes(b"#" * 2_000_000)
    for path in (tmp_path / "none.toml", tmp_path, binary, large):
        with pytest.raises(LibraryError) as caught:
            read_library_file("holder", path)
        assert "\n" not in str(caught.value)
