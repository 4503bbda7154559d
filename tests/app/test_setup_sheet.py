"""The setup sheet: what it tells, on paper (looked at with poppler's tools) and to a screen reader.

poppler-utils (pdftotext, pdffonts, pdfimages, pdftoppm) must be installed.
"""

import re
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from app.printing.content import Column, Document, Row, Section, Table
from app.printing.document_pdf import document_pdf
from app.printing.scale import round_scale
from app.printing.setup_content import setup_document
from app.printing.setup_sheet import setup_sheet_html, setup_sheet_pdf
from core.job import Acceptance
from core.job.digest import job_digest
from core.job.file import read_job
from core.pipeline import Pipeline
from core.units import UnitSystem

ROOT = Path(__file__).parent.parent.parent
JOBS = sorted(ROOT.glob("sample_jobs/*/*.pane"))


@pytest.fixture(scope="module")
def results():
    return Pipeline().results(read_job(ROOT / "sample_jobs/guard_panel/guard_panel.pane"))


@pytest.fixture(scope="module")
def page(results, tmp_path_factory):
    place = tmp_path_factory.mktemp("page") / "setup.pdf"
    place.write_bytes(setup_sheet_pdf(results, "1.2.3"))
    return place


def poppler(name, place, *options):
    done = subprocess.run([name, *options, str(place)], capture_output=True, check=True)
    return done.stdout.decode()


def text_of(place):
    done = subprocess.run(["pdftotext", str(place), "-"], capture_output=True, check=True)
    return re.sub(r"\s+", " ", done.stdout.decode())


def test_the_text_can_be_found_and_copied(page, results):
    text = text_of(page)
    for told in (
        results.report.sentence[:60],
        "Z is zero at the bed",
        "18 000",
        "Size correction",
        "Test cut",
        "page 1 of",
        job_digest(results.job)[:12],
    ):
        assert told in text


def test_nothing_on_it_is_a_picture(page):
    assert poppler("pdfimages", page, "-list").count("\n") == 2, "only the two lines of the head"


def test_every_letter_is_of_the_bundled_font(page):
    fonts = [line.split()[0] for line in poppler("pdffonts", page).splitlines()[2:]]
    assert fonts
    assert all("B612" in font for font in fonts)


def test_the_pages_can_be_drawn(page, tmp_path):
    subprocess.run(["pdftoppm", "-r", "30", "-gray", str(page), str(tmp_path / "p")], check=True)
    pages = sorted(tmp_path.glob("p*.pgm"))
    count = int(re.search(r"page 1 of (\d+)", text_of(page)).group(1))
    assert len(pages) == count
    assert all(min(p.read_bytes()[20:]) < 128 for p in pages), "a page is empty"


@pytest.mark.parametrize("job", JOBS, ids=lambda path: path.stem)
def test_every_sample_job_has_a_setup_sheet(job):
    results = Pipeline().results(read_job(job))
    assert setup_sheet_pdf(results, "1.2.3").startswith(b"%PDF")
    words = setup_sheet_html(results, "1.2.3")
    for contour in results.report.contours:
        for one in contour.passes:
            assert one.step in words


def sections(document):
    return {section.title: section for section in document.sections}


def tables(section):
    return [item for item in section.items if isinstance(item, Table)]


def test_each_pass_stands_in_the_table_with_its_actual_chip_load(results):
    (table,) = tables(sections(setup_document(results, "1"))["Passes"])
    outline = results.report.contours[0].passes[0]
    cells = table.rows[0].cells
    assert cells[0] == "1"
    assert f"/ {outline.feed_per_tooth_reached_mm.mean:.2g}" in cells[8]
    assert table.rows[0].state == outline.state.value


def test_the_order_of_work_names_every_contour_of_every_copy(results):
    (table,) = tables(sections(setup_document(results, "1"))["Order of work"])
    told = {
        (int(copy), int(contour), step)
        for row in table.rows
        for copy, step, ids in re.findall(r"copy (\d+) ([^:]+): ([\d, ]+)", row.cells[-1])
        for contour in ids.split(",")
    }
    paths = [(x.copy + 1, results.plan.passes[x.pass_index].toolpath) for x in results.order.lines]
    assert told == {(copy, path.contour_id, path.step.name) for copy, path in paths}


def test_the_cutters_stand_with_stick_out_and_wear(results):
    (table,) = tables(sections(setup_document(results, "1"))["Cutters"])
    assert [row.cells[0] for row in table.rows] == ["T1", "T2"]
    assert table.rows[0].cells[4:6] == ("25 mm", "120 m of 350 m")


def test_an_accepted_limit_stands_with_its_reason(results):
    accepted = Acceptance("chip_load", "the holes are cut under a watchful eye")
    job = replace(results.job, accepted=(accepted,))
    words = setup_sheet_html(Pipeline().results(job), "1")
    assert "Accepted: chip_load" in words
    assert accepted.reason in words


def test_inches_are_printed_where_they_are_asked_for(results):
    words = setup_sheet_html(results, "1", UnitSystem.INCH)
    assert "Feed in/min" in words
    assert "Feed mm/min" not in words


def test_the_proof_of_a_program_stands_on_the_sheet(results):
    assert "proven: abc" in setup_sheet_html(results, "1", proof="proven: abc")


class Headings(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags = []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))


def test_a_screen_reader_finds_headings_and_column_heads(results):
    reader = Headings()
    reader.feed(setup_sheet_html(results, "1"))
    tags = [tag for tag, _ in reader.tags]
    assert tags.count("h1") == 1
    assert tags.count("h2") >= 9
    assert tags.count("table") == tags.count("caption")
    assert all(attrs.get("scope") == "col" for tag, attrs in reader.tags if tag == "th")
    assert ("html", {"lang": "en"}) in reader.tags


def test_a_job_called_by_markup_stays_text(results):
    job = replace(results.job, name="<b>cover & lid</b>")
    words = setup_sheet_html(Pipeline().results(job), "1")
    assert "&lt;b&gt;cover &amp; lid" in words
    assert "<b>" not in words


def test_a_long_table_goes_on_with_its_head_on_the_next_page(tmp_path):
    rows = tuple(Row((f"row {k}", "x")) for k in range(120))
    table = Table("long", (Column("Head one", 1.0), Column("Head two", 1.0)), rows)
    document = Document("Kind", "Title", "Sub", "code", (Section("Long", (table,)),), "foot")
    place = tmp_path / "long.pdf"
    place.write_bytes(document_pdf(document))
    text = text_of(place)
    pages = int(re.search(r"page 1 of (\d+)", text).group(1))
    assert pages > 1
    assert text.count("Head one") == pages
    assert all(f"row {k} " in text for k in range(120))


@pytest.mark.parametrize(
    ("least", "scale"), [(1.0, 1.0), (3.2, 4.0), (0.21, 0.25), (11.0, 15.0), (8.5, 10.0)]
)
def test_a_drawing_stands_at_a_scale_that_a_rule_can_be_laid_on(least, scale):
    assert round_scale(least) == pytest.approx(scale)


def test_a_setting_changes_the_digest_and_packing_does_not(results):
    assert job_digest(results.job) == job_digest(replace(results.job))
    assert job_digest(replace(results.job, quantity=5)) != job_digest(results.job)


def test_a_programmed_stop_is_told_with_what_is_done_then():
    cover = Pipeline().results(read_job(ROOT / "sample_jobs/scale_cover/scale_cover.pane"))
    asked = {p.toolpath.stop_after for p in cover.plan.passes} - {""}
    assert asked, "the cover's window leaves a loose piece"
    words = setup_sheet_html(cover, "1")
    assert all(f"the program waits: {what}" in words for what in asked)
