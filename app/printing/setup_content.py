"""What the setup sheet says: everything that the person at the machine must know, in order.

The job sentence; the drawing with its passes; zero and depth in words; sheet, film and thickness;
cutters; passes; warnings and what was accepted; stops; the size correction; checks, cautions and
the order of work; last a sheet for the test cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.printing.content import (
    Blanks,
    Checks,
    Column,
    Document,
    Facts,
    Row,
    Section,
    Table,
    Text,
)
from app.printing.setup_pictures import part_pictures, sheet_pictures
from app.printing.setup_tables import cutter_table, order_table, pass_table, test_cut_table
from app.printing.setup_words import (
    before_the_start,
    numbers_of,
    stops,
    warnings,
    zero_words,
)
from core.job.digest import job_digest
from core.report.pass_text import alike_contours, bare_name
from core.units import UnitSystem, duration, show

if TYPE_CHECKING:
    from core.pipeline import Results

SHORT_DIGEST = 12


def setup_document(
    results: Results, version: str, system: UnitSystem = UnitSystem.METRIC, proof: str = ""
) -> Document:
    """Return the setup sheet of a plan.

    Parameters
    ----------
    results : Results
        What follows from the job.
    version : str
        Version of this program.
    system : UnitSystem
        Metric or inch, for what is printed.
    proof : str
        What was proven of the NC program; empty where none was written.
    """
    digest = job_digest(results.job)[:SHORT_DIGEST]
    return Document(
        kind="Setup sheet",
        title=_title(results),
        subtitle=_subtitle(results, system),
        code=f"job {digest}",
        sections=(
            _job(results),
            Section("Drawing with its passes", part_pictures(results, system)),
            Section("Cutters", (cutter_table(results, system),)),
            Section("Passes", (pass_table(results, system), Text(PASS_WORDS, muted=True))),
            _zero(results, system),
            Section("Warnings and what was accepted", warnings(results, system)),
            _stops(results, proof),
            Section("Before the start", (Checks(before_the_start(results, system)), SIGNED)),
            Section("Order of work", (order_table(results),)),
            Section("Cautions", tuple(Text(text) for text in results.report.cautions)),
            _size(results, system),
            _test_cut(results, system),
        ),
        footer=f"{_title(results)} · job {digest} · program {version} · a plan is an estimate",
    )


PASS_WORDS = (
    "z is counted from the bed upwards, whatever the program's own depth zero is; below 0 the "
    "cutter is in the board. Chip load: as set, then the mean really reached, and in brackets the "
    "value that 5 % of the way stays below. Heat margin: kelvin to softening, in brackets 5 to "
    "95 % of what the model's coefficients leave open."
)
SIGNED = Blanks(("set up by, date", "checked by, date", "first part measured by, date"))


def _title(results: Results) -> str:
    name = results.job.name or " and ".join(d.name for d in results.job.drawings)
    return name[:1].upper() + name[1:]


def _subtitle(results: Results, system: UnitSystem) -> str:
    chosen, job = results.chosen, results.job
    return " · ".join(
        (
            f"{chosen.material.name}, {show(job.thickness_mm, 'mm', system)}",
            chosen.sheet.name,
            f"{job.quantity} off",
            chosen.machine.name,
        )
    )


def _job(results: Results) -> Section:
    report = results.report
    sheets = len(report.sheets)
    answer = {"yes": "every limit is good", "tight": "tight", "no": "not yet"}
    facts = (
        ("Will it cut cleanly?", answer[report.answer.cleanly]),
        ("Time on the machine, all copies", duration(report.totals.cycle_time_s)),
        ("Sheets", f"{sheets}"),
    )
    return Section("", (Text(report.sentence), Facts(facts)))


def _zero(results: Results, system: UnitSystem) -> Section:
    job, chosen = results.job, results.chosen
    measured = job.measured_thickness_mm
    tolerance = chosen.material.tolerance_mm(job.thickness_mm)
    facts = (
        ("Sheet", f"{chosen.material.name}, {chosen.sheet.name}"),
        ("Nominal thickness", show(job.thickness_mm, "mm", system)),
        (
            "Measured thickness",
            ", ".join(show(value, "mm", system) for value in measured)
            if measured
            else "not measured yet",
        ),
        (
            "May differ by",
            f"± {show(tolerance, 'mm', system)} ({chosen.material.tolerance_source})",
        ),
        ("Planned for a top at", f"{show(chosen.cutting.thickness_mm, 'mm', system)} above bed"),
        ("Cut into the board", show(chosen.cutting.overcut_mm, "mm", system)),
    )
    return Section(
        "Zero, sheet and film",
        (
            *(Text(text) for text in zero_words(results, system)),
            *sheet_pictures(results, system),
            Facts(facts),
            Blanks(("thickness measured at three places", "film, and which side is up", "lot")),
        ),
    )


def _stops(results: Results, proof: str) -> Section:
    told = tuple(Text(text) for text in stops(results))
    return Section("Stops and program", (*told, Text(proof or "No NC program was written yet.")))


def _size(results: Results, system: UnitSystem) -> Section:
    rows = []
    for group in alike_contours(results.report):
        first = group[0]
        if first.passes:
            wide, high = first.outline_mm.max(axis=0) - first.outline_mm.min(axis=0)
            size = f"{show(wide, 'mm', system)} × {show(high, 'mm', system)}"
            rows.append(Row((numbers_of(group), bare_name(first.name), size, "", "", "")))
    columns = (
        Column("No", 1.2),
        Column("Contour", 3.0),
        Column("Drawn, x × y", 2.6),
        Column("Measured x", 1.4),
        Column("Measured y", 1.4),
        Column("Difference", 1.4),
    )
    words = (
        "Measure the first part cold. An outline too large by e means that the cutter cuts "
        "narrower than its number says: take e off the finisher's measured diameter. A hole too "
        "large by e means that it cuts wider: add e. Where both agree, write the new diameter to "
        "the mounted cutter, and plan again; change nothing at the machine by hand."
    )
    table = Table("Sizes as drawn, and room for what was measured", columns, tuple(rows))
    return Section("Size correction after the first part", (Text(words), table))


def _test_cut(results: Results, system: UnitSystem) -> Section:
    words = (
        "Cut a straight slot of 150 mm in an offcut of the same sheet with each line below, as it "
        "stands, before the job. Let the piece cool before it is measured. A thick chip that curls "
        "and stays loose carries the heat away; dust, strings and chips welded to the wall do not."
    )
    verdict = (
        "chip: loose curls / strings / dust",
        "wall: clear / frosted / smeared / chipped",
        "chips welded into the slot: none / some",
        "slot as wide as the cutter, mm",
        "edge under a lens: bright / residue",
        "cut by, date",
    )
    return Section(
        "Test cut",
        (Text(words), test_cut_table(results, system), Blanks(verdict)),
        own_page=True,
    )
