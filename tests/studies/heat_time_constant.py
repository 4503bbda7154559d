"""One time constant for the body of a cutter: which share of the fin's slowest serves best.

Prints the greatest difference between one exponential and the whole fin (200 cells, heated at the
tip from rest), as a share of the steady rise: over all times, from 2 s and from 5 s on. 0.6 is best
at first and 0.78 from 5 s on; TIME_SHARE of core.heat.cutter_body lies between, because passes last
from one to thirty seconds.

Run: python tests/studies/heat_time_constant.py
"""

from __future__ import annotations

import numpy as np

from core.heat.cutter_body import (
    TIME_SHARE,
    air_film_w_m2k,
    fin_conductance_w_k,
    time_constant_s,
)
from tests.published.test_heat_conduction import fin_by_differences


def main():
    print("share   still: all  from 2 s  5 s     blast: all  from 2 s  5 s")
    fins = []
    for air in (0.0, 30.0):
        film = float(air_film_w_m2k(0.006, 300.0, air))
        tip, time = fin_by_differences(film, 40.0)
        steady = 1.0 / float(fin_conductance_w_k(0.006, 0.025, film))
        slowest = float(time_constant_s(0.006, 0.025, film)) / TIME_SHARE
        fins.append((tip / steady, time, slowest))
    for share in (0.5, 0.6, 0.66, 0.72, 0.78, 0.85, 1.0):
        line = f"{share:5.2f}"
        for rise, time, slowest in fins:
            error = np.abs(1.0 - np.exp(-time / (share * slowest)) - rise)
            line += f"         {error.max():.3f}   {error[time >= 2.0].max():.3f}"
            line += f"  {error[time >= 5.0].max():.3f}"
        print(line)


if __name__ == "__main__":
    main()
