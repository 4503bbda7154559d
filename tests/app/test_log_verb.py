"""The verb `log`: cuts are written down as people say them, and become a card on the shelf."""

import pytest

from app.cli import DONE, UNREADABLE, WRONG, run
from core.library.shelf import Shelf

CUT = ["log", "add", "--material", "PC", "--cutter", "t1_rougher_6", "--depth", "3 mm"]
LOADS = [("0.076 mm", "195 W"), ("0.12 mm", "225"), ("0.0075 in", "290 W")]


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.delenv("APPDATA", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "panewright"


def say(capsys, *arguments):
    code = run(list(arguments))
    said = capsys.readouterr()
    return code, said.out, said.err


def add_all(capsys, *more):
    for load, power in LOADS:
        last = load == LOADS[-1][0]
        warm = ["--cutter-temperature", "62 °C", "--chip-temperature", "125"] if last else []
        told = ["--chip-load", load, "--power", power, "--idle", "95 W", *warm, *more]
        assert say(capsys, *CUT, *told)[0] == DONE


def test_a_cut_is_written_and_shown(home, capsys):
    told = ["--chip-load", "0.12", "--power", "240 W", "--idle", "95", "--climb", "frosted"]
    code, out, _ = say(capsys, *CUT, *told, "--on", "2026-03-05", "--note", "sheet of May")
    assert code == DONE
    assert "written as cut 1" in out
    assert (home / "cut_log.sqlite").is_file()
    _, out, _ = say(capsys, "log", "list", "--material", "polycarbonate")
    assert "2026-03-05  polycarbonate, t1_rougher_6" in out
    assert "145 W (240 W less idling); climb edge frosted" in out
    assert "sheet of May" in out


def test_a_wild_cut_is_refused_with_the_reason(home, capsys):
    code, _, err = say(capsys, *CUT, "--chip-load", "0.12", "--power", "80", "--idle", "95")
    assert code == WRONG
    assert "no more than 95 W idling" in err
    assert not (home / "cut_log.sqlite").exists()


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (["--chip-load", "1,500"], "--chip-load"),
        (["--chip-load", "0.12", "--on", "5 March"], "write 2026-03-05"),
        (["--chip-load", "0.12", "--climb", "pretty"], "invalid choice"),
    ],
)
def test_what_cannot_be_meant_is_said(home, capsys, told, words):
    code, _, err = say(capsys, *CUT, *told)
    assert code == WRONG
    assert words in err


def test_fit_and_keep_lay_a_calibrated_card_on_the_shelf(home, capsys):
    add_all(capsys)
    code, out, _ = say(capsys, "log", "fit", "--material", "polycarbonate", "--keep")
    assert code == DONE
    assert "calibrated in this shop" in out
    fitted = Shelf(folder=home / "library").material("polycarbonate")
    assert fitted.heat.shop.cuts == (1, 2, 3)
    # a second fit begins at the shipped card again, so nothing is counted twice
    _, again, _ = say(capsys, "log", "fit", "--material", "polycarbonate")
    assert out.startswith(again)


def test_the_card_can_be_written_to_a_file(home, capsys, tmp_path):
    add_all(capsys)
    place = tmp_path / "mine.toml"
    say(capsys, "log", "fit", "--material", "polycarbonate", "--out", str(place))
    assert "[heat.shop]" in place.read_text("utf-8")
    assert not (home / "library").exists()


def test_a_fit_worse_than_none_writes_no_card(home, capsys, tmp_path):
    for load, power in (("0.076", "200"), ("0.12", "221"), ("0.19", "329")):
        told = ["--chip-load", load, "--power", power, "--idle", "95"]
        assert say(capsys, *CUT, *told)[0] == DONE
    place = tmp_path / "mine.toml"
    code, out, err = say(capsys, "log", "fit", "--material", "polycarbonate", "--out", str(place))
    assert code == WRONG
    assert "the card stays as it is" in out
    assert "no card is written" in err
    assert not place.exists()


def test_a_cut_can_be_removed(home, capsys):
    add_all(capsys)
    assert say(capsys, "log", "remove", "2")[0] == DONE
    _, out, _ = say(capsys, "log", "list")
    assert "   2  " not in out
    assert say(capsys, "log", "remove", "2")[0] == UNREADABLE


def test_a_damaged_log_is_one_line(home, capsys, tmp_path):
    path = tmp_path / "old.sqlite"
    path.write_bytes(b"a letter" * 1000)
    code, _, err = say(capsys, "log", "list", "--log", str(path))
    assert code == UNREADABLE
    assert err.count("\n") == 1
    assert "damaged" in err


def test_the_sheet_says_what_to_cut(home, capsys):
    code, out, _ = say(
        capsys, "log", "sheet", "--material", "acrylic_cast", "--cutter", "t1_rougher_6"
    )
    assert code == DONE
    assert "Cut three straight slots" in out


def test_an_empty_log_is_said_to_be_empty(home, capsys):
    assert "The cut log is empty" in say(capsys, "log", "list")[1]
