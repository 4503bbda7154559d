"""Forces and power: closed forms, numerical integration, and measured milling of UHMW-PE."""

import math

import numpy as np
import pytest

from core.cutting.chip import engagement_angle_rad, h_mean_mm
from core.cutting.force import (
    ForceCoefficients,
    axial_force_n,
    cutting_power_w,
    force_coefficients,
    mean_forces,
    spindle_power_available_w,
)
from core.cutting.rotation import BandedCut, forces_at, lag_rad_mm, peak_lateral_n, wall_push_n
from core.library.records import HeatCoefficients

FROZEN = ForceCoefficients(80.0, 1.7, 24.0, 1.7)
"""The acrylic card of the first tables, kept as a check of the code, not as truth."""

ONE = np.ones(1)


def discs(coefficients, width, helix_deg, steps=1440, count=120, feed=0.33, depth=6.0):
    """Return F_x and F_y of one edge on D 6 through a turn, by thin discs added up."""
    k = coefficients
    turn = np.linspace(0.0, 2.0 * math.pi, steps, endpoint=False)[:, None]
    height = (np.arange(count) + 0.5) * depth / count
    phi = np.mod(turn - 2.0 * height * math.tan(math.radians(helix_deg)) / 6.0, 2.0 * math.pi)
    on = phi <= float(engagement_angle_rad(width, 6.0))
    chip = feed * np.sin(phi)
    tangential = np.where(on, k.k_tc_n_mm2 * chip + k.k_te_n_mm, 0.0) * depth / count
    radial = np.where(on, k.k_rc_n_mm2 * chip + k.k_re_n_mm, 0.0) * depth / count
    along = -tangential * np.cos(phi) - radial * np.sin(phi)
    across = tangential * np.sin(phi) - radial * np.cos(phi)
    return along.sum(axis=1), across.sum(axis=1)


def one_band(width, helix_deg, climb=False):
    """Return one edge on D 6 at 6 mm depth and 0.33 mm."""
    angle = engagement_angle_rad(np.array([[width]]), 6.0)
    start = math.pi - angle if climb else np.zeros((1, 1))
    return BandedCut(
        np.zeros((1, 1)),
        np.full((1, 1), 6.0),
        start,
        start + angle,
        lag_rad_mm(math.radians(helix_deg) * ONE, 6.0 * ONE),
        0.33 * ONE,
        ONE,
    )


# textbook closed form, by hand (in a slot F_y = a_p (K_tc f / 4 + K_te / pi)): last digit
@pytest.mark.parametrize(
    ("width", "along", "across", "tangential", "newton"),
    [(6.0, -15.127, 42.847, 55.520, 5e-4), (0.5, -5.492, -0.206, 5.152, 1e-3)],
)
def test_mean_forces(width, along, across, tangential, newton):
    found = mean_forces(FROZEN, 0.33, 1, 6.0, engagement_angle_rad(width, 6.0))
    assert float(found.along_n) == pytest.approx(along, abs=newton)
    assert float(found.across_n) == pytest.approx(across, abs=newton)
    assert float(found.tangential_n) == pytest.approx(tangential, abs=newton)


@pytest.mark.parametrize("width", [6.0, 3.0, 0.5])
def test_mean_forces_against_discs(width):
    # numerical integration with 25 degrees of helix: 0.02 N
    found = mean_forces(FROZEN, 0.33, 1, 6.0, engagement_angle_rad(width, 6.0))
    along, across = discs(FROZEN, width, 25.0)
    assert float(found.along_n) == pytest.approx(along.mean(), abs=0.02)
    assert float(found.across_n) == pytest.approx(across.mean(), abs=0.02)


@pytest.mark.parametrize("width", [6.0, 0.5])
def test_forces_through_a_turn_against_discs(width):
    # numerical integration; one disc of 120 is 0.09 N of edge force
    cut = one_band(width, 25.0)
    turn = np.linspace(0.0, 2.0 * math.pi, 1440, endpoint=False)[None]
    along, across = forces_at(FROZEN, cut, turn)
    expected = discs(FROZEN, width, 25.0)
    assert along[0] == pytest.approx(expected[0], abs=0.5)
    assert across[0] == pytest.approx(expected[1], abs=0.5)


# rotation-resolved discs; 60 discs print 1.3 % too much at 0.5 mm, since each enters at once: 1.5 %
@pytest.mark.parametrize(
    ("width", "helix", "newton"),
    [(6.0, 25.0, 166.0), (6.0, 0.0, 178.0), (0.5, 25.0, 37.5), (0.5, 0.0, 104.0)],
)
def test_peak_lateral_force(width, helix, newton):
    peak = float(peak_lateral_n(FROZEN, one_band(width, helix))[0])
    assert peak == pytest.approx(newton, rel=0.015)
    along, across = discs(FROZEN, width, helix, count=400)
    assert peak == pytest.approx(np.hypot(along, across).max(), rel=0.01)


def test_slot_power_is_torque_times_speed():
    # 313.96 W at 99 mm/s and 18 000 rpm; energy balance, exact
    power = float(cutting_power_w(80.0, 1.7, 6.0, 6.0, 5940.0, 6.0, 18_000.0, 1))
    assert power == pytest.approx(313.96, abs=0.005)
    tangential = mean_forces(FROZEN, 0.33, 1, 6.0, math.pi).tangential_n
    assert power == pytest.approx(float(tangential) * math.pi * 6.0 * 300.0 / 1000.0, rel=1e-9)


def test_lift_of_a_slot_at_25_degrees():
    # F_t tan(helix), estimate: 1 %
    assert float(axial_force_n(55.520, math.radians(25.0))) == pytest.approx(25.9, rel=0.01)


# C 0.565 um/N: discs with system stiffness 5 N/um; um
@pytest.mark.parametrize(
    ("width", "helix", "climb", "um", "tolerance"),
    [
        (0.5, 0.0, False, 5.8, 0.1),
        (0.5, 25.0, False, 2.0, 0.2),
        (0.5, 25.0, True, 15.0, 0.2),
        (6.0, 25.0, True, 38.0, 0.6),
    ],
)
def test_wall_error(width, helix, climb, um, tolerance):
    push = wall_push_n(FROZEN, one_band(width, helix, climb), np.array([climb]))
    assert float(push[0]) * 0.565 == pytest.approx(um, abs=tolerance)


def test_spindle_power_falls_below_the_base_speed():
    # P_rated min(1, n / n_base), from memory; exact
    power = spindle_power_available_w(2200.0, 12_000.0, np.array([6000.0, 12_000.0, 18_000.0]))
    assert power.tolist() == [1100.0, 2200.0, 2200.0]


# C. Sharma, Automatic Modeling of Machining Processes, MEng thesis, MIT 2021: printed coefficients
# of UHMW-PE at D 6.35 mm; torque and force read off the plot of each pass, +-2 %. Climb, three
# edges, 5 mm deep. Pass 0 is left out of the 10 %: its torque is a tenth of the idle torque.
UHMW_PE = ForceCoefficients(79.2, 2.08, -24.4, 4.21)
PASSES = [
    # a_e, f_z, measured torque N m, their model, measured F_y N, their model, mean chip
    (1.00, 0.0209, 0.0122, 0.0168, 8.9, 9.2, 0.0081),
    (1.94, 0.0377, 0.0325, 0.0323, 15.2, 14.3, 0.0197),
    (2.89, 0.0545, 0.0566, 0.0531, 21.5, 20.1, 0.0335),
    (3.83, 0.0712, 0.0840, 0.0796, 27.8, 27.2, 0.0483),
    (4.77, 0.0880, 0.1149, 0.1125, 34.9, 35.3, 0.0630),
    (5.71, 0.1047, 0.1513, 0.1526, 41.7, 43.4, 0.0755),
]


def uhmw_pe(width, feed):
    """Return torque and force across the feed of one pass. [N m], [N]."""
    angle = engagement_angle_rad(width, 6.35)
    found = mean_forces(UHMW_PE, feed, 3, 5.0, angle, math.pi - angle)
    return float(found.tangential_n) * 3.175e-3, float(found.across_n)


@pytest.mark.parametrize("row", PASSES[1:])
def test_measured_torque_and_force_of_uhmw_pe(row):
    width, feed, torque, _, force, _, chip = row
    found = uhmw_pe(width, feed)
    assert found[0] == pytest.approx(torque, rel=0.10)
    assert found[1] == pytest.approx(force, rel=0.10)
    angle = engagement_angle_rad(width, 6.35)
    assert float(h_mean_mm(feed, angle)) == pytest.approx(chip, abs=6e-5)


@pytest.mark.parametrize("row", PASSES)
def test_the_authors_own_model_of_uhmw_pe(row):
    # the same formula and coefficients: last printed digit
    width, feed, _, torque, _, force, _ = row
    found = uhmw_pe(width, feed)
    assert found[0] == pytest.approx(torque, abs=3e-4)
    assert found[1] == pytest.approx(force, abs=0.08)


def test_specific_energy_of_the_last_uhmw_pe_pass():
    # P / MRR = 106 N/mm2, from the measured torque; ours within 2 %
    torque, _ = uhmw_pe(5.71, 0.1047)
    assert torque * 1000.0 * 2.0 * math.pi / (3 * 0.1047 * 5.71 * 5.0) == pytest.approx(
        106.0, rel=0.02
    )


def test_radial_coefficients_follow_the_measured_ratios():
    # K_re = 1.5 K_te (measured 0.8 to 2.0), K_rc = 0.3 K_tc (estimate): exact
    found = force_coefficients(HeatCoefficients(160.0, 0.18, 3.4, 0.25, 162.0))
    assert (found.k_tc_n_mm2, found.k_te_n_mm) == (160.0, 3.4)
    assert (found.k_rc_n_mm2, found.k_re_n_mm) == pytest.approx((48.0, 5.1))


# mean slot forces of the shipped coefficients, D 6, a_p 6, f 0.33 (tangential, lateral): 1 N
@pytest.mark.parametrize(
    ("k_tc", "k_te", "tangential", "lateral"),
    [(110.0, 2.0, 75, 62), (160.0, 3.4, 111, 92), (90.0, 2.0, 63, 52), (55.0, 1.7, 40, 33)],
)
def test_slot_forces_of_the_shipped_coefficients(k_tc, k_te, tangential, lateral):
    k = ForceCoefficients(k_tc, k_te, 0.3 * k_tc, 1.5 * k_te)
    found = mean_forces(k, 0.33, 1, 6.0, math.pi)
    assert float(found.tangential_n) == pytest.approx(tangential, abs=1.0)
    assert float(found.lateral_n) == pytest.approx(lateral, abs=1.0)
