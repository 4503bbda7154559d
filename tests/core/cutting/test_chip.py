"""What has to hold for every chip, whatever the wall."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.cutting.chip import (
    engagement_angle_rad,
    feed_for_mark_height_mm,
    feed_mark_height_mm,
    h_max_mm,
    h_mean_mm,
)
from core.cutting.rubbing import chip_loads_with_run_out_mm, rubbing_share

diameters = st.floats(2.0, 16.0)
shares = st.floats(0.005, 0.45)
feeds = st.floats(0.005, 0.6)


@given(diameters, shares, feeds)
def test_the_chip_has_the_area_of_what_is_cut_away(diameter, share, feed):
    width = share * diameter
    angle = engagement_angle_rad(width, diameter)
    area = diameter / 2.0 * angle * h_mean_mm(feed, angle)
    assert float(area) == pytest.approx(feed * width, rel=1e-9)


@given(diameters, shares, st.floats(0.1, 50.0), st.sampled_from([-1.0, 1.0]))
def test_on_an_arc_the_chip_has_the_area_of_what_is_cut_away(diameter, share, gap, side):
    # side +1: convex wall inside the path; -1: concave wall outside it
    radius, width = diameter / 2.0, share * diameter
    centre = radius + gap
    wall = centre - side * radius
    angle = engagement_angle_rad(width, diameter, side / centre)
    swept = width * (wall + side * width / 2.0) / centre
    if swept < 2.0 * radius:
        assert radius * (1.0 - math.cos(float(angle))) == pytest.approx(swept, rel=1e-9)


@pytest.mark.parametrize(("wall", "side"), [(8.0, 1.0), (8.0, -1.0)])
def test_the_engagement_on_an_arc_ends_on_the_circle_of_the_stock(wall, side):
    # the point at phi_e lies at the stock's radius: wall + a_e outside a part, wall - a_e in a hole
    width, radius = 0.7, 3.0
    centre = wall + side * radius
    angle = float(engagement_angle_rad(width, 6.0, side / centre))
    point = np.array([radius * math.sin(angle), centre - side * radius * math.cos(angle)])
    assert math.hypot(*point) == pytest.approx(wall + side * width, abs=1e-12)


@given(diameters, feeds, st.floats(-0.4, 0.1))
def test_a_full_slot_is_half_a_turn_on_any_arc(diameter, feed, curvature):
    angle = engagement_angle_rad(diameter, diameter, curvature)
    assert float(angle) == pytest.approx(math.pi, abs=1e-6)
    assert float(h_max_mm(feed, angle)) == pytest.approx(feed)


@given(diameters, shares, feeds)
def test_the_mean_chip_is_below_the_greatest(diameter, share, feed):
    angle = engagement_angle_rad(share * diameter, diameter)
    assert 0.0 < float(h_mean_mm(feed, angle)) < float(h_max_mm(feed, angle)) <= feed


@given(st.floats(0.0005, 0.02), diameters, st.floats(-0.5, 0.1))
def test_the_feed_for_a_mark_height_leaves_that_height(height, diameter, curvature):
    feed = feed_for_mark_height_mm(height, diameter, curvature)
    assert float(feed_mark_height_mm(feed, diameter, curvature)) == pytest.approx(height)


@given(feeds, st.lists(st.floats(-0.1, 0.1), min_size=1, max_size=4))
def test_run_out_only_shares_out_what_a_turn_advances(feed, offsets):
    loads = chip_loads_with_run_out_mm(feed, offsets)
    assert sum(loads) == pytest.approx(len(offsets) * feed)
    assert min(loads) >= 0.0


@given(feeds, shares, st.floats(0.0, 1.0))
def test_the_rubbing_share_is_a_share(feed, share, limit):
    angle = engagement_angle_rad(share, 1.0)
    assert 0.0 <= float(rubbing_share(feed, angle, limit)) <= 1.0


def test_an_edge_that_cannot_cut_rubs_all_the_way():
    assert float(rubbing_share(0.001, math.pi, 0.002)) == 1.0


def test_formulas_take_arrays():
    widths = np.array([0.5, 3.0, 6.0])
    angles = engagement_angle_rad(widths, 6.0)
    assert angles.tolist() == [float(engagement_angle_rad(w, 6.0)) for w in widths]
