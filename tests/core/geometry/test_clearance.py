"""Distances of lines and arcs by centres and radii, against a polygon library's fine chords."""

import numpy as np
import pytest
import shapely

from core.geometry.clearance import curves_of, near_pairs, nearest_mm
from core.geometry.path import Path, Segments

FINE_MM = 1e-4


def seeded(count, seed):
    """Lines and arcs on a field of 60 mm; arcs up to half a turn."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(0.0, 60.0, (count, 2))
    end = start + rng.uniform(-25.0, 25.0, (count, 2))
    bulge = np.where(rng.random(count) < 0.4, 0.0, rng.uniform(-1.0, 1.0, count))
    return Segments(start, end, bulge)


def drawn(segments):
    """Return segments as fine chords."""
    ends = zip(segments.start, segments.end, segments.bulge, strict=True)
    paths = (Path(np.array([a, b]), np.array([bulge]), closed=False) for a, b, bulge in ends)
    return np.array([shapely.LineString(path.flattened(FINE_MM)) for path in paths])


A, B = seeded(400, 1), seeded(400, 2)
BESIDE = shapely.distance(drawn(A), drawn(B))


def test_curves_that_do_not_cross_are_measured_exactly():
    apart = BESIDE > 0.0
    found = nearest_mm(curves_of(A), curves_of(B))
    assert found[apart] == pytest.approx(BESIDE[apart], abs=2.0 * FINE_MM)


def test_curves_that_cross_are_never_said_to_be_further_apart_than_they_reach_into_each_other():
    found = nearest_mm(curves_of(A), curves_of(B))
    cross = BESIDE == 0.0
    ends = [np.hypot(*(a - b).T) for a in (A.start, A.end) for b in (B.start, B.end)]
    assert cross.any()
    assert (found[cross] <= np.min(ends, axis=0)[cross] + 1e-9).all()


def test_an_arc_that_just_dips_below_a_line_shows_how_deep():
    line = Segments(np.array([[0.0, 0.0]]), np.array([[10.0, 0.0]]), np.zeros(1))
    arc = Segments(np.array([[2.0, 1.0]]), np.array([[8.0, 1.0]]), np.array([1.01 / 3.0]))
    assert nearest_mm(curves_of(arc), curves_of(line)) == pytest.approx([0.01])


def test_pairs_further_apart_than_the_reach_are_left_out_and_no_nearer_ones():
    reach = np.full(len(A), 5.0)
    one, other = near_pairs(A, reach, B)
    near = set(zip(one.tolist(), other.tolist(), strict=True))
    distance = shapely.distance(drawn(A)[:, None], drawn(B)[None, :60])
    wanted = {(i, j) for i, j in np.argwhere(distance <= 5.0).tolist()}
    assert wanted <= near
    assert len(near) < len(A) * len(B) / 2
