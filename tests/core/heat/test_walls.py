"""The wall in closed form against summing up what every single edge leaves."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.geometry.path import Path
from core.heat.contact import Timeline, find_runs
from core.heat.cuts import Cuts, read_cuts
from core.heat.estimates import ESTIMATES
from core.heat.temperatures import edge_shares
from core.job import Air
from core.motion.move import move
from tests.core.heat.cards import ACRYLIC, MACHINE, OLD, ROOM_C, arc, corner, cut_pass, rounded

FINISH = ((6.0, 0.0, 0.5),)


def cuts_of(path: Path, wall_side: int, card=ACRYLIC) -> Cuts:
    one = cut_pass(path, FINISH, wall_side=wall_side)
    return read_cuts([one], move([one], MACHINE).along, card, MACHINE, Air.BLAST, 6.0, ESTIMATES)


def summed_k(cuts: Cuts, place: int) -> float:
    """Rise after the worst edge, every edge by itself, mean over where in a turn the cut begins.

    Edges leave E(h) at the speed the cutter has then; each cools as an instant plane source.
    """
    c, places, timeline = cuts.coefficients, cuts.places, Timeline(cuts.along)
    middle = cuts.along.time_s[places.sample[place]]
    lasts = float(places.touch.contact_s[place])
    way = np.linspace(-6.0, 6.0, 60001) + places.s_mm[place]
    time, speed = timeline.at(way, np.zeros(len(way), np.intp))
    rate, ratio = 300.0, cuts.engaged.chip_ratio[0, cuts.runs.of_sample[places.sample[place]]]
    effusivity = math.sqrt(c.conductivity_w_mk * float(c.heat_capacity_j_m3k))
    # the contact ends at a corner that leads away, and begins there on the other side of it
    ends = middle if places.sample[place] < len(cuts.along.s_mm) // 2 else middle + lasts
    found = []
    for phase in np.arange(8) / 8.0:
        edges = (
            np.arange(math.ceil((ends - lasts) * rate - phase), ends * rate - phase) + phase
        ) / rate
        if not len(edges):
            continue
        feed = np.interp(edges, time, speed) / rate
        chip = np.where(feed > 0.00165, feed * ratio, 0.0)
        _, share, _ = edge_shares(c, 1e3 / (chip + ESTIMATES.thin_chip_mm))
        energy = share * c.edge_j_m2 * np.where(feed > 0.00165, 1.0, 0.5)
        rises = []
        for last in range(len(edges)):
            since = edges[last] - edges[:last]
            before = (energy[:last] / (effusivity * np.sqrt(math.pi * since))).sum()
            rises.append(before + energy[last] / (c.heat_capacity_j_m3k * c.pulse_depth_m))
        found.append(max(rises))
    return float(np.mean(found))


@pytest.mark.parametrize("turn", [math.pi / 3, math.pi / 2, 2 * math.pi / 3])
def test_the_stop_in_an_inside_corner_against_single_edges(turn):
    """Within 8 %: the chip of the mean feed stands for a chip that thins out to nothing."""
    cuts = cuts_of(corner(20.0, turn), -1)
    at_stop = int(np.flatnonzero(cuts.along.corner_rad)[0])
    place = int(np.flatnonzero(cuts.places.is_sample)[at_stop])
    assert cuts.wall_k[place] == pytest.approx(summed_k(cuts, place), rel=0.08)


def test_the_wall_at_an_inside_corner_as_the_study_found_it():
    """Printed: 107 C at 1 m/s2 (105 to 110 by the step of its grid), 81 C at 3 m/s2; within 5 K.

    Cast acrylic with the first cards, a finish of 0.5 mm at 0.33 mm an edge.
    """
    hottest = cuts_of(corner(22.0, math.pi / 2), -1, OLD["PMMA cast"]).wall_k.max() + ROOM_C
    assert hottest == pytest.approx(107.0, abs=5.0)


def test_a_fillet_a_little_larger_than_the_cutter_spares_the_wall():
    """Printed: r 3.0 mm stops and 107 C, r 3.2 mm 75 C (first cards); within 5 K."""
    fillet = cuts_of(rounded(22.0, 0.2, math.pi / 2), -1, OLD["PMMA cast"])
    assert fillet.wall_k.max() + ROOM_C == pytest.approx(75.0, abs=5.0)


def test_the_hottest_place_hardly_depends_on_the_samples():
    """Samples at other places (another length of the legs) move the peak by less than 1 K."""
    peaks = [cuts_of(corner(leg, math.pi / 2), -1).wall_k.max() for leg in (15.0, 18.3, 22.0, 40.0)]
    assert max(peaks) - min(peaks) < 1.0


def test_beyond_the_tip_of_a_mitred_corner_there_is_no_wall():
    cuts = cuts_of(corner(20.0, math.pi / 2), 1)
    gone = ~cuts.places.exists
    assert (np.abs(cuts.places.s_mm[gone] - 20.0) < 3.0).all()
    tips = ~cuts.places.is_sample
    np.testing.assert_allclose(np.sort(cuts.places.s_mm[tips]), [17.0, 23.0])
    np.testing.assert_allclose(cuts.places.touch.wedge[tips], 2.0)


def test_a_mitre_longer_than_its_edge_leaves_no_tip():
    steps = Path(np.array([[0.0, 0.0], [20, 0], [20, 2], [40, 2]]), np.zeros(3), closed=False)
    cuts = cuts_of(steps, 1)
    assert cuts.places.is_sample.sum() == len(cuts.along.s_mm)
    assert np.isfinite(cuts.wall_k).all()


def test_a_cut_on_the_line_touches_the_wall_that_stays_longer_in_touch():
    bent = cut_pass(arc(10.0, math.pi), wall_side=0)
    along = move([bent], MACHINE).along
    runs = find_runs(along, np.array([0]), np.array([3.0]))
    np.testing.assert_allclose(runs.towards_per_mm, 0.1)
    tight = find_runs(along, np.array([0]), np.array([12.0]))
    np.testing.assert_allclose(tight.towards_per_mm, -0.1)


@pytest.mark.parametrize("shift", [0.0, 4.5e-13, -4.5e-13])
def test_the_two_sides_of_a_joint_may_differ_by_rounding(shift):
    one = cut_pass(corner(20.0, math.pi / 2), FINISH, wall_side=-1)
    along = move([one], MACHINE).along
    moved = along.s_mm.copy()
    moved[np.flatnonzero(along.corner_rad)[1]] += shift
    object.__setattr__(along, "s_mm", moved)
    cuts = read_cuts([one], along, ACRYLIC, MACHINE, Air.BLAST, 6.0, ESTIMATES)
    assert cuts.wall_k.max() == pytest.approx(cuts_of(corner(20.0, math.pi / 2), -1).wall_k.max())


def test_the_timeline_gives_back_its_samples():
    along = cuts_of(rounded(20.0, 5.0, math.pi / 2), 1).along
    time, speed = Timeline(along).at(along.s_mm, along.pass_index)
    np.testing.assert_allclose(time, along.time_s, atol=1e-9)
    np.testing.assert_allclose(speed, along.speed_mm_s, atol=1e-6)
