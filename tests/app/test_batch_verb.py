"""The verb `batch`: a folder to reports and a table, whatever its files and its user do."""

import csv
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from app.batch import ENDED, Errand, files_of, plan_all
from app.batch_rows import Row, rows_csv, rows_json
from app.cli import run
from app.options import parser
from core.errors import DrawingError

ROOT = Path(__file__).parent.parent.parent
SIGN = ROOT / "sample_jobs" / "shop_sign" / "shop_sign.dxf"
JOB = ROOT / "sample_jobs" / "shop_sign" / "shop_sign.pane"


@pytest.fixture
def folder(tmp_path):
    """Two drawings, a job, a file that is no drawing, and things that are nobody's business."""
    source = tmp_path / "in"
    source.mkdir()
    shutil.copy(SIGN, source / "b sign.dxf")
    shutil.copy(SIGN, source / "A sign.DXF")
    shutil.copy(JOB, source / "job.pane")
    (source / "letter.dxf").write_text("dear shop,\nhere is the drawing\n")
    (source / "readme.txt").write_text("not a drawing")
    (source / "folder.dxf").mkdir()
    return source


def ran(capfd, *arguments):
    code = run([str(a) for a in arguments])
    out, err = capfd.readouterr()
    return code, out, err


def table(out):
    with (out / "prices.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_every_drawing_and_job_gets_its_reports_and_its_row_in_the_order_of_names(
    capfd, folder, tmp_path
):
    out = tmp_path / "deep" / "out"
    code, printed, err = ran(capfd, "batch", folder, "--out", out, "--cores", "1")
    assert code == 3
    assert err == (
        "panewright: letter.dxf: is no DXF file; save the drawing as DXF (R12 to 2018)\n"
    )
    rows = table(out)
    assert [row["file"] for row in rows] == ["A sign.DXF", "b sign.dxf", "job.pane", "letter.dxf"]
    assert [line.split("  ")[0] for line in printed.splitlines()] == [row["file"] for row in rows]
    assert sorted(file.name for file in out.iterdir()) == sorted(
        ["prices.csv"] + [f"{row['file']}.{kind}" for row in rows[:3] for kind in ("txt", "json")]
    )
    assert rows[3]["problem"].startswith("is no DXF file")
    assert rows[3]["price_total"] == ""


def test_a_row_says_what_the_report_of_the_file_says(capfd, folder, tmp_path):
    (folder / "letter.dxf").unlink()
    code, _, err = ran(capfd, "batch", folder, "--out", tmp_path, "--cores", "1", "--quantity", "3")
    assert (code, err) in ((0, ""), (1, ""))
    for row in table(tmp_path):
        report = json.loads((tmp_path / f"{row['file']}.json").read_text("utf-8"))
        assert row["price_per_part"] == report["price"]["per_part"]
        assert row["cleanly"] == report["answer"]["cleanly"]
        assert int(row["sheets"]) == len(report["sheets"])
        assert float(row["cycle_time_s"]) == pytest.approx(
            report["totals"]["cycle_time_s"], abs=0.06
        )
        assert [float(row["width_mm"]), float(row["height_mm"])] == report["drawing"]["size_mm"]
        assert row["quantity"] == "3"
        assert "Cut 3 of" in (tmp_path / f"{row['file']}.txt").read_text("utf-8")


def test_processes_write_the_same_bytes_as_one_core(capfd, folder, tmp_path):
    one, many = tmp_path / "one", tmp_path / "many"
    ran(capfd, "batch", folder, "--out", one, "--cores", "1")
    code, _, err = ran(capfd, "batch", folder, "--out", many, "--cores", "2")
    assert (code, err.count("\n")) == (3, 1)
    names = sorted(file.name for file in one.iterdir())
    assert names == sorted(file.name for file in many.iterdir())
    for name in names:
        assert (one / name).read_bytes() == (many / name).read_bytes()


def test_a_limit_outside_in_one_file_gives_exit_1(capfd, tmp_path):
    shutil.copy(SIGN, tmp_path / "guard.dxf")
    sheet = ("--sheet", "cast acrylic 6 mm")
    code, printed, _ = ran(
        capfd, "batch", tmp_path, "--out", tmp_path / "out", "--cores", "1", *sheet
    )
    assert code == 1
    assert "outside" in printed


def test_the_table_goes_to_stdout_as_json(capfd, folder, tmp_path):
    _, printed, _ = ran(capfd, "batch", folder, "--out", tmp_path, "--cores", "1", "--json", "-")
    document = json.loads(printed)
    assert document["format"] == 1
    assert [row["file"] for row in document["rows"]] == [r["file"] for r in table(tmp_path)]
    assert document["rows"][0]["problem"] == ""
    assert document["rows"][3]["cycle_time_s"] is None


BAD = [
    (("missing", "--out", "out"), 3, "No such file"),
    (("empty", "--out", "out"), 3, "holds no .dxf"),
    (("in",), 2, "--out"),
    (("in", "--out", "out", "--cores", "0"), 2, "--cores"),
    (("in", "--out", "out", "--material", "glass"), 2, "'glass'"),
    (("in", "--out", "out", "--layer-rules", "kiln"), 2, "kiln_lane"),
    (("in", "--out", "out", "--thickness", "1,500"), 2, "--thickness"),
    (("in", "--out", "in/letter.dxf"), 3, "choose another place"),
]


@pytest.mark.parametrize(("words", "code", "said"), BAD)
def test_what_can_be_meant_for_no_file_is_said_once_and_before_any_plan(
    capfd, folder, tmp_path, monkeypatch, words, code, said
):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    got, out, err = ran(capfd, "batch", *words)
    assert (got, out, err.count("\n")) == (code, "", 1)
    assert said in err
    assert not (tmp_path / "out" / "prices.csv").exists()


def test_a_folder_that_is_a_file_is_said(tmp_path):
    (tmp_path / "x.dxf").write_text("")
    with pytest.raises(DrawingError, match="name a folder"):
        files_of(tmp_path / "x.dxf")


class EndsItsProcess:
    """Options that end whatever process unpacks them, as a want of memory would."""

    def __reduce__(self):
        return os._exit, (3,)


def test_a_file_that_ends_its_process_costs_its_own_row_only(folder, tmp_path):
    options = parser("0").parse_args(["batch", str(folder), "--out", str(tmp_path)])
    errands = [
        Errand(folder / name, tmp_path, words, None, "0")
        for name, words in (
            ("A sign.DXF", options),
            ("b sign.dxf", EndsItsProcess()),
            ("job.pane", options),
        )
    ]
    rows = []
    plan_all(errands, 2, rows.append)
    problems = {row.file: row.problem for row in rows}
    assert problems == {"A sign.DXF": "", "b sign.dxf": ENDED, "job.pane": ""}


def test_a_fault_of_ours_in_one_file_is_a_row_and_the_rest_goes_on(
    capfd, folder, tmp_path, monkeypatch
):
    from core.pipeline import Pipeline

    results = Pipeline.results

    def fails(self, job, **more):
        if job.drawings[0].name == "A sign.DXF":
            raise ZeroDivisionError("by\nnothing")
        return results(self, job, **more)

    monkeypatch.setattr(Pipeline, "results", fails)
    code, _, err = ran(capfd, "batch", folder, "--out", tmp_path, "--cores", "1")
    assert code == 3
    assert "A sign.DXF: a fault of this program, please report it: ZeroDivisionError by" in err
    assert [bool(row["problem"]) for row in table(tmp_path)] == [True, False, False, True]


def test_an_interrupt_leaves_what_is_done_with_its_table(capfd, folder, tmp_path, monkeypatch):
    from core.pipeline import Pipeline

    results = Pipeline.results

    def stops(self, job, **more):
        if job.drawings[0].name == "b sign.dxf":
            raise KeyboardInterrupt
        return results(self, job, **more)

    monkeypatch.setattr(Pipeline, "results", stops)
    code, _, err = ran(capfd, "batch", folder, "--out", tmp_path / "out", "--cores", "1")
    assert code == 130
    assert "1 of 4 files are done" in err
    assert [row["file"] for row in table(tmp_path / "out")] == ["A sign.DXF"]


def interrupted(process):
    """Press Ctrl-C: every process of the terminal hears it."""
    if hasattr(os, "killpg"):
        os.killpg(process.pid, signal.SIGINT)
    else:
        process.send_signal(signal.CTRL_C_EVENT)


def test_an_interrupt_from_the_keyboard_ends_every_process_without_a_trace(folder, tmp_path):
    for number in range(40):
        shutil.copy(SIGN, folder / f"sign {number}.dxf")
    out = tmp_path / "out"
    batch = subprocess.Popen(
        [sys.executable, "-m", "app", "batch", str(folder), "--out", str(out), "--cores", "2"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    while not list(out.glob("*.json")) and batch.poll() is None:
        time.sleep(0.02)
    interrupted(batch)
    _, err = batch.communicate(timeout=60)
    assert batch.returncode == 130
    assert "Traceback" not in err
    assert "files are done" in err
    rows = table(out)
    assert 0 < len(rows) < 44
    assert {f"{row['file']}.json" for row in rows if not row["problem"]} == {
        file.name for file in out.glob("*.json")
    }


def test_progress_is_told_on_a_terminal_only(capfd, folder, tmp_path, monkeypatch):
    words = ("batch", folder, "--out", tmp_path, "--cores", "1")
    assert "of 4" not in ran(capfd, *words)[2]
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    assert "4 of 4: letter.dxf" in ran(capfd, *words)[2]


@pytest.mark.parametrize("name", ["=1+1.dxf", "@sum.dxf", "-2.dxf", "+x.dxf"])
def test_a_file_name_is_never_a_formula_in_the_table(name):
    (row,) = csv.DictReader(rows_csv([Row(name, "x")]).splitlines())
    assert row["file"] == f"'{name}"
    assert json.loads(rows_json([Row(name)], "0"))["rows"][0]["file"] == name


def test_options_of_a_plan_hold_for_every_file(capfd, folder, tmp_path):
    ran(capfd, "batch", folder, "--out", tmp_path, "--cores", "1", "--inch", "--units", "inch")
    rows = table(tmp_path)
    assert {row["width_mm"] for row in rows[:2]} == {str(round(240.0 * 25.4, 3))}
    assert " in x " in (tmp_path / "b sign.dxf.txt").read_text("utf-8")
