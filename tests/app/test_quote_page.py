"""The second question in the window: the quote of the plan, and the papers printed of it."""

import zipfile
from dataclasses import replace
from decimal import Decimal

import pytest
from by_hand import drain, press, settled
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from real_plans import real_window

LEFT = Qt.MouseButton.LeftButton


def quoted(qtbot, window):
    """Wait for the plan and its quote."""
    settled(qtbot, window)
    qtbot.waitUntil(lambda: not window.bench.quoting.is_busy, timeout=30_000)
    drain()


def written(qtbot, window):
    """Wait until a file has been made."""
    qtbot.waitUntil(lambda: not window.bench.writer.worker.is_busy, timeout=60_000)
    drain()


@pytest.fixture
def window(qtbot, tmp_path):
    window = real_window(qtbot, tmp_path, "shop_sign")
    press(qtbot, window, "question_2")
    quoted(qtbot, window)
    return window


@pytest.fixture
def asked(monkeypatch, tmp_path):
    """Answer every question for a file with a place in a folder; keep what was proposed."""
    proposed = []

    def answer(_parent, _title, name, _kinds):
        proposed.append(name)
        return str(tmp_path / f"out{name[name.rindex('.') :]}"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(answer))
    return proposed


def test_the_ledger_is_that_of_the_quote_and_adds_up_on_the_screen(window):
    price = window.bench.quoting.quoted.quote.price
    rows = window.bench.price.price.rows()
    shown = [
        Decimal(amount.split()[0].replace("\u2212", "-").replace("\u202f", ""))
        for _, amount in rows
    ]
    assert sum(shown[:-2]) == shown[-2] == price.total
    assert shown[-1] == price.per_part
    assert [name for name, _ in rows[:-2]] == [line.name for line in price.lines]


def test_every_line_opens_its_formula(qtbot, window):
    ledger = window.bench.price.price
    ledger.lines.setFocus()
    qtbot.keyClick(ledger.lines, Qt.Key.Key_Home)
    seen = set()
    for line in window.bench.quoting.quoted.quote.price.lines:
        assert line.explained.name.casefold() in ledger.reason.text().casefold()
        seen.add(ledger.reason.text())
        qtbot.keyClick(ledger.lines, Qt.Key.Key_Down)
    assert len(seen) == len(window.bench.quoting.quoted.quote.price.lines)


def test_breaks_range_and_slopes_stand_beside_the_ledger(window):
    page, made = window.bench.price, window.bench.quoting.quoted.quote
    assert [one.quantity for one in made.breaks] == [1, 10, 50, 100]
    for one in made.breaks:
        assert str(one.per_part) in page.breaks.text.text()
    assert f"{made.range.low} to {made.range.high}" in page.range.text.text()
    for slope in made.slopes:
        assert slope.name in page.slopes.text.text()


def test_the_answer_says_the_price_of_the_quote(window):
    price = window.bench.quoting.quoted.quote.price
    answer = window.answers.cards[1].answer
    assert f"{price.per_part} {price.currency}" in answer.text
    assert "nested" in answer.note


def test_an_edit_makes_another_quote_and_the_old_one_is_no_longer_shown(qtbot, window):
    before = window.bench.quoting.quoted
    window.desk.document.edit("ten of them", _ten)
    settled(qtbot, window)
    quoted(qtbot, window)
    after = window.bench.quoting.quoted
    assert after is not before
    assert after.results is window.desk.results
    assert after.quote.price.total == 10 * after.quote.price.per_part


def _ten(job):
    return replace(job, quantity=10)


@pytest.mark.parametrize(
    ("name", "begins"), [("quote_pdf", b"%PDF"), ("cost_pdf", b"%PDF"), ("workbook", b"PK")]
)
def test_a_paper_is_asked_for_made_in_the_background_and_said(
    qtbot, window, asked, tmp_path, name, begins
):
    qtbot.mouseClick(window.bench.price.buttons[name], LEFT)
    written(qtbot, window)
    (proposed,) = asked
    assert "shop_sign" in proposed
    made = next(tmp_path.glob("out.*"))
    assert made.read_bytes().startswith(begins)
    assert made.name in window.status.message.text()
    if name == "workbook":
        assert zipfile.ZipFile(made).testzip() is None


def test_a_dialog_that_is_left_writes_nothing_and_says_nothing(
    qtbot, window, monkeypatch, tmp_path
):
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_: ("", "")))
    before = window.status.message.text()
    qtbot.mouseClick(window.bench.price.buttons["quote_pdf"], LEFT)
    written(qtbot, window)
    assert window.status.message.text() == before
    assert not list(tmp_path.glob("out.*"))


def test_a_place_that_cannot_be_written_is_said_in_one_line(qtbot, window, monkeypatch, tmp_path):
    gone = str(tmp_path / "no such folder" / "out.pdf")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_: (gone, "")))
    qtbot.mouseClick(window.bench.price.buttons["cost_pdf"], LEFT)
    written(qtbot, window)
    assert "cannot be written" in window.status.message.text()
    assert "Traceback" not in window.status.message.text()
