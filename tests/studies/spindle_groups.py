"""How nearly equal spindle speeds should be made equal when the spindle follows the contour.

Prints, for a plate with holes of 8 to 24 mm and several factors, the number of speeds, the time of
spindle ramps and how much of the chip load that each hole asked for is given up on average. 1.15
(SAME_SPEED of core.advice.spindle_follows) makes three speeds of five and gives up 4 % of the chip.
The ramps hardly change here: fewer speeds are fewer lines in a program and fewer things to check.

Run: python tests/studies/spindle_groups.py
"""

from __future__ import annotations

from core.advice import spindle_follows as module
from core.advice.trying import Bench
from tests.core.advice.plates import job, plate

HOLES = plate(
    *((40.0 + 45.0 * (n % 6), 40.0 + 60.0 * (n // 6), 8.0 + 1.4 * n) for n in range(12)),
    size_mm=(320.0, 160.0),
)


def main():
    bench = Bench()
    results = bench.results(job(HOLES, machine="light_gantry"))
    before = bench.trial(results.job).spindle_changes_s
    print("factor  speeds  ramps s  chip given up")
    wanted = None
    for factor in (1.0, 1.05, 1.1, 1.15, 1.25, 1.5, 2.0):
        module.SAME_SPEED = factor
        offer = module.spindle_follows(bench, results)
        speeds = {(c.drawing, c.contour_id): c.spindle_speed_rpm for c in offer.contours}
        wanted = wanted or speeds
        lost = sum(1.0 - wanted[key] / rpm for key, rpm in speeds.items()) / len(speeds)
        ramps = offer.cost.spindle_changes_s + before
        print(f"{factor:6.2f}  {len(offer.speeds_rpm):6d}  {ramps:7.1f}  {100 * lost:10.1f} %")


if __name__ == "__main__":
    main()
