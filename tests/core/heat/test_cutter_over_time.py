from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.heat.estimates import ESTIMATES
from core.heat.history import Work, highest_rise_k
from core.heat.pass_table import edge_radius_um, read, recut_share, wear_factor
from core.job import Air
from core.library.records import Helix
from tests.core.heat.cards import ACRYLIC, NEW, cut_pass, line, mounted


def work(steady, cutting_s, entering_s=0.0):
    ones = np.ones(len(steady))
    return Work(
        np.array(steady), 3.0 * ones, 5.0 * ones, 30.0 * ones, cutting_s * ones, entering_s * ones
    )


def test_a_long_pass_reaches_its_steady_rise():
    assert highest_rise_k(work([50.0], 100.0), ["a"], [0], [0.0])[0] == pytest.approx(50.0)


def test_two_halves_of_a_pass_are_as_one():
    halves = highest_rise_k(work([50.0, 50.0], 2.0), ["a", "a"], [0, 1], [0.0, 0.0])
    assert halves[1] == pytest.approx(50.0 * (1.0 - math.exp(-4.0 / 3.0)))


def test_a_cutter_in_the_rack_cools_more_slowly_than_one_that_spins():
    spinning = highest_rise_k(work([50.0, 0.0], 4.0), ["a", "a"], [0, 1], [0.0, 10.0])
    racked = highest_rise_k(
        work([50.0, 0.0, 0.0], 4.0), ["a", "b", "a"], [0, 1, 2], [0.0, 3.0, 3.0]
    )
    assert racked[2] > spinning[1]
    assert racked[1] == 0.0


def test_a_pass_that_comes_again_shows_its_hottest_turn():
    once = highest_rise_k(work([50.0], 2.0), ["a"], [0], [0.0])
    thrice = highest_rise_k(work([50.0], 2.0), ["a"], [0, 0, 0], [0.0, 1.0, 1.0])
    assert thrice[0] > once[0]


@given(
    st.lists(st.floats(0.0, 200.0), min_size=1, max_size=6),
    st.floats(0.1, 50.0),
    st.floats(0.0, 50.0),
)
def test_a_cutter_never_gets_hotter_than_its_hottest_pass(steady, cutting_s, idle_s):
    count = len(steady)
    rise = highest_rise_k(work(steady, cutting_s), ["a"] * count, range(count), [idle_s] * count)
    assert rise.max() <= max(steady) + 1e-9
    assert (rise >= 0.0).all()


@pytest.mark.parametrize(
    ("metres", "radius_um"), [(0.0, 5.0), (500.0, 12.5), (1000.0, 20.0), (4000.0, 20.0)]
)
def test_an_edge_wears_over_its_life_and_no_further(metres, radius_um):
    assert edge_radius_um(mounted(metres_cut=metres)) == pytest.approx(radius_um)


def test_only_the_ploughing_part_grows_with_the_edge_radius():
    """Cast acrylic: G_c 0.7 of 2.0 N/mm; first cards at 20 um: 0.7 + 200 N/mm2 x 20 um = 4.7."""
    assert ACRYLIC.heat is not None
    assert wear_factor(ACRYLIC.heat, 5.0, ESTIMATES) == pytest.approx(1.0)
    assert 2.0 * wear_factor(ACRYLIC.heat, 20.0, ESTIMATES) == pytest.approx(5.9)
    tough = NEW["PC"].heat
    assert tough is not None
    assert wear_factor(tough, 20.0, ESTIMATES) < wear_factor(ACRYLIC.heat, 20.0, ESTIMATES)


def share(air, *, depth_mm=6.0, helix=Helix.UPSHEAR, feed=0.33, width=6.0):
    one = cut_pass(
        line(10.0), ((depth_mm, 0.0, width),), cutter=mounted(helix=helix), feed_per_tooth_mm=feed
    )
    assert ACRYLIC.heat is not None
    return float(recut_share(read([one], ACRYLIC.heat, depth_mm, ESTIMATES), air, ESTIMATES)[0])


@pytest.mark.parametrize(
    ("air", "printed"), [(Air.NONE, 0.35), (Air.SUCTION, 0.15), (Air.BLAST, 0.05)]
)
def test_recut_share_by_air(air, printed):
    """Estimates, no source: 0.35, 0.15, 0.05 for an upshear cutter one diameter deep."""
    assert share(air) == pytest.approx(printed)


def test_recut_share_by_helix_and_depth():
    """Estimates, no source: 1.8 down, 1.3 straight, 60 % more for each further diameter."""
    assert share(Air.BLAST, helix=Helix.DOWNSHEAR) == pytest.approx(0.09)
    assert share(Air.BLAST, helix=Helix.STRAIGHT) == pytest.approx(0.065)
    assert share(Air.BLAST, depth_mm=18.0) == pytest.approx(0.11)
    assert share(Air.NONE, depth_mm=18.0, helix=Helix.DOWNSHEAR) == pytest.approx(0.8)


def test_a_gullet_that_overflows_cuts_its_chips_again():
    """A one-edge cutter is full in a slot at 0.078 D; at twice that half of the chips go round."""
    full = 0.0782 * 6.0
    assert share(Air.BLAST, feed=full) == pytest.approx(0.05, abs=0.005)
    assert share(Air.BLAST, feed=2.0 * full) == pytest.approx(0.5, abs=0.01)
    assert share(Air.BLAST, feed=2.0 * full, width=0.5) == pytest.approx(0.05)
