"""What a cutter leaves in corners, against the area between a corner and the circle in it."""

import math

import numpy as np
import pytest

from core.contours.records import Contour, Contours, Kind, Shape
from core.geometry.path import Path, circle
from core.job import Job, Task
from core.library.shelf import Shelf
from core.plan import choose
from core.plan.reach import look_for_reach

SQUARE = Path(np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]]), np.zeros(4))
NOTCHED = Path(
    np.array([[0, 0], [60, 0], [60, 40], [35, 40], [35, 20], [25, 20], [25, 40], [0, 40]], float),
    np.zeros(8),
)
CORNER_MM2 = (1.0 - math.pi / 4.0) * 9.0
"""Square corner less the quarter circle of a cutter of 3 mm radius."""


def left(path, task):
    contour = Contour(1, path, Kind.HOLE, None, 0, "0", "It", Shape.OTHER, None, task)
    group = Contours((contour,), (), (0, 0, 60, 40), (60, 40), 1, 0, 0, 1.0, ())
    return look_for_reach((group,), choose(Job(), Shelf()).cutting)


@pytest.mark.parametrize(
    ("path", "task", "corners"),
    [
        (SQUARE, Task.INSIDE, 4),
        (SQUARE, Task.OUTSIDE, 0),
        (NOTCHED, Task.OUTSIDE, 2),
        (circle((9.0, 9.0), 3.0), Task.INSIDE, 0),
        (SQUARE.reversed(), Task.INSIDE, 4),
    ],
)
def test_each_inside_corner_keeps_what_the_round_cutter_cannot_reach(path, task, corners):
    reach = left(path, task)
    assert reach.unreached_mm2[0, 1] == pytest.approx(corners * CORNER_MM2, rel=1e-9)
    assert len(reach.findings) == bool(corners)


def test_a_hole_that_the_cutter_does_not_enter_is_no_matter_of_corners():
    assert left(circle((9.0, 9.0), 2.0), Task.INSIDE).findings == ()


def test_the_place_that_is_told_lies_in_the_corner():
    (finding,) = left(SQUARE, Task.INSIDE).findings
    x, y = finding.at_mm
    assert min(abs(x), abs(x - 40.0)) < 1.0
    assert min(abs(y), abs(y - 30.0)) < 1.0
    assert "4 corners" in finding.message
