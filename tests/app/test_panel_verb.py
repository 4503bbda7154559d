"""The verb `panel`: what it prints, what it saves, and one clear line for what cannot be made."""

from pathlib import Path

import pytest

from app.cli import run
from core.contours import find_contours
from core.drawing import open_drawing_file, read_drawing
from core.drawing.panel import CornerCut, Holes, InCorners, Panel, Single, Slot
from core.drawing.panel_drawing import panel_drawing
from core.job.file import read_job

WORDS = (
    *("panel", "--size", "900x600", "--radius", "10", "--hole", "8@450,20"),
    *("--holes", "corners:8@20", "--hand-hole", "450,560"),
)
MEANT = Panel(
    (900.0, 600.0),
    corners=(CornerCut(10.0),) * 4,
    holes=(Holes(8.0, Single((450.0, 20.0))), Holes(8.0, InCorners((20.0, 20.0)))),
    slots=(Slot(100.0, 30.0, (450.0, 560.0)),),
)


def ran(capfd, *arguments):
    code = run([str(a) for a in arguments])
    out, err = capfd.readouterr()
    return code, out, err


def test_a_panel_says_its_size_its_holes_and_its_notes(capfd):
    code, out, err = ran(capfd, *WORDS, "--quantity", "25")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith("Panel 900 mm x 600 mm, 25 off")
    assert lines[1:3] == ["  5 x hole ø 8 mm", "  1 x slot 100 mm x 30 mm"]
    assert "note: Fixing holes lie up to" in out
    assert "guard" not in out


def test_a_panel_called_a_guard_tells_what_its_openings_ask_for(capfd):
    _, out, _ = ran(capfd, *WORDS, "--name", "Guard of the slicer")
    assert "5 round openings of 8 mm in a guard" in out
    assert "qualified" in out


def test_the_material_decides_how_much_room_is_noted(capfd):
    _, hard, _ = ran(capfd, *WORDS, "--sheet", "polycarbonate 6 mm")
    _, soft, _ = ran(capfd, *WORDS, "--material", "hdpe")
    assert hard != soft
    assert "polyethylene" in soft.lower() or "HDPE" in soft


def test_a_panel_is_printed_in_inches_when_asked_for(capfd):
    _, out, _ = ran(capfd, "panel", "--size", "36x24 in", "--hole", "1/4 in@2,2 in", "--inch")
    assert out.splitlines()[0].startswith("Panel 36 in x 24 in, 1 off")
    assert "1 x hole ø 0.25 in" in out


def test_the_saved_drawing_is_the_panel(capfd, tmp_path):
    file = tmp_path / "panel.dxf"
    assert ran(capfd, *WORDS, "--dxf", file)[0] == 0
    assert file.read_bytes() == panel_drawing(MEANT).content
    drawing = open_drawing_file(file)
    found = find_contours(read_drawing(drawing), drawing)
    assert (found.size_mm, found.outer_count, found.hole_count) == ((900.0, 600.0), 1, 6)


def test_the_saved_job_carries_drawing_quantity_and_choices_and_can_be_planned(capfd, tmp_path):
    file = tmp_path / "oven_guard.pane"
    sheet = ("--sheet", "polycarbonate 8 mm")
    assert ran(capfd, *WORDS, "--quantity", "3", *sheet, "--job", file)[0] == 0
    job = read_job(file)
    assert (job.name, job.quantity, job.thickness_mm) == ("oven guard", 3, 8.0)
    assert job.drawings[0].name == "oven_guard.dxf"
    code, out, _ = ran(capfd, "plan", file)
    assert code in (0, 1)
    assert "Cut 3 of oven guard" in out


BAD = [
    (("--size", "900"), "--size: '900' is not a size"),
    (("--size", "900x600", "--hole", "8"), "--hole: '8' lacks '@'"),
    (("--size", "900x600", "--holes", "ring:8@2"), "--holes: 'ring'"),
    (("--size", "900x600", "--radius", "400"), "--radius 400: 400 mm at"),
    (("--size", "900x600", "--radius", "1", "--chamfer", "2"), "--radius, --chamfer: '2'"),
    (("--size", "900x600", "--hole", "8@2,20"), "--hole 8@2,20: is not wholly inside"),
    (("--size", "900x600", "--slot", "9x9@50,50"), "--slot 9x9@50,50: a slot is longer"),
    (("--size", "900x600", "--notch", "9x9@up:50"), "--notch: 'up' is no edge"),
    (("--size", "900x600", "--quantity", "0"), "quantity of 0"),
    (("--size", "900x600", "--units", "inch"), "--units is for drawings"),
    (("--size", "900x600", "--material", "glass"), "'glass'"),
    ((), "--size"),
]


@pytest.mark.parametrize(("options", "words"), BAD)
def test_what_cannot_be_made_is_one_line_that_names_its_option(capfd, tmp_path, options, words):
    target = tmp_path / "panel.dxf"
    code, out, err = ran(capfd, "panel", *options, "--dxf", target)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert words in err
    assert not target.exists()


def test_every_fault_has_its_own_line(capfd):
    code, out, err = ran(capfd, "panel", "--size", "90x60", "--hole", "8@2,20", "--hole", "8@50,99")
    assert (code, out, err.count("\n")) == (2, "", 2)


def test_a_place_that_cannot_be_written_is_said_and_nothing_is_printed(capfd, tmp_path):
    code, out, err = ran(capfd, *WORDS, "--dxf", tmp_path / "missing" / "panel.dxf")
    assert (code, out, err.count("\n")) == (3, "", 1)
    assert "choose another place" in err


def test_the_help_names_every_feature(capfd):
    with pytest.raises(SystemExit):
        run(["panel", "--help"])
    out = capfd.readouterr().out
    for option in ("--radius", "--chamfer", "--holes", "--slot", "--hand-hole", "--cut-out"):
        assert option in out


def test_the_panel_of_the_readme_can_be_made(capfd, tmp_path, monkeypatch):
    readme = (Path(__file__).parent.parent.parent / "README.md").read_text("utf-8")
    (line,) = [row for row in readme.splitlines() if "panewright panel" in row]
    monkeypatch.chdir(tmp_path)
    code, _, err = ran(capfd, *line.split("  ")[2].split()[1:])
    assert (code, err) == (0, "")
    assert [file.suffix for file in tmp_path.iterdir()] == [".dxf"]
