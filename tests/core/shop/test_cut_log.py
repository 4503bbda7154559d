"""The cut log keeps what was written, refuses what cannot be, and says when its file is damaged."""

import sqlite3
from dataclasses import replace

import pytest

from core.errors import CutLogError
from core.shop.cut_log import VERSION, CutLog
from core.shop.records import Edge
from core.shop.refusals import refusals
from tests.core.shop.made_up import guided, measured, steps

CUT = replace(
    measured(guided(), steps())[2],
    number=0,
    edge_climb=Edge.FROSTED,
    edge_conventional=Edge.CLEAN,
    note="sheet of May, “warm” side up",
)


@pytest.fixture
def log(tmp_path):
    return CutLog(tmp_path / "shop" / "cuts.sqlite")


def test_what_is_written_is_read_back(log):
    first, second = log.add(CUT), log.add(replace(CUT, material="acrylic_cast"))
    assert log.cuts() == (first, second)
    assert first == replace(CUT, number=1)
    assert log.cuts("acrylic_cast") == (second,)


def test_a_log_that_is_not_there_yet_is_empty_and_is_not_made_by_looking(log):
    assert log.cuts() == ()
    assert not log.path.exists()


def test_a_removed_cut_leaves_its_number_unused(log):
    log.add(CUT)
    log.remove(log.add(CUT).number)
    assert log.add(CUT).number == 3
    with pytest.raises(CutLogError, match="no cut 2"):
        log.remove(2)


def test_two_windows_write_in_turn(log):
    log.add(CUT)
    other = CutLog(log.path)
    other.add(CUT)
    log.add(CUT)
    assert [cut.number for cut in other.cuts()] == [1, 2, 3]


def test_it_logs_ahead_and_names_its_version(log):
    log.add(CUT)
    with sqlite3.connect(log.path) as file:
        assert file.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert file.execute("PRAGMA user_version").fetchone() == (VERSION,)
    file.close()


def test_a_damaged_file_gives_one_clear_error(log):
    log.add(CUT)
    log.path.write_bytes(b"no database at all, but a letter to the editor" * 100)
    for use in (log.cuts, lambda: log.add(CUT)):
        with pytest.raises(CutLogError, match=r"cuts\.sqlite is damaged"):
            use()


def test_a_word_that_is_not_known_is_damage_too(log):
    log.add(CUT)
    file = sqlite3.connect(log.path)
    file.execute("UPDATE cuts SET air = 'steam'")
    file.commit()
    file.close()
    with pytest.raises(CutLogError, match="damaged"):
        log.cuts()


def test_a_file_of_a_newer_version_is_left_alone(log):
    log.add(CUT)
    file = sqlite3.connect(log.path)
    file.execute(f"PRAGMA user_version = {VERSION + 1}")
    file.close()
    with pytest.raises(CutLogError, match="newer version"):
        log.add(CUT)


def test_a_database_of_something_else_is_not_written_to(tmp_path):
    path = tmp_path / "other.sqlite"
    file = sqlite3.connect(path)
    file.execute("CREATE TABLE songs (title TEXT)")
    file.commit()
    file.close()
    with pytest.raises(CutLogError, match="something else"):
        CutLog(path).add(CUT)


def test_a_folder_is_no_log(tmp_path):
    with pytest.raises(CutLogError, match="cannot be used"):
        CutLog(tmp_path).add(CUT)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"power_w": 80.0}, "no more than 90 W idling"),
        ({"power_w": 90000.0}, "N/mm2; no plastic takes"),
        ({"power_w": 90.2}, "N/mm2; no plastic takes"),
        ({"idle_power_w": None}, "both are needed"),
        ({"chip_c": 500.0}, "is not between the room"),
        ({"cutter_c": 5.0}, "is not between the room"),
        ({"cut_s": None}, "how long the cut had lasted"),
        ({"feed_per_tooth_mm": 12.0}, "chip load: 12 mm is outside"),
        ({"spindle_speed_rpm": 18.0}, "spindle speed: 18 rpm is outside"),
        ({"radial_width_mm": 9.0}, "more than the cutter's 6 mm"),
    ],
)
def test_what_cannot_be_is_refused_with_the_reason(log, change, words):
    with pytest.raises(CutLogError, match="not taken") as refused:
        log.add(replace(CUT, **change))
    assert words in str(refused.value)
    assert log.cuts() == ()


def test_a_cut_without_any_measurement_is_refused():
    assert "nothing was measured" in refusals(guided()[0])[0]


def test_an_edge_alone_is_worth_writing_down(log):
    assert log.add(replace(guided()[0], edge_climb=Edge.CHIPPED)).number == 1
