"""What the proof finds by itself: programs that were written well for a plan that is wrong.

The plan is changed after the job's contours were read, so that the text follows its plan to the
digit: only the question of what happens to the part is left.
"""

from dataclasses import replace

import numpy as np
import pytest
from handed import only_text, planned, small_job, small_work, work_of

from core.geometry.path import Path
from core.handover.nc_writer import nc_programs
from core.handover.planned import planned_runs
from core.handover.proof import prove
from core.library.nc_records import CutterChange


def changed(work, change):
    """Return the work with every toolpath put through a function."""
    passes = tuple(replace(p, toolpath=change(p.toolpath)) for p in work.plan.passes)
    return replace(work, plan=replace(work.plan, passes=passes))


def moved(path, by):
    return Path(path.points + np.array(by), path.bulges, path.closed)


def codes(work):
    return {c.code for c in prove(work, only_text(work)).complaints}


def test_a_finishing_pass_shifted_by_a_fiftieth_gouges_by_as_much():
    def shifted(path):
        if path.wall_stock_mm > 0.0 or path.wall_inside:
            return path
        parts = {n: moved(getattr(path, n), (0.02, 0.0)) for n in ("entry", "cut", "exit")}
        return replace(path, **parts)

    work = changed(small_work(), shifted)
    proof = prove(work, only_text(work))
    assert {c.code for c in proof.complaints} == {"gouge", "uncut"}
    assert proof.gouge_mm == pytest.approx(0.02, abs=0.0015)
    assert proof.uncut_mm == pytest.approx(0.02, abs=0.0015)
    assert proof.severed == proof.outlines - 1


def test_a_cutter_that_goes_down_in_the_middle_of_a_part_is_found():
    def astray(path):
        if path.wall_inside:
            return path
        middle = np.array([[35.0, 12.0], [35.5, 12.0]])
        stub = Path(middle, np.zeros(1), closed=False)
        still = Path(middle[[0, 0]], np.zeros(1), closed=False)
        end = Path(middle[[1, 1]], np.zeros(1), closed=False)
        return replace(path, entry=still, cut=stub, exit=end)

    work = changed(small_work(), astray)
    proof = prove(work, only_text(work))
    assert "the cutter goes down inside a part" in {c.message for c in proof.complaints}
    assert proof.gouge_mm > 3.0


def test_an_outline_that_is_not_cut_to_the_bed_is_not_severed():
    def shallow(path):
        if path.z_bottom_mm > 0.0 or path.wall_inside:
            return path
        return replace(path, z_bottom_mm=0.1)

    deep = small_work()
    text = only_text(changed(deep, shallow))
    found = {c.code for c in prove(deep, text).complaints}
    assert "uncut" in found


def test_a_skin_that_must_stay_is_seen_to_stay_and_to_be_lost():
    work = small_work(recipe="skin_by_hand")
    kept = prove(work, only_text(work))
    assert kept.complaints == ()
    assert kept.held >= 1
    through = changed(work, lambda path: replace(path, z_bottom_mm=min(path.z_bottom_mm, -0.1)))
    found = {c.code for c in prove(work, only_text(through)).complaints}
    assert {"held", "depth"} <= found


def test_tabs_that_must_hold_are_counted():
    work = small_work(recipe="rough_finish_tabs")
    proof = prove(work, only_text(work))
    assert proof.complaints == ()
    assert proof.held >= 1
    assert proof.severed < 3


def test_a_holder_that_would_touch_the_sheet_is_found():
    work = small_work()

    def short(path):
        return replace(path, mounted=replace(path.mounted, stick_out_mm=5.0))

    assert codes(changed(work, short)) == {"holder"}


@pytest.mark.parametrize(
    ("zone", "free"),
    [
        ((40.0, 40.0, 45.0, 45.0), True),
        ((100.0, 20.0, 130.0, 60.0), True),
        ((94.0, 30.0, 130.0, 60.0), False),
        ((22.0, 60.0, 30.0, 75.0), False),
        ((10.0, 10.0, 100.0, 80.0), False),
    ],
)
def test_no_cutter_comes_down_in_a_clamp_s_zone(zone, free):
    work = small_work()
    text = only_text(work)
    offer = replace(work.job.offer, zones_mm=(zone,))
    clamped = replace(work, job=replace(work.job, offer=offer))
    found = {c.code for c in prove(clamped, text).complaints}
    assert found == (set() if free else {"zone"})


def test_deeper_than_the_overcut_is_refused_even_where_the_plan_says_so():
    work = small_work()

    def deeper(path):
        return replace(path, z_bottom_mm=-1.0) if path.z_bottom_mm < 0.0 else path

    assert "depth" in codes(changed(work, deeper))


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"travel_mm": (60.0, 1300.0)}, "travel"),
        ({"highest_feed_mm_min": 1000.0}, "feed"),
        ({"highest_spindle_speed_rpm": 10_000.0}, "spindle"),
        ({"lowest_spindle_speed_rpm": 20_000.0}, "spindle"),
    ],
)
def test_the_machine_s_limits_are_kept(change, code):
    work = small_work()
    machine = replace(work.chosen.machine, **change)
    smaller = replace(work, chosen=replace(work.chosen, machine=machine))
    assert codes(smaller) == {code}


def test_the_order_of_work_is_kept():
    work = small_work()
    lines = work.order.lines
    other = replace(work, order=replace(work.order, lines=lines[::-1]))
    text = only_text(other)
    assert prove(other, text).complaints == () or codes(other) <= {"uncut", "held", "order"}
    assert {c.code for c in prove(work, text).complaints} & {"path", "cutter", "order"}


def test_a_program_for_another_job_is_not_proven():
    other = only_text(small_work(thickness_mm=5.0))
    assert not prove(small_work(), other).holds


def test_a_machine_that_changes_cutters_itself_needs_no_stop_for_them():
    by_itself = {"cutter_change": CutterChange.AUTOMATIC}
    text = only_text(small_work(by_itself))
    assert text.count("M0\n") == 1
    assert "stop" in {c.code for c in prove(small_work(), text).complaints}


def test_pieces_of_waste_that_come_loose_are_counted():
    wide = planned(small_job(hole_cutter="t10_tiny_2", thickness_mm=2.0))
    work = work_of(wide)
    loose = [t for p in work.plan.passes if (t := p.toolpath).stop_after]
    proof = prove(work, only_text(work))
    assert proof.complaints == ()
    assert (proof.loose_waste > 0) == bool(loose)


def test_the_plan_s_runs_are_one_piece_each():
    work = small_work(thickness_mm=14.0)
    for _, lines in work.programs():
        for run in planned_runs(work, lines):
            gap = run.moves.start[1:] - run.moves.end[:-1]
            assert np.abs(gap).max(initial=0.0) < 1e-6


def test_a_deep_job_goes_deeper_without_lifting_and_is_proven():
    work = small_work(thickness_mm=14.0)
    (program,) = nc_programs(work)
    proof = prove(work, program.text)
    assert proof.complaints == ()
    runs = planned_runs(work, work.programs()[0][1])
    assert any(len(run.lines) > 1 for run in runs)


def test_words_that_are_not_understood_prove_nothing():
    work = small_work()
    text = only_text(work).replace("G17", "G18")
    proof = prove(work, text)
    assert {c.code for c in proof.complaints} == {"words"}
    assert proof.severed == 0


def test_a_way_that_goes_back_on_itself_along_a_line_is_found():
    work = small_work()
    lines = only_text(work).splitlines()
    longest = max(
        (k for k, line in enumerate(lines) if " G1 X" in line and " Y" not in line),
        key=lambda k: float(lines[k].rpartition("X")[2].split()[0]),
    )
    x = float(lines[longest].rpartition("X")[2].split()[0])
    number, _, rest = lines[longest].partition(" G1 X")
    feed = " F" + rest.partition(" F")[2] if " F" in rest else ""
    steps = [
        f"{number} G1 X{x - 4.0:.3f}{feed}",
        f"{number} G1 X{x - 6.0:.3f}",
        f"{number} G1 X{x:.3f}",
    ]
    text = "\n".join([*lines[:longest], *steps, *lines[longest + 1 :]]) + "\n"
    assert "path" in {c.code for c in prove(work, text).complaints}
