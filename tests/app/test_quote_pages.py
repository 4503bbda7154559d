"""The quote's pages and tables: what they say, what they keep to themselves, that they compute."""

import csv
import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree

import pytest

from app.printing.content import Facts, Note, SheetPicture, Table, Text
from app.printing.cost_content import cost_document
from app.printing.quote_content import quote_document
from app.printing.quote_pdf import cost_pdf, quote_pdf
from core.errors import PlanError
from core.job import FreeLine, LineChange, Offer, Per
from core.job.file import read_job
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.quote.quoting import quote, rack_of
from core.quote.sheet_work import Planned
from core.quote.tables import csv_text, neutral
from core.quote.workbook import cell, spoken_to_cells, workbook_bytes
from core.units import UnitSystem

DAY = date(2026, 1, 20)
EVIL = "=HYPERLINK(1)"


@pytest.fixture(scope="module")
def made(request):
    """Return a quote of the guard panel with a line of every kind, and its plan."""
    job = read_job(request.config.rootpath / "sample_jobs" / "guard_panel" / "guard_panel.pane")
    offer = Offer(
        customer="Millbrook Bakery",
        services=("polish edges",),
        free_lines=(FreeLine(EVIL, Per.HOLE, "0.45"),),
        changes=(LineChange("machine", "80.00", "agreed"),),
    )
    job = replace(job, quantity=25, offer=offer)
    r = Pipeline().results(job)
    planned = Planned(r.contours, r.chosen, r.plan, r.motion)
    rack = rack_of(job, Shelf(), r.chosen.rates)
    return quote(job, planned, rack, (1, 10), enough=lambda: True), planned


def words_of(document):
    """Return every text of a document in one string."""
    texts = [document.kind, document.title, document.subtitle, document.footer]
    for section in document.sections:
        texts.append(section.title)
        for item in section.items:
            if isinstance(item, Text):
                texts.append(item.text)
            elif isinstance(item, Facts):
                texts += [f"{label}: {value}" for label, value in item.facts]
            elif isinstance(item, Table):
                texts += [" ".join(row.cells) for row in item.rows]
            elif isinstance(item, Note):
                texts.append(item.headline)
    return "\n".join(texts)


def test_the_customer_reads_price_parts_what_is_included_and_the_terms(made):
    words = words_of(quote_document(*made, DAY))
    price = made[0].price
    for told in (
        "For Millbrook Bakery",
        f"Unit price: EUR {price.per_part}",
        "VAT 20.0%",
        "valid until: 2026-01-20, 2026-02-19",
        "600 mm × 400 mm",
        "polished edges",
        "Delivery ex works",
    ):
        assert told in words


def test_the_customer_reads_no_inner_costs(made):
    words = words_of(quote_document(*made, DAY))
    amounts = {str(line.amount) for line in made[0].price.lines} | {str(made[0].price.cost)}
    assert not [amount for amount in amounts if amount in words]
    for inner in ("mark-up", "overhead", "an hour", "58.00", "39.00", "wear", "set by hand"):
        assert inner not in words


def test_the_shop_reads_every_line_with_its_formula(made):
    words = words_of(cost_document(*made, DAY))
    for line in made[0].price.lines:
        assert line.name in words
        assert line.explained.formula in words
    assert "set by hand (agreed)" in words


def test_the_shop_sees_every_sheet_that_differs(made):
    document = cost_document(*made, DAY)
    pictures = [i for s in document.sections for i in s.items if isinstance(i, SheetPicture)]
    assert len(pictures) == len(made[0].nesting.sheets)
    # an outline and nine holes a part
    assert len(pictures[0].outlines) == 10 * len(made[0].nesting.sheets[0].parts)


def test_a_mirrored_part_is_drawn_mirrored(made):
    found, planned = made
    sheet = found.nesting.sheets[0]
    first = replace(sheet.parts[0], mirrored=True, at_mm=(700.0, 20.0), turn_deg=0.0)
    nesting = replace(found.nesting, sheets=(replace(sheet, parts=(first,)),))
    document = cost_document(replace(found, nesting=nesting), planned, DAY)
    (picture,) = (i for s in document.sections for i in s.items if isinstance(i, SheetPicture))
    assert picture.outlines[0].bounds_mm == pytest.approx((100.0, 20.0, 700.0, 420.0))


def test_without_a_price_there_is_no_page(made):
    found, planned = made
    with pytest.raises(PlanError, match="no price to write down"):
        quote_pdf(replace(found, price=None), planned, DAY)


def text_of(pdf, tmp_path):
    path = tmp_path / "page.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    return done.stdout


@pytest.mark.parametrize("system", UnitSystem)
def test_the_pages_are_pdf_whose_text_can_be_found(made, tmp_path, system):
    pages = quote_pdf(*made, DAY, system), cost_pdf(*made, DAY, (), system)
    for page in pages:
        assert page.startswith(b"%PDF")
        assert b"/Subtype /Image" not in page
        assert len(page) < 200_000
    if shutil.which("pdftotext"):
        customer, shop = (text_of(page, tmp_path) for page in pages)
        assert f"EUR {made[0].price.per_part}" in customer.replace("\u00a0", " ")
        assert "Cost sheet, for the shop only" in shop


def cells_of(content, sheet="sheet1"):
    """Return formula and value of every cell of a sheet of a workbook, by name."""
    space = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
    with zipfile.ZipFile(io.BytesIO(content)) as book:
        strings = [
            "".join(t.itertext())
            for t in ElementTree.fromstring(book.read("xl/sharedStrings.xml")).iter(f"{space}si")
        ]
        root = ElementTree.fromstring(book.read(f"xl/worksheets/{sheet}.xml"))
    out = {}
    for one in root.iter(f"{space}c"):
        formula, value = one.find(f"{space}f"), one.find(f"{space}v")
        text = None if value is None else value.text
        if one.get("t") == "s":
            text = strings[int(text)]
        out[one.get("r")] = (None if formula is None else formula.text, text)
    return out


def computed(cells, name):
    """Compute a cell as a spreadsheet would, with Decimal."""
    formula, value = cells[name]
    if formula is None:
        return Decimal(value)

    def summed(match):
        column, first, last = match.group(1), int(match.group(2)), int(match.group(3))
        rows = range(first, last + 1)
        return str(sum((computed(cells, f"{column}{row}") for row in rows), Decimal(0)))

    text = re.sub(r"SUM\(([A-Z]+)(\d+):[A-Z]+(\d+)\)", lambda m: f"({summed(m)})", formula)
    text = re.sub(r"\b[A-Z]+\d+\b", lambda m: f"({computed(cells, m.group())})", text)
    text = text.replace("ROUND(", "rounded(")
    text = re.sub(r"(?<![\w.])(\d+(?:\.\d+)?(?:E-?\d+)?)", r"Decimal('\1')", text)
    halves = lambda x, _: x.quantize(Decimal(1), "ROUND_HALF_UP")  # noqa: E731
    return eval(text, {"Decimal": Decimal, "rounded": halves})  # noqa: S307 - our own formula


def test_every_formula_of_the_workbook_computes_to_the_value_it_carries(made):
    cells = cells_of(workbook_bytes(made[0], made[0].price))
    formulas = {name: both for name, both in cells.items() if both[0]}
    assert len(formulas) > len(made[0].price.lines)
    for name, (_, value) in formulas.items():
        assert computed(cells, name) == pytest.approx(Decimal(value), abs=Decimal("0.0051"))


def test_the_workbooks_amounts_are_the_ledgers(made):
    price = made[0].price
    cells = cells_of(workbook_bytes(made[0], price))
    for row, line in enumerate(price.lines, start=5):
        assert cells[f"A{row}"][1] == line.name
        assert Decimal(cells[f"C{row}"][1]) == line.amount
    total = len(price.lines) + 5
    assert computed(cells, f"C{total}") == price.total


def test_a_name_like_a_formula_is_text_in_the_workbook(made):
    cells = cells_of(workbook_bytes(made[0], made[0].price))
    (evil,) = (both for both in cells.values() if both[1] == EVIL)
    assert evil[0] is None


def test_the_csv_neutralises_names_and_leaves_numbers(made):
    rows = list(csv.reader(io.StringIO(csv_text(made[0]))))
    names = {row[0]: row for row in rows if row}
    assert f"'{EVIL}" in names
    assert Decimal(names["offcuts back on the rack"][2]) < 0


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "  =1"])
def test_what_begins_like_a_formula_is_neutral(text):
    assert neutral(text) == f"'{text}"


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("M = n A p s", "A1*A1*A1*A1"),
        ("S = n (t l / 60 + c)", "A1*(A1*A1/60+A1)"),
        ("K = -A_k p s", "-A1*A1*A1"),
        ("G = C g / (1 - g)", "A1*A1/(1-A1)"),
    ],
)
def test_products_of_a_formula_are_written_out(formula, expected):
    symbols = ("n", "A", "p", "s", "t", "l", "c", "A_k", "C", "g")
    assert spoken_to_cells(formula, dict.fromkeys(symbols, "A1")) == expected


def test_cells_are_named_beyond_z():
    assert [cell(0, 0), cell(4, 25), cell(4, 26), cell(0, 701)] == ["A1", "Z5", "AA5", "ZZ1"]
