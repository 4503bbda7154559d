"""Our times along a path against the time-optimal ones with a limit on each axis.

Needs toppra, which has no wheels on every machine: the tests hold the printed times instead
(tests/published/test_motion.py). Our profile takes the full acceleration along the path and, apart
from it, the full acceleration across; a machine limits each axis. Prints what that costs.

Run: python tests/studies/path_timing.py
"""

from __future__ import annotations

import numpy as np
import toppra
from toppra import algorithm, constraint
from toppra.interpolator import AbstractGeometricPath

from core.geometry.path import points_on
from tests.core.motion.cuts import (
    FEED_MM_S,
    obround,
    ring,
    rounded_rectangle,
    router,
    star,
    time_s,
)

SHAPES = {
    "rounded rectangle 100 x 60, r 5": (rounded_rectangle(100.0, 60.0, 5.0), 0.1),
    "rounded rectangle 100 x 60, r 2": (rounded_rectangle(100.0, 60.0, 2.0), 0.1),
    "slot outline 30, r 3": (obround(30.0, 3.0), 0.1),
    "circle r 2": (ring(2.0), 0.02),
    "star, fillets of 1": (star(1.0), 0.05),
}


class LinesAndArcs(AbstractGeometricPath):
    """A path of ours as toppra wants it, by length. [mm]."""

    def __init__(self, path):
        self.seg = path.segments
        self.ends = np.concatenate([[0.0], np.cumsum(self.seg.length_mm)])

    def __call__(self, way, order=0):
        s = np.atleast_1d(way)
        i = np.clip(np.searchsorted(self.ends, s, "right") - 1, 0, len(self.seg) - 1)
        into, curve = s - self.ends[i], self.seg.curvature_per_mm[i]
        heading = self.seg.heading_rad[i] + curve * into
        if order == 0:
            found = points_on(self.seg, i, into / self.seg.length_mm[i])
        elif order == 1:
            found = np.column_stack([np.cos(heading), np.sin(heading)])
        else:
            found = np.column_stack([-np.sin(heading) * curve, np.cos(heading) * curve])
        return found[0] if np.isscalar(way) else found

    dof = 2
    waypoints = None

    @property
    def path_interval(self):
        return np.array([0.0, self.ends[-1]])

    def grid(self, step):
        """Return grid points with every end of a segment among them."""
        parts = [
            np.linspace(a, b, max(2, int(np.ceil((b - a) / step)) + 1))[1:]
            for a, b in zip(self.ends[:-1], self.ends[1:], strict=True)
        ]
        return np.concatenate([[0.0], *parts])


class SpeedLimit(constraint.LinearConstraint):
    """The programmed feed, along the path."""

    def compute_constraint_params(self, path, grid, *_):
        square = np.column_stack([np.zeros(len(grid)), np.full(len(grid), FEED_MM_S**2)])
        return None, None, None, None, None, None, square

    def get_dof(self):
        return 2


def optimal_time_s(path, acceleration, step):
    """Return the time-optimal time with |a| <= acceleration on each axis."""
    course = LinesAndArcs(path)
    grid = course.grid(step)
    axes = constraint.JointAccelerationConstraint(
        np.array([[-acceleration, acceleration]] * 2),
        discretization_scheme=constraint.DiscretizationType.Collocation,
    )
    found = algorithm.TOPPRA([SpeedLimit(), axes], course, gridpoints=grid)
    speed = found.compute_parameterization(0.0, 0.0, return_data=True)[1]
    return float((2.0 * np.diff(grid) / (speed[1:] + speed[:-1])).sum())


def main():
    toppra.setup_logging("ERROR")
    for name, (path, step) in SHAPES.items():
        for acceleration in (1000.0, 3000.0):
            best = optimal_time_s(path, acceleration, step)
            ours = time_s(path, router(acceleration))
            strict = time_s(path, router(acceleration / np.sqrt(2.0)))
            print(
                f"{name:33s} a {acceleration / 1e3:.0f} m/s2  optimal {best:.5f} s  "
                f"ours {ours:.5f} s ({100 * (ours / best - 1):+.2f} %)  "
                f"a/sqrt2 ({100 * (strict / best - 1):+.1f} %)"
            )


if __name__ == "__main__":
    main()
