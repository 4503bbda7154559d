"""Notes on fitting a panel and on the openings of a guard: told where they matter, as notes."""

import pytest

from core.contours import find_contours
from core.drawing import read_drawing
from core.drawing.panel import CutOut, Grid, Holes, InCorners, Panel, Single, Slot
from core.drawing.panel_drawing import panel_drawing
from core.errors import Severity
from core.job import Job
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.report.fitting import fitting_findings
from core.report.guard_openings import (
    Form,
    Opening,
    opening_findings,
    opening_of,
    safety_distances_mm,
)

POLYCARBONATE = Shelf().material("polycarbonate")


def contours_of(panel):
    file = panel_drawing(panel)
    return find_contours(read_drawing(file), file)


def fitting(panel):
    return {f.code: f for f in fitting_findings(contours_of(panel), POLYCARBONATE)}


def test_the_room_of_fixing_holes_is_told_with_its_formula_numbers_and_sources():
    note = fitting(Panel((1040.0, 300.0), holes=(Holes(8.0, InCorners((20.0, 20.0))),)))[
        "fixing-clearance"
    ]
    # 1033.2 mm on the diagonal, 67 and 12 µm/(m K), 40 K
    assert "2.77 mm there, 2.27 mm more than a frame of steel" in note.message
    assert "dL = alpha L dT" in note.message
    assert POLYCARBONATE.sources["thermal_expansion_um_mk"].source in note.message
    assert "FAA AC 43.13-1B" in note.message
    assert note.severity is Severity.NOTE


@pytest.mark.parametrize(
    "holes",
    [
        (Holes(8.0, Single((50.0, 50.0))),),
        (Holes(40.0, InCorners((60.0, 60.0))),),
        (Holes(8.0, Grid((50.0, 50.0), (80.0, 80.0), 2, 2)),),
    ],
    ids=["one hole", "holes too large for a screw", "holes close together"],
)
def test_no_room_is_asked_for_where_nothing_moves(holes):
    assert fitting(Panel((900.0, 600.0), holes=holes)) == {}


def test_a_hole_near_the_edge_is_told_at_its_place():
    panel = Panel(
        (200.0, 100.0), holes=(Holes(8.0, Single((15.9, 50.0))), Holes(8.0, Single((16.1, 20.0))))
    )
    note = fitting(panel)["hole-near-edge"]
    assert note.at_mm == pytest.approx((15.9, 50.0))
    assert note.message.startswith("A fixing hole comes close to the edge: 11.9 mm")


GUARD = Panel(
    (900.0, 600.0),
    holes=(Holes(8.0, InCorners((30.0, 30.0))),),
    slots=(Slot(100.0, 30.0, (450.0, 500.0)), Slot(60.0, 25.0, (450.0, 400.0), 30.0)),
    cut_outs=(
        CutOut((200.0, 150.0), (450.0, 200.0), 10.0),
        CutOut((35.0, 35.0), (150.0, 300.0), 5.0, 20.0),
    ),
)


def test_each_kind_of_opening_of_a_guard_gets_one_note_with_the_strictest_reading():
    notes = opening_findings(contours_of(GUARD))
    assert [(n.code, n.severity) for n in notes] == [("guard-opening", Severity.NOTE)] * 5
    said = [n.message for n in notes]
    assert said[0].startswith(
        "4 round openings of 8 mm in a guard: the danger must be at least 5 mm behind "
        "(a national edition prints 15 mm)."
    )
    assert "of 100 x 30 mm in a guard: the danger must be at least 850 mm" in said[1]
    assert "of 60 x 25 mm in a guard: the danger must be at least 200 mm" in said[2]
    assert "wider than 120 mm an arm goes through" in said[3]
    assert "1 square opening of 35 mm in a guard: the danger must be at least 200 mm" in said[4]
    for words in said:
        assert "standard itself not read" in words
        assert "qualified person" in words


def test_an_opening_of_no_plain_form_counts_as_a_slot_of_its_narrowest_width():
    panel = Panel((300.0, 200.0), cut_outs=(CutOut((60.0, 20.0), (150.0, 100.0), 3.0, 33.0),))
    opening = opening_of(contours_of(panel).contours[1])
    assert opening.form is Form.SLOT
    assert (opening.width_mm, opening.length_mm) == pytest.approx((20.0, 60.0), abs=0.02)


def test_a_width_above_a_row_s_bound_belongs_to_the_next_row():
    assert safety_distances_mm(Opening(Form.SLOT, 8.01, 100.0)) == (80.0,)
    wide = Panel((300.0, 200.0), holes=(Holes(10.004, Single((100.0, 100.0))),))
    (note,) = opening_findings(contours_of(wide))
    assert "at least 80 mm" in note.message


def test_the_plan_of_a_guard_tells_the_notes_and_stays_as_clean_as_it_was():
    job = Job(name="guard of the mixer", drawings=(panel_drawing(GUARD, "mixer.dxf"),))
    plain = Pipeline().results(Job(name="cover", drawings=job.drawings)).report
    guard = Pipeline().results(job).report
    codes = {f.code for f in guard.findings} - {f.code for f in plain.findings}
    assert codes == {"guard-opening", "fixing-clearance"}
    assert guard.answer == plain.answer
