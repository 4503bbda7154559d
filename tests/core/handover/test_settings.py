"""Every form that a control may want: written, read back by its own words, and proven."""

from dataclasses import replace

import pytest
from handed import SAMPLES, only_text, planned, sample_work, small_job, small_work, with_nc, work_of

from core.handover.nc_writer import nc_programs
from core.handover.proof import prove
from core.handover.read_time import cycle_time_s
from core.library.nc_records import ArcStyle, Counting, DepthZero, LongestArc, NcWords

WORDS = NcWords(
    work_zero="G55",
    length_offset="G43 H{tool}",
    dwell_letter="F",
    vacuum_on="M10",
    vacuum_off="M11",
    end="M30",
)
FORMS = {
    "as the standard has it": {},
    "inches": {"length_unit": "in", "decimals": 5, "feed_decimals": 2},
    "increments": {"counting": Counting.INCREMENTAL},
    "centres from zero": {"arc_style": ArcStyle.ABSOLUTE},
    "radii": {"arc_style": ArcStyle.RADIUS},
    "quarters": {"longest_arc": LongestArc.QUARTER},
    "whole circles": {"longest_arc": LongestArc.WHOLE},
    "whole circles from zero": {
        "longest_arc": LongestArc.WHOLE,
        "arc_style": ArcStyle.ABSOLUTE,
    },
    "no helical arcs": {"helical_arcs": False},
    "depth from the top": {"depth_zero": DepthZero.SHEET_TOP},
    "no line numbers": {"line_number_step": 0, "head_lines": (), "crlf": True},
    "a tail": {"tail_lines": ("%",)},
    "comments to the line's end": {"comment_begins": ";", "comment_ends": ""},
    "four digits": {"decimals": 4},
    "milliseconds": {"dwell_in_ms": True},
    "other words": {"words": WORDS},
    "large arcs as lines": {"largest_radius_mm": 5.0},
    "no stop at the start": {"stop_at_start": False},
}


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_each_form_is_proven(form):
    work = small_work(form)
    proof = prove(work, only_text(work))
    assert proof.complaints == ()
    assert proof.severed == proof.outlines == 3
    # chords of 0.002 mm, and half a step of the last digit
    assert proof.gouge_mm < 0.003
    assert proof.uncut_mm < 0.003


@pytest.mark.parametrize(
    "form",
    [
        *("inches", "centres from zero", "radii", "depth from the top", "other words"),
        *("comments to the line's end", "milliseconds", "a tail"),
    ],
)
def test_a_program_in_one_form_is_not_taken_for_another(form):
    text = only_text(small_work(FORMS[form]))
    assert not prove(small_work(), text).holds


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_sample_job_is_proven_and_takes_the_planned_time(path):
    work = sample_work(path)
    proofs = [prove(work, one.text, one.number) for one in nc_programs(work)]
    assert [c for proof in proofs for c in proof.complaints] == []
    planned_s = planned(work.job).report.totals.cycle_time_s
    read_s = cycle_time_s([proof.program for proof in proofs], work.chosen.machine)
    assert read_s == pytest.approx(planned_s, rel=1e-3)


@pytest.mark.parametrize("machine", ["light_gantry", "heavy_gantry"])
def test_both_machines_of_the_shelf_take_the_planned_time(machine):
    results = planned(small_job(machine=machine, quantity=3))
    work = work_of(results)
    proof = prove(work, only_text(work))
    assert proof.complaints == ()
    planned_s = results.report.totals.cycle_time_s
    assert cycle_time_s([proof.program], work.chosen.machine) == pytest.approx(planned_s, rel=1e-3)


def test_a_file_for_each_cutter_is_proven_on_its_own_and_not_as_the_other():
    work = small_work({"one_file_per_cutter": True})
    rough, finish = nc_programs(work)
    assert prove(work, rough.text, 1).holds
    finished = prove(work, finish.text, 2)
    assert {c.code for c in finished.complaints} == set()
    assert not prove(work, finish.text, 1).holds


def test_many_copies_on_several_sheets_are_a_program_each():
    results = planned(small_job(quantity=600))
    work = work_of(results)
    programs = nc_programs(work)
    assert len(programs) == len(work.layout.sheets) >= 2
    assert prove(work, programs[-1].text, len(programs)).holds


def test_the_same_job_gives_the_same_text():
    work = small_work()
    assert [p.text for p in nc_programs(work)] == [p.text for p in nc_programs(work)]


def test_the_head_says_units_and_zeros_in_words():
    text = only_text(small_work())
    assert "(UNITS: MILLIMETRES, AND MILLIMETRES PER MINUTE)" in text
    assert "(Z ZERO: THE BED. THE TOP OF THE SHEET IS AT Z6.000)" in text
    inch = only_text(small_work(FORMS["inches"]))
    assert "INCHES PER MINUTE" in inch
    top = only_text(small_work(FORMS["depth from the top"]))
    assert "(Z ZERO: THE TOP OF THE SHEET. THE BED IS AT Z-6.000)" in top


def test_names_with_any_letters_stay_inside_their_comment():
    work = small_work(name="Köder (G0 Z-50) ; M30 %\nM3")
    text = only_text(work)
    assert text.isascii()
    assert "(KODER G0 Z-50 ; M30 M3, PROGRAM 1 OF 1)" in text.replace("( ", "(") or "KODER" in text
    assert prove(work, text).holds


def test_a_control_that_waits_for_the_spindle_gets_no_dwell():
    text = only_text(small_work({"waits_for_spindle": True}))
    assert "G4 P" not in text
    assert "G4 P4.500" in only_text(small_work())


def test_a_program_that_does_not_wait_is_refused_where_the_control_does_not():
    careless = only_text(small_work({"waits_for_spindle": True}))
    codes = {c.code for c in prove(small_work(), careless).complaints}
    assert codes == {"spindle"}


def test_speeds_of_single_contours_are_taken_up_where_nothing_is_cut():
    job = small_job()
    from core.job import ContourChoice

    choices = (ContourChoice(2, spindle_speed_rpm=12_000.0),)
    drawing = replace(job.drawings[0], contours=choices)
    work = work_of(planned(replace(job, drawings=(drawing,))))
    text = only_text(work)
    assert "S12000 M3" in text
    assert prove(work, text).complaints == ()


def test_with_other_air_the_words_are_left_out():
    from core.job import Air

    work = small_work(air=Air.NONE)
    text = only_text(work)
    assert "M8" not in text
    assert prove(work, text).holds


def test_settings_of_the_control_leave_the_motion_alone():
    plain = small_work()
    for form in FORMS.values():
        assert with_nc(plain, **form).plan is plain.plan
