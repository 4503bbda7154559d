"""What a plan notes of its sheet: thickness, film, annealing, edges, and the shop's own cuts."""

import re
from dataclasses import replace

import pytest

from core.errors import Severity
from core.job import Job
from core.library.finishing import finishing_route
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.plan import choose
from core.report.sheet_notes import annealing_hours, sheet_notes
from tests.core.advice.plates import job, plate

SHELF = Shelf()


def notes(**choices):
    plan = job(plate(), **choices)
    return {note.code: note.message for note in sheet_notes(plan, choose(plan, SHELF))}


@pytest.mark.parametrize(
    ("thickness_mm", "low", "high"),
    # ISO 7823-1 as quoted by a sheet producer: plus or minus (0.4 + 0.1 t) mm
    [(3.0, "2.3", "3.7"), (5.0, "4.1", "5.9"), (8.0, "6.8", "9.2"), (12.0, "10.4", "13.6")],
)
def test_cast_acrylic_may_be_as_thick_as_its_standard_says(thickness_mm, low, high):
    told = notes(thickness_mm=thickness_mm)["sheet-tolerance"]
    assert f"may be {low} to {high} mm thick by ISO 7823-1" in told


def test_the_skin_is_told_from_the_bed_and_from_the_top():
    # 6 mm, 0.5 mm on the floor, flatness and depth error of the machine
    machine = SHELF.machine("light_gantry")
    off = machine.bed_flatness_mm + machine.depth_error_mm
    told = notes(thickness_mm=6.0)["sheet-tolerance"]
    numbers = [
        float(x.replace("−", "-"))
        for x in re.findall(r"−?\d+(?:\.\d+)?(?= to|(?: mm are| mm, and))", told)
    ]
    assert numbers[-4:] == pytest.approx([0.5 - off, 0.5 + off, 0.5 - off - 1.0, 0.5 + off + 1.0])


def test_a_thick_skin_needs_no_note_on_tolerance():
    assert "sheet-tolerance" not in notes(thickness_mm=3.0, floor_stock_mm=0.8)


def test_a_sheet_measured_at_five_places_is_known_and_at_three_is_not():
    three = notes(measured_thickness_mm=(5.9, 6.0, 5.8))
    assert "± 0.15 mm" in three["sheet-measured"]
    assert "Fewer than 5 places" in three["sheet-measured"]
    assert "sheet-tolerance" in three
    five = notes(measured_thickness_mm=(5.9, 6.0, 5.8, 5.9, 5.95))
    assert "sheet-tolerance" not in five
    assert "Fewer" not in five["sheet-measured"]


def test_a_thickness_beyond_the_standard_is_asked_about():
    assert "sheet-beyond-tolerance" in notes(measured_thickness_mm=(4.8,))
    assert "sheet-beyond-tolerance" not in notes(measured_thickness_mm=(5.1,))


@pytest.mark.parametrize(
    ("thickness_mm", "hours"),
    [
        (1.5, (2.0, 2.0, None)),
        (6.0, (6.0, 2.0, None)),
        (8.0, (8.0, 8.0 / 3.0, None)),
        (10.0, (10.0, 10.0 / 3.0, 2.5)),
        (20.0, (20.0, 20.0 / 3.0, 5.0)),
    ],
)
def test_annealing_gives_both_rules_side_by_side(thickness_mm, hours):
    soak, other, cooling = annealing_hours(thickness_mm)
    assert (soak, other) == pytest.approx(hours[:2])
    assert cooling == hours[2]


def test_only_acrylic_is_told_to_be_annealed():
    told = notes(thickness_mm=10.0)["annealing"]
    assert "10 h by one published rule" in told
    assert "3.3 h by another" in told
    assert "cool over 2.5 h" in told
    assert "80 °C" in told
    assert "annealing" not in notes(material="polycarbonate")


def test_every_material_on_the_shelf_has_a_way_to_finish_its_edges():
    for key, _ in SHELF.names("material"):
        assert finishing_route(key) is not None, key


@pytest.mark.parametrize("key", ["polycarbonate", "petg", "pvc_u", "acetal"])
def test_no_flame_where_it_spoils_or_poisons(key):
    assert "flame" in finishing_route(key).no
    assert "No flame" in notes(material=key)["finishing"]


@pytest.mark.parametrize("key", ["acrylic_cast", "acrylic_extruded"])
def test_no_flame_or_solvent_on_machined_acrylic_before_annealing(key):
    assert finishing_route(key).no == ("flame before annealing", "solvent before annealing")
    assert "before it is annealed" in notes(material=key)["finishing"]


def test_notes_are_in_the_report_and_do_not_move_its_answer():
    report = Pipeline().results(job(plate())).report
    codes = {f.code for f in report.findings}
    assert {"sheet-film", "finishing", "annealing"} <= codes
    own = [f for f in report.findings if f.code in {"sheet-film", "finishing", "annealing"}]
    assert {f.severity for f in own} == {Severity.NOTE}


def test_a_job_without_a_drawing_has_no_notes():
    plan = replace(job(plate()), drawings=())
    assert sheet_notes(plan, choose(plan, SHELF)) == ()
    assert sheet_notes(Job(), choose(Job(), SHELF)) == ()
