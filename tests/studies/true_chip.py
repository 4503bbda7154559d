"""How far the circular model of the chip is from the edge's true path.

The edge runs on a trochoid: its centre advances while it turns. The true chip thickness is measured
along the ray from the present centre to the edge, against the path of the edge before and against
the free surface of the stock. Prints the greatest thickness of both models; the factor 0.9 for
coarse finish feeds (core.cutting.rubbing.THIN_FINISH_RATIO) comes from the last columns.

Run: python tests/studies/true_chip.py
"""

from __future__ import annotations

import numpy as np

CASES = [
    (1.5, 0.33, True),
    (0.5, 0.33, True),
    (0.5, 0.33, False),
    (0.5, 0.1, True),
    (6.0, 0.33, True),
]
"""Radial width, feed per tooth, conventional; D 6 mm, one edge."""


def true_greatest_chip_mm(width, feed, conventional, radius=3.0, steps=20_001):
    """Return the greatest undeformed chip thickness of a one-edge cutter along its true path."""
    advance = feed / (2.0 * np.pi)
    before = np.linspace(-0.7, np.pi + 0.7, 40_001)
    x_before = advance * before - feed + radius * np.sin(before)
    y_before = radius * np.cos(before)
    engaged = np.arccos(1.0 - width / radius)
    low, high = (0.0, engaged) if conventional else (np.pi - engaged, np.pi)
    greatest = 0.0
    for angle in np.linspace(max(low - 0.11, -0.11), min(high + 0.11, np.pi + 0.11), steps // 20):
        x, y = x_before - advance * angle, y_before
        # distance of the earlier path from the present centre, in the direction of the ray
        across = x * np.cos(angle) - y * np.sin(angle)
        along = x * np.sin(angle) + y * np.cos(angle)
        hits = np.flatnonzero((across[:-1] * across[1:] <= 0.0) & (along[:-1] > 0.0))
        if not len(hits):
            continue
        thickness = radius - along[hits].max()
        greatest = max(greatest, min(thickness, _to_surface(angle, width, conventional, radius)))
    return greatest


def _to_surface(angle, width, conventional, radius):
    """Return how much of the ray lies in the stock."""
    height = np.cos(angle) if conventional else -np.cos(angle)
    inner = radius - width
    if width < radius:
        return radius - inner / height if height > 1e-9 else np.inf
    return radius if radius * height >= inner else 0.0


def main():
    print("a_e    f_z    way    true    circular  ratio")
    for width, feed, conventional in CASES:
        true = true_greatest_chip_mm(width, feed, conventional)
        angle = np.arccos(1.0 - width / 3.0)
        circular = feed * np.sin(min(angle, np.pi / 2.0))
        way = "up" if conventional else "down"
        print(
            f"{width:4.1f}  {feed:5.2f}  {way:5s}  {true:.4f}  {circular:.4f}"
            f"    {true / circular:.3f}"
        )


if __name__ == "__main__":
    main()
