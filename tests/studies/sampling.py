"""How many samples a ramp of speed needs for the statistics of a pass.

Prints, for several numbers of cells on a ramp, the greatest error of the mean and of the 5 % value
of the chip load over shapes of many kinds, and the samples taken; RAMP_CELLS of core.motion.sample
keeps the mean within 0.2 % and the 5 % value within 2 % (the worst is a rounded rectangle, where
ramps from a stop and from slow corners lie side by side; all others are within 0.1 %).

Run: python tests/studies/sampling.py
"""

from __future__ import annotations

import numpy as np

from core.motion import move, sample
from core.motion.reached import spreads
from tests.core.motion.cuts import (
    cut_pass,
    obround,
    ring,
    rounded_rectangle,
    router,
    square,
    star,
)

SHAPES = [
    square(50.0),
    square(3.0),
    star(),
    star(1.0),
    obround(30.0, 3.0),
    ring(2.0),
    ring(20.0),
    rounded_rectangle(100.0, 60.0, 1.0),
    rounded_rectangle(300.0, 200.0, 10.0),
]
FINE = 1000


def statistics(cells):
    """Return mean and 5 % value of the speed on each shape, and the number of samples."""
    sample.RAMP_CELLS = cells
    along = move([cut_pass(path) for path in SHAPES], router()).along
    found = spreads(along.speed_mm_s, along)
    return found.mean, found.p5, len(along.s_mm)


def main():
    mean, low, _ = statistics(FINE)
    print("cells  error of the mean  of the 5 % value  samples")
    for cells in (4, 8, 12, 16, 24, 32):
        found_mean, found_low, count = statistics(cells)
        print(
            f"{cells:5d}  {100 * np.abs(found_mean / mean - 1).max():14.3f} %"
            f"  {100 * np.abs(found_low / low - 1).max():14.3f} %  {count:7d}"
        )


if __name__ == "__main__":
    main()
