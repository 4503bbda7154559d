"""Drills and edge breaks from the command line."""

import json

import pytest

from app.cli import run


@pytest.fixture
def panel(tmp_path):
    file = tmp_path / "panel.dxf"
    holes = ("--holes", "corners:5@20", "--hole", "30@150,100")
    assert run(["panel", "--size", "300x200", *holes, "--dxf", str(file)]) == 0
    return file


def planned(capfd, *arguments):
    capfd.readouterr()
    code = run(["plan", *map(str, arguments), "--json", "-"])
    out, err = capfd.readouterr()
    return code, json.loads(out) if out else None, err


def steps(report):
    return {c["task"]: [p["step"] for p in c["passes"]] for c in report["contours"]}


def test_holes_that_a_drill_fits_are_drilled_when_asked_for(capfd, panel):
    _, plain, _ = planned(capfd, panel)
    assert set(steps(plain)) == {"outside", "inside"}
    _, drilled, _ = planned(capfd, panel, "--drill-holes")
    assert steps(drilled)["drill"] == ["drill"]
    assert sum(c["task"] == "drill" for c in drilled["contours"]) == 4
    assert "Drill the holes that a drill fits" in drilled["sentence"]


def test_edges_are_broken_by_what_was_typed(capfd, panel):
    _, report, _ = planned(capfd, panel, "--edge-break", "0.4mm")
    for contour in report["contours"]:
        (one,) = [p for p in contour["passes"] if p["step"] == "edge break"]
        assert one["depth_from"] == "top"
        assert one["z_bottom_mm"] == pytest.approx(6.0 - 0.4 - 0.5)
    assert "Break upper edges by 0.4 mm" in report["sentence"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--edge-break", "9 mm"), "an edge break of 9 mm cannot be cut"),
        (("--edge-break", "0.4 mm", "--edge-cutter", "t12_drill_5"), "a V cutter is needed"),
    ],
)
def test_what_cannot_be_meant_is_told_in_one_line(capfd, panel, arguments, words):
    code, report, err = planned(capfd, panel, *arguments)
    assert (code in (2, 3), report) == (True, None)
    assert words in err
    assert err.count("\n") == 1
