"""What leaves the window for the machine: setup sheet, proven program, refusal, toolpaths."""

from dataclasses import replace

import pytest
from by_hand import drain, press, settled
from PySide6.QtWidgets import QFileDialog
from real_plans import real_window

from core.job.job import Acceptance


@pytest.fixture
def window(qtbot, tmp_path):
    return real_window(qtbot, tmp_path, "shop_sign")


@pytest.fixture
def place(monkeypatch, tmp_path):
    """Answer every question for a file with a place in a folder."""
    folder = tmp_path / "out"
    folder.mkdir()

    def answer(_parent, _title, name, _kinds):
        return str(folder / f"sign{name[name.rindex('.') :]}"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(answer))
    return folder


def written(qtbot, window):
    qtbot.waitUntil(lambda: not window.bench.writer.worker.is_busy, timeout=120_000)
    drain()


def thin_skin(job):
    """A skin thinner than bed and depth errors: outside, and nothing else is."""
    return replace(job, floor_stock_mm=0.1)


def test_the_setup_sheet_is_printed_with_control_p(qtbot, window, place):
    press(qtbot, window, "setup_sheet")
    written(qtbot, window)
    content = (place / "sign.pdf").read_bytes()
    assert content.startswith(b"%PDF")
    assert window.status.message.text().startswith("Written: sign.pdf")


def test_a_program_is_written_after_its_proof_and_the_proof_is_shown(qtbot, window, place):
    window.actions_by_name["nc"].trigger()
    written(qtbot, window)
    text = (place / "sign.nc").read_text()
    assert text.splitlines()
    assert "proven" in window.status.message.text()
    reader = window.overlays.reader
    assert reader.isVisible()
    shown = reader.text.toPlainText()
    assert "sign.nc: proven" in shown
    assert "outlines severed at full depth" in shown


def test_a_program_is_refused_with_the_reasons_while_a_limit_is_outside(qtbot, window, place):
    window.desk.document.edit("thin skin", thin_skin)
    settled(qtbot, window)
    assert window.desk.report.answer.outside
    window.actions_by_name["nc"].trigger()
    written(qtbot, window)
    assert not list(place.iterdir())
    assert "No NC program" in window.status.message.text()
    shown = window.overlays.reader.text.toPlainText()
    assert "skin under the part" in shown
    assert "--accept" not in shown


def test_what_was_accepted_no_longer_stands_against_the_program(qtbot, window, place):
    window.desk.document.edit("thin skin", thin_skin)
    accepted = (Acceptance("floor_skin", "tried on scrap, and it held"),)
    window.desk.document.edit("accept", lambda job: replace(job, accepted=accepted))
    settled(qtbot, window)
    window.actions_by_name["nc"].trigger()
    written(qtbot, window)
    assert (place / "sign.nc").exists()
    assert "proven and written" in window.status.message.text()


def test_toolpaths_are_written_as_a_drawing(qtbot, window, place):
    import ezdxf

    window.actions_by_name["toolpaths"].trigger()
    written(qtbot, window)
    drawing = ezdxf.readfile(place / "sign.dxf")
    layers = {entity.dxf.layer for entity in drawing.modelspace()}
    assert any("rough" in layer for layer in layers)


def test_cancel_stops_a_paper_and_nothing_is_written(qtbot, window, place):
    window.actions_by_name["setup_sheet"].trigger()
    assert window.bench.writer.worker.is_busy
    window.status.cancel_asked.emit()
    assert not window.bench.writer.worker.is_busy
    qtbot.waitUntil(lambda: window.bench.writer.worker.is_idle, timeout=120_000)
    assert not list(place.iterdir())
