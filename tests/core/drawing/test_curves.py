"""Splines and ellipses against their own definition; biarcs against the tolerance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.drawing.bspline import corner_spans, sampled
from core.drawing.curves import as_rows
from core.drawing.fitting import Samples, fit
from core.drawing.placing import AS_DRAWN, Conic, PlacedCurve, Placement, Spline


def bezier(points, degree=3):
    knots = [0.0] * (degree + 1) + [1.0] * (degree + 1)
    return Spline(np.array(points, dtype=float), np.array(knots), degree)


def test_a_spline_without_inner_knots_is_the_bernstein_polynomial():
    spline = bezier([(0, 0), (1, 3), (4, -2), (6, 1)])
    points, directions = sampled(spline, spline.control, 8)
    t = np.linspace(0.0, 1.0, 9)[:, None]
    a, b, c, d = spline.control
    cubic = (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t**2 * (1 - t) * c + t**3 * d
    slope = 3 * ((1 - t) ** 2 * (b - a) + 2 * t * (1 - t) * (c - b) + t**2 * (d - c))
    assert points == pytest.approx(cubic)
    assert directions == pytest.approx(slope)


def test_a_rational_quarter_circle_is_round():
    # weights of the exact quarter circle: 1, cos 45 degrees, 1 (elementary geometry)
    quarter = Spline(
        np.array([(1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]),
        np.array([0.0, 0.0, 0.0, 1.0, 1.0, 1.0]),
        2,
        np.array([1.0, math.sqrt(0.5), 1.0]),
    )
    points, directions = sampled(quarter, quarter.control, 16)
    assert np.hypot(*points.T) == pytest.approx(1.0)
    assert (points * directions).sum(axis=1) == pytest.approx(0.0, abs=1e-12)


def test_a_knot_repeated_as_often_as_the_degree_is_a_corner():
    control = np.array([(0, 0), (1, 0), (2, 0), (3, 0), (3, 1), (3, 2), (3, 3)], dtype=float)
    spline = Spline(control, np.array([0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2], dtype=float), 3)
    assert corner_spans(spline) == [0, 1, 2]
    flat = as_rows([PlacedCurve(spline, AS_DRAWN, 0)], 0.005, lambda: None)
    assert flat.rows.tolist() == [
        pytest.approx([0, 0, 3, 0, 0], abs=1e-12),
        pytest.approx([3, 0, 3, 3, 0], abs=1e-12),
    ]


def test_copies_of_a_curve_are_placed_and_mirrored():
    spline = bezier([(0, 0), (10, 30), (40, -20), (60, 10)])
    mirrored = Placement(np.array([[-2.0, 0.0], [0.0, 2.0]]), np.array([5.0, 7.0]))
    curves = [PlacedCurve(spline, AS_DRAWN, 0), PlacedCurve(spline, mirrored, 1)]
    flat = as_rows(curves, 0.005, lambda: None)
    copy = flat.rows[flat.entity == 1]
    assert copy[0, :2] == pytest.approx([5.0, 7.0])
    assert copy[-1, 2:4] == pytest.approx([-115.0, 27.0])
    assert copy[0, 4] * flat.rows[0, 4] < 0.0


def test_a_curve_of_impossible_numbers_is_counted_and_left_out():
    broken = Conic(np.zeros(2), np.array([np.nan, 0.0]), np.array([0.0, 1.0]), 0.0, 1.0)
    with np.errstate(invalid="ignore"):
        flat = as_rows([PlacedCurve(broken, AS_DRAWN, 0)], 0.005, lambda: None)
    assert (len(flat.rows), flat.damaged) == (0, 1)


@given(
    st.lists(st.tuples(st.floats(-80, 80), st.floats(-80, 80)), min_size=4, max_size=4),
    st.sampled_from([0.001, 0.005, 0.05]),
)
def test_biarcs_follow_each_other_and_stay_within_the_tolerance(corners, tolerance):
    spline = bezier(corners)
    points, directions = sampled(spline, spline.control, 256)
    rows, deviation = fit(Samples(points, directions), tolerance)
    if not rows:
        assert np.ptp(points, axis=0).max() < 1e-6
        return
    table = np.array(rows)
    assert table[1:, :2] == pytest.approx(table[:-1, 2:4], abs=1e-9)
    assert table[0, :2] == pytest.approx(points[0], abs=1e-9)
    assert table[-1, 2:4] == pytest.approx(points[-1], abs=1e-9)
    assert deviation <= tolerance
