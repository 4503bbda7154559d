"""Opening and reading: progress, cancelling, layers, determinism, quiet terminals."""

from __future__ import annotations

import contextlib
import io

import ezdxf
import pytest

from core.drawing import open_drawing_file, opening, read_drawing
from core.errors import Cancelled, DrawingError
from core.job.job import DrawingFile


@pytest.fixture(scope="module")
def content():
    document = ezdxf.new("R2010", units=4)
    for k in range(400):
        document.modelspace().add_circle((20 * (k % 20), 20 * (k // 20)), 4)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def test_a_missing_file_a_folder_and_a_huge_one_are_each_one_line(tmp_path, monkeypatch):
    (tmp_path / "big.dxf").write_bytes(b"0\nSECTION\n" * 3)
    monkeypatch.setattr(opening, "MAX_FILE_BYTES", 10)
    for name, words in (("no.dxf", "no such file"), ("", "is a folder"), ("big.dxf", "save only")):
        with pytest.raises(DrawingError, match=words):
            open_drawing_file(tmp_path / name)


def test_progress_runs_from_little_to_all(content):
    told = []
    read_drawing(DrawingFile("a.dxf", content), progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) > 5


def test_reading_stops_soon_after_the_user_asks(content):
    asked = iter([False] * 5)
    with pytest.raises(Cancelled):
        read_drawing(DrawingFile("a.dxf", content), cancelled=lambda: next(asked, True))


def test_reading_twice_gives_the_same(content):
    one, two = (read_drawing(DrawingFile("a.dxf", content)) for _ in range(2))
    assert one.segments.start.tolist() == two.segments.start.tolist()
    assert one.findings == two.findings


def test_what_the_loader_complains_about_does_not_reach_the_terminal(capfd):
    text = "0\nSECTION\n2\nHEADER\n9\n$BROKEN\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
    text += "0\nLINE\n8\nbad*name|<>\n10\n0\n20\n0\n11\n9\n21\nx\n0\nENDSEC\n0\nEOF\n"
    with contextlib.suppress(DrawingError):
        read_drawing(DrawingFile("noisy.dxf", text.encode()))
    assert capfd.readouterr() == ("", "")


def test_arrays_of_a_drawing_cannot_be_written_to(content):
    drawing = read_drawing(DrawingFile("a.dxf", content))
    with pytest.raises(ValueError, match="read-only"):
        drawing.layer_index[0] = 5
