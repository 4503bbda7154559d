"""Section, hold-down, skin and balance: inverses and limits."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.cutting.deflection import tip_compliance_mm_n
from core.cutting.hold_down import hold_down_ratio, smallest_loose_area_mm2, vacuum_force_n
from core.cutting.section import (
    GULLET_OFFSET_RATIO,
    GULLET_RADIUS_RATIO,
    one_edge_section,
    own_unbalance_g_mm,
)
from core.cutting.skin import (
    measured_half_band_mm,
    programmed_skin_mm,
    skin_band,
    thickness_tolerance_mm,
)


def test_the_section_agrees_with_a_raster():
    step = 2.0 / 1500
    axis = np.arange(-1.0 + step / 2.0, 1.0, step)
    x, y = np.meshgrid(axis, axis)
    disc = x**2 + y**2 <= 1.0
    gullet = disc & ((x - GULLET_OFFSET_RATIO) ** 2 + y**2 <= GULLET_RADIUS_RATIO**2)
    body, cell = disc & ~gullet, step**2
    across = (y[body] ** 2).sum() * cell
    along = ((x[body] - x[body].mean()) ** 2).sum() * cell
    section = one_edge_section()
    assert section.gullet_area == pytest.approx(gullet.sum() * cell, rel=1e-3)
    assert section.gullet_moment == pytest.approx(x[gullet].sum() * cell, rel=1e-3)
    weakest = (4.0 * min(along, across) / math.pi) ** 0.25
    assert section.weakest_ratio == pytest.approx(weakest, rel=1e-3)


def test_a_straight_gullet_is_worse_balanced_than_a_twisted_one():
    straight = own_unbalance_g_mm(6.0, 22.0, 0.0)
    assert own_unbalance_g_mm(6.0, 22.0, math.radians(25.0)) < straight
    assert own_unbalance_g_mm(6.0, 22.0, 1e-9) == pytest.approx(straight)


@given(st.floats(1.0, 100.0), st.floats(0.0, 30.0), st.floats(0.5, 3.0), st.floats(0.1, 0.45))
def test_the_smallest_loose_piece_just_holds(lateral, lift, ratio, friction):
    area = smallest_loose_area_mm2(60.0, 0.6, friction, lateral, lift, ratio)
    held = vacuum_force_n(area, 60.0, 0.6)
    assert friction * (held - lift) / lateral == pytest.approx(ratio, rel=1e-9)


def test_a_press_does_not_pull_a_piece_off():
    held = vacuum_force_n(1e4, 60.0, 0.6)
    assert hold_down_ratio(held, 0.25, 45.0, -20.0) == hold_down_ratio(held, 0.25, 45.0, 0.0)


def test_lift_alone_can_pull_a_piece_off():
    # no lateral force, a skin that would hold sideways: upwards decides
    assert hold_down_ratio(10.0, 0.25, 0.0, 20.0, skin_force_n=2.0) == pytest.approx(0.6)


@given(st.floats(0.1, 5.0))
def test_a_programmed_skin_is_never_thinner_than_needed(needed):
    programmed = programmed_skin_mm(needed)
    assert needed <= programmed + 1e-9
    assert programmed <= max(needed, 0.3) + 0.1 + 1e-9


def test_a_skin_without_errors_is_certain():
    assert skin_band(0.5, 0.0, 0.0).cut_through_probability == 0.0
    assert skin_band(0.0, 0.0, 0.0).cut_through_probability == 1.0


def test_errors_add_up_at_worst_and_by_squares_likely():
    band = skin_band(0.5, 0.3, 0.4, gap_mm=0.1)
    assert (band.nominal_mm, band.worst_mm, band.likely_mm) == pytest.approx((0.4, 0.7, 0.5))


def test_the_measured_half_band_is_half_the_range_and_the_probe():
    assert measured_half_band_mm((6.0,), 0.05) == 0.05


def test_a_standard_with_one_share_has_it_for_thin_sheet_too():
    assert thickness_tolerance_mm(2.0, 0.08, 0.03) == pytest.approx(0.14)


def test_flutes_longer_than_the_stick_out_count_up_to_the_holder():
    assert tip_compliance_mm_n(20.0, 30.0, 6.0, 4.8) == tip_compliance_mm_n(20.0, 20.0, 6.0, 4.8)
