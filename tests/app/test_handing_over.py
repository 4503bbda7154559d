"""The verbs that hand over: files, exit codes, and what must not come to stand under a name."""

import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest

from app.cli import run
from app.handing_over import outside_of
from core.contours import find_contours
from core.drawing import open_drawing_file, read_drawing
from core.drawing.panel import Holes, Panel, Single
from core.drawing.panel_drawing import with_panel
from core.job import Job
from core.job.file import save_job
from core.pipeline import Pipeline

ROOT = Path(__file__).parent.parent.parent
SIGN = ROOT / "sample_jobs" / "shop_sign" / "shop_sign.pane"


def ran(capfd, *arguments):
    code = run([str(a) for a in arguments])
    out, err = capfd.readouterr()
    return code, out, err


@pytest.fixture
def plate(tmp_path):
    """A job within all limits that are not heat: a plate with one hole."""
    panel = Panel((80.0, 60.0), holes=(Holes(10.0, Single((40.0, 30.0))),))
    job = with_panel(Job(name="plate"), panel)
    place = tmp_path / "plate.pane"
    save_job(place, job)
    return place


def test_a_program_is_written_with_its_proof(capfd, tmp_path):
    out_file, proof_file = tmp_path / "sign.nc", tmp_path / "proof.json"
    code, out, err = ran(capfd, "nc", SIGN, "--out", out_file, "--json", proof_file)
    assert (code, err) == (0, "")
    assert "proven; program 1 of 1" in out
    proof = json.loads(proof_file.read_text())["proof"]
    assert proof["severed"] == proof["outlines"] == 3
    assert proof["gouge_mm"] < 0.01
    assert proof["depth_ok"] is True
    assert proof["speed_ok"] is True
    assert proof["loose_waste"] == 0
    assert proof["lines_read"] == len(out_file.read_text().splitlines())


def test_what_was_written_can_be_proven_against_the_job(capfd, tmp_path):
    program = tmp_path / "sign.nc"
    ran(capfd, "nc", SIGN, "--out", program)
    code, out, _ = ran(capfd, "prove", program, "--job", SIGN)
    assert code == 0
    assert "proven" in out
    code, out, _ = ran(capfd, "prove", program, "--job", SIGN, "--json", "-")
    assert json.loads(out)["proof"]["holds"] is True


def test_a_program_that_was_changed_is_not_proven(capfd, tmp_path):
    program = tmp_path / "sign.nc"
    ran(capfd, "nc", SIGN, "--out", program)
    text = program.read_text()
    program.write_text(text.replace("Z-0.200", "Z-2.000", 1))
    code, out, _ = ran(capfd, "prove", program, "--job", SIGN)
    assert code == 1
    assert "NOT proven" in out
    assert "depths NOT kept" in out


def test_a_limit_outside_stands_against_a_program(capfd, tmp_path):
    program = tmp_path / "sign.nc"
    code, out, err = ran(capfd, "nc", SIGN, "--out", program, "--spindle-speed", "26000")
    assert code == 4
    assert out == ""
    assert "refused" in err
    assert "--accept" in err
    assert list(tmp_path.iterdir()) == []


def test_an_older_program_stays_where_a_new_one_is_refused(capfd, tmp_path):
    program = tmp_path / "sign.nc"
    program.write_text("older\n")
    assert ran(capfd, "nc", SIGN, "--out", program, "--spindle-speed", "26000")[0] == 4
    assert program.read_text() == "older\n"


def test_a_program_that_cannot_be_proven_is_not_written(capfd, tmp_path, monkeypatch):
    import app.handing_over as verbs

    def careless(work):
        return tuple(replace(p, text=p.text.replace("M3", "M4")) for p in written(work))

    written = verbs.nc_programs
    monkeypatch.setattr(verbs, "nc_programs", careless)
    code, _, err = ran(capfd, "nc", SIGN, "--out", tmp_path / "sign.nc")
    assert code == 4
    assert "M4 is no word of this machine" in err
    assert list(tmp_path.iterdir()) == []


def test_what_is_accepted_with_a_reason_no_longer_stands_against_it(plate):
    job = Pipeline().results(replace_speed(plate, 23_000.0))
    before = list(outside_of(job.report))
    names = {line.partition("--accept ")[2].split()[0] for line in before if "--accept" in line}
    assert names


def replace_speed(place, speed):
    from core.job.file import read_job

    return replace(read_job(place), spindle_speed_rpm=speed)


def test_several_programs_are_numbered(capfd, tmp_path):
    job = tmp_path / "many.pane"
    from core.job.file import read_job

    save_job(job, replace(read_job(SIGN), quantity=80))
    code, _, err = ran(capfd, "nc", job, "--out", tmp_path / "many.nc")
    assert (code, err) == (0, "")
    names = sorted(p.name for p in tmp_path.glob("*.nc"))
    assert names[:2] == ["many_1.nc", "many_2.nc"]
    code, out, _ = ran(capfd, "prove", tmp_path / "many_2.nc", "--job", job)
    assert code == 0
    assert "program 2 of" in out


@pytest.mark.parametrize("content", [None, b"\xff\xfe binary"])
def test_a_program_that_cannot_be_read_is_said_to_be_none(capfd, tmp_path, content):
    program = tmp_path / "x.nc"
    if content is not None:
        program.write_bytes(content)
    code, _, err = ran(capfd, "prove", program, "--job", SIGN)
    assert code == 3
    assert "x.nc" in err
    assert "Traceback" not in err


def test_the_setup_sheet_carries_the_program_s_digest(capfd, tmp_path):
    page, words = tmp_path / "sign.pdf", tmp_path / "sign.html"
    code, out, _ = ran(capfd, "setup-sheet", SIGN, "--pdf", page, "--html", words)
    assert code in (0, 1)
    assert page.read_bytes().startswith(b"%PDF")
    assert "read back and proven" in words.read_text()
    assert "sign.nc, SHA-256" in out


def test_a_setup_sheet_says_why_there_is_no_program(capfd, tmp_path):
    page, words = tmp_path / "s.pdf", tmp_path / "s.html"
    options = ("--spindle-speed", "26000", "--html", words)
    code, _, _ = ran(capfd, "setup-sheet", SIGN, "--pdf", page, *options)
    assert code == 1
    assert "There is no NC program: outside:" in words.read_text()


def test_toolpaths_have_a_layer_a_pass_that_any_reader_finds(capfd, tmp_path):
    place = tmp_path / "paths.dxf"
    assert ran(capfd, "toolpaths", SIGN, "--dxf", place)[0] in (0, 1)
    document = ezdxf.readfile(place)
    layers = {e.dxf.layer for e in document.modelspace()}
    passes = Pipeline().results(replace_speed(SIGN, None)).plan.passes
    assert len(layers - {"sheets"}) == len(passes)
    assert "contour 1 rough level 1 T1" in layers
    assert not document.audit().errors
    bulges = [p[4] for e in document.modelspace() for p in e.get_points()]
    assert any(bulges), "arcs stay arcs"


def test_cleaned_outlines_come_back_as_the_same_contours(capfd, tmp_path):
    place = tmp_path / "outlines.dxf"
    ran(capfd, "toolpaths", SIGN, "--dxf", tmp_path / "p.dxf", "--outlines", place)
    file = open_drawing_file(place)
    found = find_contours(read_drawing(file), file)
    before = Pipeline().results(replace_speed(SIGN, None)).contours[0]
    assert [round(c.path.area_mm2, 6) for c in found.contours] == pytest.approx(
        [round(c.path.area_mm2, 6) for c in before.contours]
    )
