"""Bending of the cutter: closed forms and numerical integration."""

import math

import numpy as np
import pytest

from core.cutting.deflection import (
    equivalent_diameter_ratio,
    second_moment_mm4,
    tip_compliance_mm_n,
)


# E 580 GPa, D 6, D_eq 4.8; numerical integration of M m / EI: 1e-4 of the value
@pytest.mark.parametrize(
    ("stick_out", "flutes", "load_at", "um_n"),
    [(32.0, 22.0, 0.0, 0.43468), (32.0, 22.0, 3.0, 0.36499), (25.0, 25.0, 0.0, 0.34462)],
)
def test_a_stepped_cantilever(stick_out, flutes, load_at, um_n):
    found = 1e3 * tip_compliance_mm_n(stick_out, flutes, 6.0, 4.8, load_at)
    assert found == pytest.approx(um_n, rel=1e-4)
    x = np.linspace(0.0, stick_out, 200_001)
    inertia = np.where(x <= flutes, second_moment_mm4(4.8), second_moment_mm4(6.0))
    integral = np.trapezoid(np.maximum(x - load_at, 0.0) * x / (580e3 * inertia), x)
    assert found == pytest.approx(1e3 * integral, rel=1e-4)


# F L^3 / 3 E I at E 600 GPa, L 25, F 30 N, from memory; 0.8 D after Kops and Vo 1990: last digit
@pytest.mark.parametrize(("diameter", "um"), [(6.0, 4.0935), (4.8, 9.9939)])
def test_a_plain_cantilever(diameter, um):
    compliance = tip_compliance_mm_n(25.0, 25.0, diameter, diameter, modulus_n_mm2=600e3)
    assert 30.0 * 1e3 * compliance == pytest.approx(um, abs=5e-5)


def test_the_second_moment_of_6_mm():
    # pi D^4 / 64, from memory: last digit
    assert second_moment_mm4(6.0) == pytest.approx(63.6173, abs=5e-5)


def test_doubling_the_stick_out_bends_eight_times():
    # common practice (a tool maker's training page: 0.2 -> 1.6 mm), exact
    once = tip_compliance_mm_n(20.0, 20.0, 6.0, 6.0)
    assert tip_compliance_mm_n(40.0, 40.0, 6.0, 6.0) == pytest.approx(8.0 * once, rel=1e-12)


@pytest.mark.parametrize(("diameter", "stiffness"), [(4.0, 5.52), (3.2, 2.26)])
def test_a_beam_of_4_mm_and_16_mm_is_stiffer_than_a_real_mill(diameter, stiffness):
    # E 600 GPa: solid 5.52, at 0.8 D 2.26 N/um; a seller's page measures 0.6 N/um (common practice)
    compliance = tip_compliance_mm_n(16.0, 16.0, diameter, diameter, modulus_n_mm2=600e3)
    assert 1e-3 / compliance == pytest.approx(stiffness, abs=0.005)
    assert 1e-3 / compliance > 0.6


def test_the_machine_yields_as_well():
    # 1 / k added, exact: 5 N/um are 0.2 um/N
    stiff = tip_compliance_mm_n(32.0, 22.0, 6.0, 4.8)
    soft = tip_compliance_mm_n(32.0, 22.0, 6.0, 4.8, machine_stiffness_n_mm=5000.0)
    assert soft - stiff == pytest.approx(2e-4, rel=1e-9)


def test_equivalent_diameters():
    # one edge 0.74 to 0.81 from its section, two edges 0.8 D (Kops and Vo 1990, abstract): 0.005
    assert equivalent_diameter_ratio(1) == pytest.approx(0.81, abs=0.005)
    assert equivalent_diameter_ratio(2) == 0.8
    assert math.isclose(equivalent_diameter_ratio(4), 0.8)
