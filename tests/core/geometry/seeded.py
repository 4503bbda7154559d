"""Seeded contours that are hard on an offset, and points along paths."""

import math

import numpy as np

from core.geometry.path import Path, points_on
from core.geometry.simple import are_simple

QUARTER = math.tan(math.pi / 8.0)
"""Bulge of a quarter circle."""


def rectangle(width=100.0, height=60.0):
    return Path(np.array([[0, 0], [width, 0], [width, height], [0, height]], float), np.zeros(4))


def notched(radius=10.0):
    """A rectangle with a half-round notch in its upper edge."""
    points = [[0, 0], [100, 0], [100, 50], [50 + radius, 50], [50 - radius, 50], [0, 50]]
    return Path(np.array(points, float), np.array([0, 0, 0, -1.0, 0, 0]))


def slot(length=40.0, radius=5.0):
    points = [[0, -radius], [length, -radius], [length, radius], [0, radius]]
    return Path(np.array(points, float), np.array([0, 1.0, 0, 1.0]))


def dumbbell(neck=4.0):
    """Two squares of 20 mm joined by a neck 20 mm long."""
    h = neck / 2.0
    points = [
        *((0, -10), (20, -10), (20, -h), (40, -h), (40, -10), (60, -10)),
        *((60, 10), (40, 10), (40, h), (20, h), (20, 10), (0, 10)),
    ]
    return Path(np.array(points, float), np.zeros(12))


def stars(count, seed):
    """Star-shaped contours of lines and arcs, 4 to 23 segments."""
    rng, found = np.random.default_rng(seed), []
    while len(found) < 4 * count + 8:
        n = int(rng.integers(4, 24))
        angle = np.sort(rng.uniform(0, 2 * math.pi, n))
        if np.diff(angle).min() < 0.02 or angle[0] + 2 * math.pi - angle[-1] > math.pi:
            continue
        radius = rng.uniform(15, 60, n)
        bulges = np.where(rng.random(n) < 0.5, rng.uniform(-0.8, 0.8, n), 0.0)
        points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        found.append(Path(points, bulges))
    simple = are_simple(found)
    good = [path for path, fit in zip(found, simple, strict=True) if fit and path.area_mm2 > 0]
    assert len(good) >= count
    return good[:count]


def plates(count, seed, noise_mm=0.0):
    """Plates cut out of squares of 5 mm, corners left, rounded or chamfered by 1.25 to 2.5 mm.

    Offset by 2.5 mm their slots and necks are exactly as wide as the cutter: everything that can
    coincide does. With noise the joints are tangent but for a drawing's rounding.
    """
    rng, found = np.random.default_rng(seed), []
    while len(found) < count:
        corners = _staircase(rng, int(rng.integers(2, 40)))
        if corners is None:
            continue
        path = _softened(corners, float(rng.choice([1.25, 2.0, 2.5])), rng)
        moved = path.points + noise_mm * rng.normal(size=path.points.shape)
        found.append(Path(moved, path.bulges))
    simple = are_simple(found)
    return [path for path, good in zip(found, simple, strict=True) if good]


def _staircase(rng, cells, size=5.0):
    """Corners of the outline of squares that hang together, counter-clockwise.

    None where two of them meet in a corner only.
    """
    filled = {(0, 0)}
    while len(filled) < cells:
        x, y = sorted(filled)[rng.integers(len(filled))]
        dx, dy = [(1, 0), (-1, 0), (0, 1), (0, -1)][rng.integers(4)]
        if max(abs(x + dx), abs(y + dy)) <= 7:
            filled.add((x + dx, y + dy))
    edges = {}
    for x, y in filled:
        for (ax, ay), (bx, by), beyond in (
            ((x, y), (x + 1, y), (x, y - 1)),
            ((x + 1, y), (x + 1, y + 1), (x + 1, y)),
            ((x + 1, y + 1), (x, y + 1), (x, y + 1)),
            ((x, y + 1), (x, y), (x - 1, y)),
        ):
            if beyond not in filled:
                if (ax, ay) in edges:
                    return None
                edges[ax, ay] = bx, by
    at = min(edges)
    ring = [at]
    while edges[at] != ring[0]:
        at = edges[at]
        ring.append(at)
    points = np.array(ring, float)
    straight = np.roll(points, -1, axis=0) + np.roll(points, 1, axis=0) == 2 * points
    return points[~straight.all(axis=1)] * size


def _softened(corners, radius, rng):
    into = corners - np.roll(corners, 1, axis=0)
    into /= np.hypot(*into.T)[:, None]
    out = np.roll(into, -1, axis=0)
    share, points, bulges = rng.choice([0.0, 0.5, 1.0]), [], []
    for corner, a, b in zip(corners, into, out, strict=True):
        if rng.random() >= share:
            points, bulges = [*points, corner], [*bulges, 0.0]
            continue
        turn = np.sign(a[0] * b[1] - a[1] * b[0])
        points += [corner - radius * a, corner + radius * b]
        bulges += [turn * QUARTER if rng.random() < 0.7 else 0.0, 0.0]
    return Path(np.array(points), np.array(bulges))


def along(path, each=5):
    """Points along every segment of a path, its corners included, shape (n * each, 2)."""
    count = len(path.bulges)
    share = np.tile(np.arange(each) / each, count)
    return points_on(path.segments, np.repeat(np.arange(count), each), share)
