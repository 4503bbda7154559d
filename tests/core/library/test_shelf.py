"""Looking things up: key, name, alias; the user's own over the shipped; sheets as people say."""

import pytest

from core.errors import LibraryError, Severity, UnknownNameError
from core.job.job import LibraryFile
from core.library.cautions import When, cautions, cautions_for
from core.library.check import check
from core.library.files import FOLDERS
from core.library.shelf import Shelf

SHELF = Shelf()


def sheet(name):
    return f"""
name = "{name}"
source = "s"
basis = "shop"
size_x = {{ value = 800, unit = "mm" }}
size_y = {{ value = 50, unit = "cm" }}
edge_margin = {{ value = 5, unit = "mm" }}
part_spacing = {{ value = 8, unit = "mm" }}
"""


@pytest.mark.parametrize(
    "name", ["polycarbonate", "Polycarbonate", "PC", "pc", " clear  Polycarbonate "]
)
def test_a_material_is_found_by_key_name_or_alias_in_any_case(name):
    assert SHELF.material(name).key == "polycarbonate"


def test_an_unknown_name_answers_with_the_nearest_spellings_and_the_list():
    with pytest.raises(UnknownNameError) as caught:
        SHELF.material("Polycarbonat")
    assert "did you mean 'polycarbonate'" in str(caught.value)
    assert "acrylic_cast" in str(caught.value)


def test_acrylic_alone_is_not_guessed_for_cast_and_extruded_differ():
    with pytest.raises(UnknownNameError, match=r"cast acrylic.*extruded acrylic"):
        SHELF.material("acrylic")


def test_a_record_is_made_once():
    assert SHELF.machine("light_gantry") is SHELF.machine("Light gantry router")


@pytest.mark.parametrize("kind", sorted(FOLDERS))
def test_names_list_key_and_name_by_name(kind):
    names = [name for _, name in SHELF.names(kind)]
    assert names == sorted(names, key=str.casefold)
    assert {key for key, _ in SHELF.names(kind)} == set(SHELF.files(kind))


def test_the_users_folder_wins_over_the_shipped_and_the_job_over_both(tmp_path):
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "ours.toml").write_text(sheet("In the folder"), "utf-8")
    (tmp_path / "sheets" / "full_2050x1250.toml").write_text(sheet("Ours"), "utf-8")
    carried = LibraryFile("sheet", "ours", sheet("In the job"))
    assert Shelf(folder=tmp_path).sheet("ours").name == "In the folder"
    assert Shelf(folder=tmp_path).sheet("full_2050x1250").size_mm == (800.0, 500.0)
    assert Shelf((carried,), tmp_path).sheet("ours").name == "In the job"


def test_an_entry_can_be_put_into_a_job_and_comes_out_the_same():
    carried = SHELF.file("material", "PC")
    assert Shelf((carried,)).material("polycarbonate") == SHELF.material("polycarbonate")


def test_a_damaged_file_of_the_users_harms_no_other(tmp_path):
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "torn.toml").write_bytes(b'name = "torn\xff')
    shelf = Shelf(folder=tmp_path)
    assert shelf.sheet("full_2050x1250").size_mm == (2050.0, 1250.0)
    with pytest.raises(LibraryError, match=r"sheets/torn\.toml: is no text"):
        shelf.sheet("torn")
    (finding,) = check(shelf)
    assert (finding.code, finding.severity) == ("library-entry-unusable", Severity.OUTSIDE)


def test_the_check_names_what_leads_nowhere_and_what_is_called_twice():
    cutter = SHELF.file("cutter", "o_flute_6").text.replace('"hdpe"', '"hdpf"')
    twice = sheet("Full sheet 2050 x 1250 mm")
    shelf = Shelf((LibraryFile("cutter", "ours", cutter), LibraryFile("sheet", "ours", twice)))
    told = {finding.code: finding.message for finding in check(shelf)}
    assert "'hdpf'" in told["library-name-unknown"]
    assert "'full sheet 2050 x 1250 mm' means" in told["library-name-twice"]


def test_a_mounted_cutter_that_names_no_cutter_says_which():
    text = SHELF.file("mounted", "t1_rougher_6").text.replace('"o_flute_6"', '"o_flute_66"')
    with pytest.raises(UnknownNameError, match="o_flute_66"):
        Shelf((LibraryFile("mounted", "ours", text),)).mounted("ours")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("polycarbonate 6 mm", ("polycarbonate", 6.0)),
        ("polycarbonate 6", ("polycarbonate", 6.0)),
        ("Polycarbonate 6mm", ("polycarbonate", 6.0)),
        ("cast acrylic, 10 mm", ("acrylic_cast", 10.0)),
        ("PC 1/4 in", ("polycarbonate", 6.35)),
        ("PC 1 1/4 in", ("polycarbonate", 31.75)),
        ("hdpe 0,5 in", ("hdpe", 12.7)),
        ("6 mm PETG", ("petg", 6.0)),
        ("1/4 in cast acrylic", ("acrylic_cast", 6.35)),
    ],
)
def test_a_sheet_is_read_as_people_say_it(text, expected):
    key, thickness = SHELF.parse_sheet(text)
    assert (key, thickness) == (expected[0], pytest.approx(expected[1]))


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("polycarbonate", "of which thickness"),
        ("PC 0 mm", "a sheet of 0 mm is none"),
        ("PC 0.2 mm", "0.5 to 60 mm"),
        ("PC 6 m", "0.5 to 60 mm"),
        ("PC 1,500", "two ways"),
        ("PC 6 rpm", "a length is wanted"),
        ("polycarbonat 6 mm", "did you mean 'polycarbonate'"),
        ("acrylic 6 mm", "did you mean 'cast acrylic'"),
        ("unobtainium", "On the shelf"),
        ("6 mm", "cannot read '6 mm' as a sheet"),
        ("", "as a sheet"),
        ("?!", "as a sheet"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_with_the_reason(text, reason):
    with pytest.raises(LibraryError, match=reason) as caught:
        SHELF.parse_sheet(text)
    assert "\n" not in str(caught.value)


def test_the_cautions_that_always_hold_come_with_every_plan():
    keys = [caution.key for caution in cautions_for("hdpe")]
    assert keys[0] == "estimate"
    assert {"flying-parts", "guarding", "eyes", "fire", "fumes", "dust", "noise"} <= set(keys)
    assert not {"fumes-acrylic", "loose-parts", "not-modelled"} & set(keys)


@pytest.mark.parametrize(
    ("material", "when", "key"),
    [
        ("acrylic_cast", (), "fumes-acrylic"),
        ("pvc_u", (), "fumes-pvc"),
        ("acetal", (), "fumes-acetal"),
        ("acrylic_cast", (When.BRITTLE_GUARD,), "brittle-guard"),
        ("polycarbonate", (When.GUARD,), "guard-openings"),
        ("polycarbonate", (When.LOOSE_PARTS,), "loose-parts"),
        ("abs", (When.NOT_MODELLED,), "not-modelled"),
        ("petg", (When.HOT,), "hot"),
        ("petg", (When.DOWNSHEAR,), "downshear"),
    ],
)
def test_a_caution_comes_where_the_plan_calls_for_it(material, when, key):
    assert key in {caution.key for caution in cautions_for(material, when)}


def test_every_caution_leaves_the_word_to_makers_rules_or_qualified_people():
    for caution in cautions():
        said = caution.text.casefold()
        assert any(word in said for word in ("maker", "qualified", "local", "hygienist"))
        assert "complies" not in said


def test_the_limits_of_methyl_methacrylate_stand_side_by_side():
    (caution,) = [c for c in cautions() if c.key == "fumes-acrylic"]
    assert len(caution.sources) == 3
    assert "ACGIH 50 ppm" in str(caution)
