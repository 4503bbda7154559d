"""Vacuum, friction and hold-down."""

import math

import numpy as np
import pytest

from core.cutting.force import ForceCoefficients, axial_force_n, mean_forces
from core.cutting.hold_down import (
    VIBRATING_RATIO,
    friction_from_tilt,
    hold_down_ratio,
    skin_force_n,
    smallest_loose_area_mm2,
    vacuum_force_n,
)

INCH_OF_MERCURY_KPA = 3.386388
FROZEN = ForceCoefficients(80.0, 1.7, 24.0, 1.7)


def test_20_inches_of_mercury_on_300_by_200_mm():
    # 4063.67 N, with mu 0.3 1219.1 N (1 inHg = 3386.388 Pa, scipy.constants): last digit
    pressed = vacuum_force_n(300.0 * 200.0, 20.0 * INCH_OF_MERCURY_KPA)
    assert pressed == pytest.approx(4063.67, abs=0.005)
    assert 0.3 * pressed == pytest.approx(1219.1, abs=0.05)


def test_a_square_foot_at_full_vacuum():
    # common practice (a seller's page): 2116.8 lb; ours 2116.2 at 29.92 inHg; 1 lb
    pounds = vacuum_force_n(304.8**2, 101.325) / 4.4482216152605
    assert pounds == pytest.approx(2116.8, abs=1.0)


def test_an_8_inch_cup_at_26_inches():
    # exact 642 lb (the shop's 2:1 rule prints 650, common practice): 1 lb
    area = math.pi / 4.0 * 203.2**2
    assert vacuum_force_n(area, 26.0 * INCH_OF_MERCURY_KPA) / 4.4482216 == pytest.approx(
        642, abs=1.0
    )


def test_kinetic_friction_is_three_quarters_of_static():
    # CTU Code (IMO, ILO, UNECE), Annex 7, Appendix 2: exact
    assert VIBRATING_RATIO == 0.75


def test_friction_from_a_tilt_test():
    # mu = tan(angle): exact
    assert friction_from_tilt(math.atan(0.25)) == pytest.approx(0.25, abs=1e-12)


def forces(depth):
    """Return lateral and lifting force of a slot, D 6, 25 degrees, frozen card. [N]."""
    mean = mean_forces(FROZEN, 0.33, 1, depth, math.pi)
    return float(mean.lateral_n), float(axial_force_n(mean.tangential_n, math.radians(25.0)))


# 60 kPa of which 0.6 arrive, mu 0.25, the skin 0.5 mm at 70 N/mm2: printed digits
@pytest.mark.parametrize(
    ("side", "loose", "with_skin", "skim"),
    [(100.0, 1.84, 94.0, 19.7), (50.0, 0.35, 47.0, 4.8), (30.0, 0.04, 28.0, 1.64)],
)
def test_square_pieces(side, loose, with_skin, skim):
    held = vacuum_force_n(side**2, 60.0, 0.6)
    skin = skin_force_n(0.5, 4.0 * side, 70.0)
    lateral, lift = forces(6.0)
    assert hold_down_ratio(held, 0.25, lateral, lift) == pytest.approx(loose, abs=0.006)
    # sideways; upwards the skin holds far more
    assert (0.25 * max(held - lift, 0.0) + skin) / lateral == pytest.approx(with_skin, abs=0.6)
    assert hold_down_ratio(held, 0.25, *forces(0.6)) == pytest.approx(skim, abs=0.06)


def test_the_smallest_loose_piece_is_45_mm_square():
    # 18 N peak of the skim, mu 0.25, 0.036 N/mm2: 2000 mm2 (45 x 45 mm)
    area = smallest_loose_area_mm2(60.0, 0.6, 0.25, 18.0)
    assert area == pytest.approx(2000.0, abs=1.0)
    assert np.sqrt(area) == pytest.approx(45.0, abs=0.5)
