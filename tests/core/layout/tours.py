"""Seeded stops for tours, and a lower bound on the length of any tour."""

import math

import numpy as np

from core.layout.order_entries import Doors

PLACES = 8


def panels(count, seed=0):
    """Stops of parts in rows, up to eight holes in each: enter points, and the stop that waits."""
    rng = np.random.default_rng(seed)
    points, waits, part = [], [], 0
    columns = max(1, int(math.sqrt(count / 6) * 1.4))
    while len(points) < count:
        x, y = (part % columns) * 260.0 + 130.0, (part // columns) * 200.0 + 100.0
        part += 1
        outer = len(points)
        points.append((x - 110.0, y - 80.0))
        waits.append(-1)
        for _ in range(int(rng.integers(0, 9))):
            if len(points) < count:
                points.append((x + rng.uniform(-100, 100), y + rng.uniform(-70, 70)))
                waits.append(outer)
    return np.array(points), np.array(waits)


def doors(count, seed=0):
    """The same with eight places each: round a hole of 16 mm, or along an outline of 220 x 160."""
    points, waits = panels(count, seed)
    turn = np.arange(PLACES) * 2.0 * math.pi / PLACES
    ring = 8.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    sides = [(0, 0), (110, 0), (220, 0), (220, 80), (220, 160), (110, 160), (0, 160), (0, 80)]
    around = np.where((waits >= 0)[:, None, None], ring, np.array(sides, float))
    places = points[:, None] + around
    return Doors(places, places, waits, np.zeros(2))


def held_karp_bound(points, upper_mm, steps=400):
    """Return a length that no way through all points is shorter than, from the first one on.

    The 1-tree bound of Held and Karp (1970) by subgradient ascent, for an open way: a spanning tree
    with prices on the points that push every degree towards two, and towards one at both ends.
    """
    price, best, step, stale = np.zeros(len(points)), 0.0, 1.5, 0
    for _ in range(steps):
        length, degree = _tree(points, price)
        end = 1 + int(price[1:].argmin())
        bound = length - 2.0 * price.sum() + price[0] + price[end]
        stale = 0 if bound > best + 1e-9 else stale + 1
        best = max(best, bound)
        if stale >= 8:
            step, stale = 0.7 * step, 0
        surplus = degree - 2.0
        surplus[[0, end]] += 1.0
        if not surplus.any():
            break
        price += step * (upper_mm - bound) / (surplus @ surplus) * surplus
    return best


def _tree(points, price):
    """Return length and degrees of the least spanning tree with prices on its points (Prim)."""
    count = len(points)
    out = np.ones(count, dtype=bool)
    near, at = np.full(count, np.inf), np.zeros(count, dtype=int)
    degree, length, last = np.zeros(count), 0.0, 0
    for _ in range(count - 1):
        out[last] = False
        away = np.hypot(*(points - points[last]).T) + price + price[last]
        closer = out & (away < near)
        near[closer], at[closer] = away[closer], last
        last = int(np.where(out, near, np.inf).argmin())
        length += near[last]
        degree[[last, at[last]]] += 1.0
    return length, degree
