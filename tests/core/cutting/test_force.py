"""Forces: mean against a turn, bands, pieces of a section."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.cutting.chip import engagement_angle_rad
from core.cutting.force import ForceCoefficients, cutting_power_w, mean_forces
from core.cutting.pass_force import PassCut, pass_forces, stacked_bands
from core.cutting.rotation import BandedCut, forces_at, lag_rad_mm

K = ForceCoefficients(160.0, 3.4, 48.0, 5.1)
TURN = (np.arange(20_000.0) + 0.5)[None] * (2.0 * math.pi / 20_000)


def skim(count=1, climb=True, helix_deg=25.0):
    """Return final skims: 0.5 mm of wall over 5.5 mm, a full slot in the 0.5 mm under it."""
    one = np.ones(count)
    bottom, top, width = stacked_bands([[(0.0, 0.5, 6.0), (0.5, 6.0, 0.5)]] * count)
    return PassCut(
        bottom,
        top,
        width,
        6.0 * one,
        one,
        math.radians(helix_deg) * one,
        0.2 * one,
        18_000.0 * one,
        np.full(count, climb),
        4e-4 * one,
    )


@pytest.mark.parametrize("helix_deg", [0.0, 25.0, -25.0, 40.0])
@pytest.mark.parametrize("teeth", [1, 2, 3])
@pytest.mark.parametrize("depth", [1.0, 30.0])
def test_the_mean_of_a_turn_is_the_closed_form(helix_deg, teeth, depth):
    angle = engagement_angle_rad(np.array([[1.5]]), 6.0)
    cut = BandedCut(
        np.zeros((1, 1)),
        np.full((1, 1), depth),
        np.zeros((1, 1)),
        angle,
        lag_rad_mm(np.radians([helix_deg]), np.array([6.0])),
        np.array([0.2]),
        np.array([float(teeth)]),
    )
    along, across = forces_at(K, cut, TURN)
    mean = mean_forces(K, 0.2, teeth, depth, float(angle[0, 0]))
    assert along.mean() == pytest.approx(float(mean.along_n), rel=3e-3)
    assert across.mean() == pytest.approx(float(mean.across_n), rel=3e-3)


def test_the_final_skim_counts_both_bands():
    found = pass_forces(K, skim())
    feed = 0.2 * 18_000.0
    wall = cutting_power_w(160.0, 3.4, 0.5, 5.5, feed, 6.0, 18_000.0, 1)
    slot = cutting_power_w(160.0, 3.4, 6.0, 0.5, feed, 6.0, 18_000.0, 1)
    assert found.power_w[0] == pytest.approx(float(wall + slot), rel=1e-9)


def test_upshear_lifts_and_downshear_presses():
    up, down = pass_forces(K, skim()), pass_forces(K, skim(helix_deg=-25.0))
    assert up.lift_n[0] == pytest.approx(-down.lift_n[0])
    assert up.lift_n[0] > 0.0


def test_climb_pushes_the_cutter_away_from_the_wall():
    assert pass_forces(K, skim(climb=True)).wall_error_mm[0] > 0.0


def test_the_peak_is_not_below_the_mean():
    found = pass_forces(K, skim())
    assert found.peak_lateral_n[0] > found.lateral_n[0]


def test_passes_of_one_kind_get_the_same_forces():
    many, one = pass_forces(K, skim(40)), pass_forces(K, skim(1))
    assert many.peak_lateral_n.tolist() == [one.peak_lateral_n[0]] * 40


def test_no_passes_have_no_forces():
    assert len(pass_forces(K, skim(0)).power_w) == 0


@given(st.floats(0.01, 0.4), st.floats(0.1, 6.0), st.floats(0.5, 12.0))
def test_power_grows_with_the_feed_and_keeps_the_edge_share(feed, width, depth):
    def power(f):
        return float(cutting_power_w(160.0, 3.4, width, depth, f * 18_000.0, 6.0, 18_000.0, 1))

    edge = power(0.0)
    assert edge > 0.0
    assert power(2.0 * feed) - edge == pytest.approx(2.0 * (power(feed) - edge), rel=1e-9)
