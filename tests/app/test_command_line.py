"""The command line as a person uses it: what it prints, how it ends, and never a traceback."""

import json
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest

from app.cli import run
from core.job import Job
from core.job.file import job_bytes

ROOT = Path(__file__).parent.parent.parent
GUARD = ROOT / "sample_jobs" / "guard_panel" / "guard_panel.dxf"
SIGN = ROOT / "sample_jobs" / "shop_sign" / "shop_sign.pane"


@pytest.fixture
def no_screen(monkeypatch):
    """No X server, no Wayland: as on a bare server."""
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def drawings(tmp_path):
    """Files that cannot be planned, each for a reason of its own."""
    doc = ezdxf.new()
    doc.modelspace().add_text("only words")
    doc.saveas(tmp_path / "words.dxf")
    (tmp_path / "text.dxf").write_text("dear customer, here is the drawing\n")
    (tmp_path / "empty.dxf").write_bytes(b"")
    (tmp_path / "folder.dxf").mkdir()
    (tmp_path / "half.dxf").write_bytes(GUARD.read_bytes()[:9000])
    (tmp_path / "damaged.pane").write_bytes(job_bytes(Job())[:60])
    return tmp_path


def ran(capfd, *arguments):
    """Run a command line; return its code, its text, and its one line of complaint."""
    code = run([str(a) for a in arguments])
    out, err = capfd.readouterr()
    return code, out, err


def test_a_plan_tells_the_drawing_the_job_the_passes_the_price_and_the_cautions(capfd):
    code, out, err = ran(capfd, "plan", GUARD, "--sheet", "polycarbonate 6 mm")
    assert code in (0, 1)
    assert err == ""
    for words in (
        "guard_panel.dxf: 600 mm x 400 mm",
        "Cut 1 of guard panel from polycarbonate, 6 mm",
        "Will it cut cleanly?",
        "rough",
        "skim",
        "heat margin",
        "Price, EUR",
        "Before you start",
    ):
        assert words in out


def test_the_json_holds_every_field_of_the_contract(capfd):
    _, out, _ = ran(capfd, "plan", GUARD, "--sheet", "polycarbonate 6 mm", "--json", "-")
    plan = json.loads(out)
    assert {*plan} >= {
        *("format", "program", "version", "drawings", "drawing", "sentence", "choices", "contours"),
        *("sheets", "order", "totals", "price", "answer"),
    }
    assert plan["format"] == 1
    assert plan["drawing"]["size_mm"] == [600.0, 400.0]
    assert (plan["drawing"]["outer_contours"], plan["drawing"]["holes"]) == (1, 9)
    one = plan["contours"][0]["passes"][0]
    assert {*one} >= {
        *("step", "cutter", "z_top_mm", "z_bottom_mm", "wall_stock_mm", "engagement", "direction"),
        *("spindle_speed_rpm", "feed_per_tooth_mm", "feed_speed_mm_min", "binding_limit"),
        *("path_length_mm", "time_s", "feed_per_tooth_reached_mm", "chip_thickness_mm", "thin"),
        *("power_w", "lateral_force_n", "wall_error_mm", "feed_mark_um", "chip_temperature_c"),
        *("wall_temperature_c", "wall_hottest_at_mm", "cutter_temperature_c", "heat_margin_k"),
        *("p_hot", "calibrated", "heat_cause", "limits"),
    }
    assert {*one["limits"][0]} >= {"name", "actual", "limit", "unit", "margin_ratio", "state"}
    assert plan["totals"]["cycle_time_s"] == pytest.approx(
        sum(v for k, v in plan["totals"].items() if k.endswith("_s") and k != "cycle_time_s")
    )


def test_json_goes_to_a_file_and_the_text_to_the_screen(capfd, tmp_path):
    _, out, _ = ran(capfd, "plan", SIGN, "--json", tmp_path / "plan.json")
    assert json.loads((tmp_path / "plan.json").read_text("utf-8"))["program"] == "panewright"
    assert "Will it cut cleanly?" in out


def test_inches_are_printed_when_asked_for(capfd):
    _, out, _ = ran(capfd, "plan", GUARD, "--inch")
    assert "23.622 in x 15.748 in" in out
    assert "in/min" in out


def test_a_guard_of_acrylic_is_outside_and_says_why(capfd):
    code, out, _ = ran(capfd, "plan", GUARD, "--sheet", "cast acrylic 6 mm")
    assert code == 1
    assert "shatters" in out


def test_without_a_screen_the_window_prints_the_plan_and_says_so(capfd, no_screen):
    code, out, err = ran(capfd, SIGN)
    assert code == 0
    assert "There is no screen: this is the plan as text." in err
    assert "sign, Kiln Lane Plastics" in out


def test_explain_gives_formula_values_and_source(capfd):
    code, out, _ = ran(
        capfd, "explain", GUARD, "--contour", "1", "--step", "rough", "--number", "feed_speed"
    )
    assert code == 0
    assert "v_f = n z f_z" in out
    assert "source" in out


def test_the_shelf_is_listed_with_its_sources_and_passes_its_check(capfd):
    _, out, _ = ran(capfd, "libraries")
    assert "polycarbonate" in out
    assert "common practice, no source" in out
    assert ran(capfd, "libraries", "check")[0] == 0


BAD = [
    (("plan", "text.dxf"), 3, "DXF"),
    (("plan", "empty.dxf"), 3, "empty"),
    (("plan", "folder.dxf"), 3, "folder"),
    (("plan", "missing.dxf"), 3, "missing.dxf"),
    (("plan", "damaged.pane"), 3, "damaged"),
    (("plan", "@guard", "--sheet", "polycarbonate 0 mm"), 2, "0 mm"),
    (("plan", "@guard", "--thickness", "1,500"), 2, "two ways"),
    (("plan", "@guard", "--material", "polycarbonat"), 2, "polycarbonate"),
    (("plan", "@guard", "--rough-cutter", "t1_roughr"), 2, "t1_rougher_6"),
    (("plan", "@guard", "--machine", "missing.toml"), 2, "missing.toml"),
    (("plan", "@guard", "--accept", "heat"), 2, "--reason"),
    (("plan", "@guard", "--quantity", "0"), 2, "quantity of 0"),
    (("plan", "@guard", "--wall-stock", "-1 mm"), 2, "wall"),
    (("plan", "@guard", "--spindle-speed", "fast"), 2, "--spindle-speed"),
    (("plan",), 2, "FILE"),
    (("frobnicate", "x"), 2, "frobnicate"),
]


@pytest.mark.parametrize(("arguments", "code", "words"), BAD)
def test_bad_input_gets_one_clear_line_and_the_contract_s_exit_code(
    capfd, drawings, arguments, code, words
):
    verb, *rest = arguments
    places = [
        GUARD if a == "@guard" else drawings / a if a.endswith((".dxf", ".pane", ".toml")) else a
        for a in rest
    ]
    got, out, err = ran(capfd, verb, *places)
    assert got == code
    assert out == ""
    assert err.count("\n") == 1
    assert words in err
    assert "Traceback" not in err


def test_a_truncated_drawing_is_read_as_far_as_it_goes_or_refused_in_one_line(capfd, drawings):
    code, _, err = ran(capfd, "plan", drawings / "half.dxf")
    assert code in (0, 1, 3)
    assert err.count("\n") <= 1
    assert "Traceback" not in err


def test_a_drawing_of_words_only_says_that_there_is_nothing_to_cut(capfd, drawings):
    code, out, _ = ran(capfd, "plan", drawings / "words.dxf")
    assert code == 1
    assert "no outline to cut" in out


def test_a_cutter_wider_than_every_slot_is_said_for_each(capfd):
    code, out, _ = ran(capfd, "plan", GUARD, "--hole-cutter", "t6_large_8")
    assert code == 1
    assert "8 alike" in out[out.index("does not fit") :]


def test_an_interrupted_plan_ends_with_130(capfd, monkeypatch):
    def stop(*_args, **_more):
        raise KeyboardInterrupt

    monkeypatch.setattr("core.pipeline.Pipeline.results", stop)
    code, _, err = ran(capfd, "plan", GUARD)
    assert code == 130
    assert "stopped" in err


def test_the_program_runs_from_a_bare_clone():
    done = subprocess.run(
        [sys.executable, "-m", "app", "--version"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.startswith("panewright ")


def test_a_stranger_called_core_is_named(tmp_path):
    (tmp_path / "core.py").write_text("")
    code = (
        f"import sys; sys.path[:0] = [{str(tmp_path)!r}, {str(ROOT)!r}]\n"
        "from app.main import main; main(['--version'])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert "another package named 'core'" in done.stderr
    assert "Traceback" not in done.stderr


def test_contours_of_several_drawings_are_told_apart(capfd):
    _, out, _ = ran(capfd, "plan", GUARD, SIGN.with_suffix(".dxf"))
    assert out.index("In guard_panel.dxf") < out.index("In shop_sign.dxf")
