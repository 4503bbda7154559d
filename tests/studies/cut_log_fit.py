"""How far off a cut must be to be refused, and what a log of a few cuts is worth.

Prints, for several bounds, how many good cuts are refused and how many wild ones are caught (one of
six cuts, its power read half, one and a half times or twice as high), over logs drawn at random
from the card's uncertainty and read with 5 % of error. A bound of 4 (WILD_SD) loses no good cut
and catches nearly every wild one. Then, what the number of cuts makes of the bands.

Run: python tests/studies/cut_log_fit.py
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.errors import CutLogError
from core.shop import calibration
from core.shop.card import coefficients
from tests.core.shop.made_up import IDLE_W, SHELF, guided, measured

MATERIAL = SHELF.material("polycarbonate")
LOGS = 40


def log(seed, times=1):
    """Return a log of three guided cuts, made some times, read with 5 % of error."""
    truth = np.random.default_rng(seed).standard_normal(9)
    cuts = [cut for k in range(times) for cut in measured(guided(), truth, 0.05, seed + 1000 * k)]
    return [replace(cut, number=n) for n, cut in enumerate(cuts, 1)]


def refused(cuts):
    """Return the numbers of the cuts that are refused; all where they contradict each other."""
    try:
        return {one.number for one in calibration.calibrate(MATERIAL, cuts).refused}
    except CutLogError:
        return {cut.number for cut in cuts}


def main():
    print("bound  good cuts refused  caught: x 0.5   x 1.5   x 2.0")
    for bound in (3.0, 4.0, 5.0):
        calibration.WILD_SD = bound
        good = sum(len(refused(log(seed, 2))) for seed in range(LOGS)) / (6 * LOGS)
        caught = []
        for factor in (0.5, 1.5, 2.0):
            found = 0
            for seed in range(LOGS):
                cuts = log(seed, 2)
                wild = IDLE_W + factor * cuts[1].cutting_power_w
                cuts[1] = replace(cuts[1], power_w=wild)
                found += cuts[1].number in refused(cuts)
            caught.append(found / LOGS)
        words = "   ".join(f"{100 * share:4.0f} %" for share in caught)
        print(f"{bound:5.1f}  {100 * good:15.1f} %          {words}")
    calibration.WILD_SD = 4.0
    print("cuts  width of the band of K_tc, of K_te, over the card's")
    for times in (1, 2, 4):
        rows = coefficients(calibration.calibrate(MATERIAL, log(7, times)))
        print(f"{3 * times:4d}  {rows[0].narrower:10.2f}  {rows[1].narrower:10.2f}")


if __name__ == "__main__":
    main()
