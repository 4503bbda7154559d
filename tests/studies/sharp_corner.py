"""From which turn on a corner is sharp.

A machine that runs through slight turns rounds them by a small deviation. Prints the speed at which
a turn is passed when it is rounded by 0.01 mm, and the jump of speed across the path if it is not
rounded at all. SHARP_RAD of core.motion.track is 5 degrees: up to there 0.01 mm is enough for 100
mm/s at 1 m/s2, so the turn costs a routing feed nothing; a facet of a drawn curve is below it.

Run: python tests/studies/sharp_corner.py
"""

from __future__ import annotations

import math

import numpy as np

from core.motion.profile import corner_speed_mm_s


def main():
    print("turn    speed at 1 m/s2   at 3 m/s2   jump at 100 mm/s")
    for degrees in (1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 30.0):
        turn = math.radians(degrees)
        speed = [float(corner_speed_mm_s(turn, 0.01, np.inf, a)) for a in (1000.0, 3000.0)]
        jump = 100.0 * 2.0 * math.sin(turn / 2.0)
        print(f"{degrees:4.1f}  {speed[0]:9.1f} mm/s  {speed[1]:9.1f}  {jump:8.2f} mm/s")


if __name__ == "__main__":
    main()
