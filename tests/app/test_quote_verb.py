"""The verb `quote`, as it is typed: text, JSON, files, exit codes; and what is refused."""

import json
import zipfile
from decimal import Decimal

import pytest

from app.cli import run

SAMPLE = "sample_jobs/guard_panel/guard_panel.pane"


@pytest.fixture
def sample(request):
    return str(request.config.rootpath / SAMPLE)


@pytest.fixture
def said(capfd):
    """Run a command line; return its exit code, what it printed and what it complained of."""

    def run_it(*words):
        code = run(["quote", *words])
        out, err = capfd.readouterr()
        return code, out, err

    return run_it


def test_a_quote_prints_ledger_breaks_range_and_sheets(said, sample):
    code, out, err = said(sample, "--quantity", "10", "--breaks", "1, 50")
    assert code == 0
    assert not err
    for words in (
        "guard panel, dough divider: 10 off",
        "unit price",
        "10 % more price of the sheet",
        "It may come to",
        "Sheets: 2",
    ):
        assert words in out
    table = out[out.index("By quantity") :].splitlines()[1:4]
    assert [row.split()[0] for row in table] == ["1", "10", "50"]


def test_the_json_has_the_plan_with_one_price_and_the_quote(said, sample, tmp_path):
    place = tmp_path / "quote.json"
    assert said(sample, "--quantity", "7", "--breaks", "1", "--json", str(place))[0] == 0
    fields = json.loads(place.read_text("utf-8"))
    assert fields["format"] == 1
    assert fields["contours"]
    quote = fields["quote"]
    assert {"sheets", "used_ratio", "lines", "breaks"} <= quote.keys()
    assert fields["price"]["per_part"] == quote["per_part"]
    assert sum(Decimal(line["amount"]) for line in quote["lines"]) == Decimal(quote["total"])
    assert sum(len(s["parts"]) * s["repeat"] for s in quote["sheets"]) == 7
    assert 0.5 < quote["used_ratio"] <= 1.0


def test_json_to_stdout_is_json_alone(said, sample):
    code, out, _ = said(sample, "--json", "-")
    assert code == 0
    assert json.loads(out)["quote"]["quantity"] == 4


def test_every_file_that_is_asked_for_is_written(said, sample, tmp_path):
    names = {
        "pdf": "q.pdf",
        "cost-pdf": "c.pdf",
        "xlsx": "q.xlsx",
        "csv": "q.csv",
        "json": "q.json",
    }
    words = [w for option, name in names.items() for w in (f"--{option}", str(tmp_path / name))]
    assert said(sample, *words)[0] == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(names.values())
    assert (tmp_path / "q.pdf").read_bytes().startswith(b"%PDF")
    assert zipfile.is_zipfile(tmp_path / "q.xlsx")


def test_alternatives_stand_beside_what_was_asked(said, sample):
    code, out, _ = said(
        sample, "--instead", "material=acrylic_cast", "--instead", "machine=heavy_gantry"
    )
    assert code == 0
    rows = out[out.index("Side by side") :].splitlines()[1:4]
    assert [row.split("  ")[1] for row in rows] == [
        "as asked",
        "material=acrylic_cast",
        "machine=heavy_gantry",
    ]


def test_a_service_a_line_and_a_change_reach_the_ledger(said, sample):
    code, out, _ = said(
        sample,
        *("--service", "polish edges", "--without", "pack each"),
        *("--line", "bend, piece, 3.50, 2", "--change", "machine=90", "--why", "agreed"),
        *("--markup", "30%"),
    )
    assert code == 0
    assert "polish edges" in out
    assert "pack each" not in out
    assert "28.00   8 x 3.50" in out
    assert "set by hand (agreed)" in out
    assert "30.0% on cost" in out


def test_a_part_larger_than_every_sheet_gives_no_price_and_no_page(said, sample, tmp_path):
    page = tmp_path / "q.pdf"
    code, out, err = said(
        sample, "--rack", "offcut_1000x600", "--quantity", "5", "--pdf", str(page)
    )
    assert code == 1
    assert "the rack is empty" in err
    assert "Price, EUR" not in out
    assert not page.exists()


def test_a_missing_price_of_the_sheet_is_said_plainly(said, sample):
    code, _, err = said(sample, "--thickness", "7 mm")
    assert code == 1
    assert "There is no price for Polycarbonate 7 mm" in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--quantity", "0"], "a quantity of 0 cannot be cut"),
        (["--breaks", "1,0"], "a quantity of 0 cannot be cut"),
        (["--breaks", "one"], "is no list of quantities"),
        (["--service", "anneel"], "did you mean 'anneal'"),
        (["--line", "bend"], "is no NAME,PER,AMOUNT"),
        (["--line", "bend,piece,much"], "no amount of money"),
        (["--change", "machine", "--why", "so"], "is no LINE=AMOUNT"),
        (["--change", "machine=90"], "needs its own --why"),
        (["--zone", "100x50"], "is no WxH@X,Y"),
        (["--rack", "ful_2050x1250"], "did you mean"),
        (["--instead", "colour=red"], "is no FIELD=KEY"),
        (["--instead", "material=polycarbonat"], "did you mean 'polycarbonate'"),
        (["--turns", "sideways"], "invalid choice"),
        (["--markup", "a lot"], "--markup"),
    ],
)
def test_what_cannot_be_meant_is_one_line_and_code_2(said, sample, words, told):
    code, _, err = said(sample, *words)
    assert code == 2
    assert told in err
    assert len(err.strip().splitlines()) == 1


def test_a_zone_of_a_clamp_keeps_parts_away(said, sample, tmp_path):
    place = tmp_path / "q.json"
    assert said(sample, "--zone", "700x1250@0,0", "--quantity", "1", "--json", str(place))[0] == 0
    (sheet,) = json.loads(place.read_text("utf-8"))["quote"]["sheets"]
    assert sheet["parts"][0]["at_mm"][0] > 700.0
