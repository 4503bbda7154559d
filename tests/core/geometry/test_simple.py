import numpy as np
import pytest
import shapely

from core.geometry.path import Path, circle
from core.geometry.simple import are_simple
from tests.core.geometry.seeded import QUARTER, notched, plates, rectangle, slot


@pytest.mark.parametrize("path", [rectangle(), notched(), slot(), circle((0, 0), 3)])
def test_plain_contours_are_simple(path):
    assert are_simple([path, path.reversed()]).all()


@pytest.mark.parametrize(
    ("points", "bulges"),
    [
        pytest.param([(0, 0), (10, 10), (10, 0), (0, 10)], [0] * 4, id="bow tie"),
        pytest.param([(0, 0), (10, 0), (10, 5), (5, 0), (0, 5)], [0] * 5, id="corner on an edge"),
        pytest.param([(0, 0), (10, 0), (5, 0), (5, 5)], [0] * 4, id="doubles back"),
        pytest.param(
            [(0, 0), (10, 0), (10, 10), (6, 10), (6, 0), (4, 0), (4, 10), (0, 10)],
            [0] * 8,
            id="edge on an edge",
        ),
        pytest.param([(0, 0), (10, 0), (10, 4), (0, 4)], [0, 0, -1, 0], id="arc through an edge"),
        pytest.param([(0, 0), (10, 0), (4, -8)], [1, 0, 0], id="neighbours meet again"),
        pytest.param([(0, 0), (10, 0), (10, 5), (0, 5)], [0, 0, -1, 0], id="arc touches an edge"),
    ],
)
def test_contours_that_meet_themselves_are_not_simple(points, bulges):
    assert not are_simple([Path(np.array(points, float), np.array(bulges, float))])[0]


def test_none_is_an_answer_for_no_paths():
    assert len(are_simple([])) == 0


def test_a_circle_of_four_arcs_is_simple():
    points = np.array([[1, 0], [0, 1], [-1, 0], [0, -1]], float)
    assert are_simple([Path(points, np.full(4, QUARTER))])[0]


def test_agrees_with_fine_polygons_on_random_contours():
    rng = np.random.default_rng(4)
    paths = []
    for _ in range(400):
        n = int(rng.integers(3, 9))
        bulges = np.where(rng.random(n) < 0.5, rng.uniform(-1, 1, n), 0.0)
        paths.append(Path(rng.uniform(0, 50, (n, 2)), bulges))
    fine = [shapely.LinearRing(path.flattened(1e-5)) for path in paths]
    differ = np.flatnonzero(are_simple(paths) != shapely.is_simple(fine))
    # a crossing that is shallower than the polygon's chords is seen by the exact test only
    assert len(differ) <= 2


def test_far_from_the_origin_nothing_changes():
    near = plates(60, 2)
    far = [path.moved((18_000.0, 18_000.0)) for path in near]
    assert (are_simple(far) == are_simple(near)).all()
