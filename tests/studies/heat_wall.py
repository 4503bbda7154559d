"""How well the wall in closed form stands for single edges, and how many samples its peak needs.

First table: hottest wall of several corners by the closed form, and by summing up what every single
edge leaves (worst edge; mean and highest over where in a turn the cut begins).
Second table: the peak at an inside corner and round a fillet for other numbers of samples on a ramp
of speed. The closed form lies between mean and highest; the samples that motion takes are enough.

Run: python tests/studies/heat_wall.py
"""

from __future__ import annotations

import math
from unittest import mock

import numpy as np

from core.heat.contact import Timeline
from core.heat.temperatures import edge_shares
from core.motion import sample
from tests.core.heat.cards import arc, corner, line, rounded
from tests.core.heat.test_walls import cuts_of

CASES = {
    "straight": (line(20.0), -1),
    "inside corner, 90 degrees": (corner(20.0, math.pi / 2), -1),
    "inside corner, 60 degrees": (corner(20.0, math.pi / 3), -1),
    "fillet r 3.05": (rounded(20.0, 0.05, math.pi / 2), -1),
    "fillet r 3.2": (rounded(20.0, 0.2, math.pi / 2), -1),
    "fillet r 5": (rounded(20.0, 2.0, math.pi / 2), -1),
    "hole 10 mm": (arc(2.0, math.pi), -1),
    "outside radius 0.2": (rounded(20.0, 3.2, math.pi / 2), 1),
    "outside radius 2": (rounded(20.0, 5.0, math.pi / 2), 1),
}

PHASES = np.arange(16) / 16.0


def by_single_edges(cuts, place):
    """Mean and highest rise over the phases, after the worst edge."""
    c, places, timeline = cuts.coefficients, cuts.places, Timeline(cuts.along)
    rate = float(places.touch.edge_rate_per_s[place])
    ratio = cuts.engaged.chip_ratio[0, cuts.runs.of_sample[places.sample[place]]]
    ways = np.linspace(-1.0, 1.0, 20001) + places.s_mm[place]
    time, speed = timeline.at(ways, np.zeros(len(ways), np.intp))
    now = timeline.at(places.s_mm[[place]], np.zeros(1, np.intp))[0][0]
    lasts = float(places.touch.contact_s[place])
    # before the middle of a corner the contact ends at the stop, behind it begins there
    stops = cuts.along.time_s[cuts.along.corner_rad != 0.0]
    ends = min(now + lasts / 2.0, stops[0]) if len(stops) and now <= stops[0] else now + lasts / 2.0
    effusivity = math.sqrt(c.conductivity_w_mk * c.heat_capacity_j_m3k)
    found = []
    for phase in PHASES:
        edges = np.arange(math.ceil((ends - lasts) * rate - phase), ends * rate - phase + 1e-9)
        edges = (edges + phase) / rate
        feed = np.interp(edges, time, speed) / rate
        chip = np.where(feed > 0.00165, feed * ratio, 0.0)
        share = edge_shares(c, 1e3 / (chip + c.estimates.thin_chip_mm))[1]
        energy = share * c.edge_j_m2 * np.where(feed > 0.00165, 1.0, 0.5)
        rises = [0.0]
        for last in range(len(edges)):
            root = np.sqrt(math.pi * (edges[last] - edges[:last]))
            pulse = energy[last] / (c.heat_capacity_j_m3k * c.pulse_depth_m)
            rises.append((energy[:last] / (effusivity * root)).sum() + pulse)
        found.append(max(rises))
    return np.mean(found), max(found)


def main():
    print("case                          closed form   single edges: mean  highest")
    for name, (path, side) in CASES.items():
        cuts = cuts_of(path, side)
        place = int(np.where(cuts.places.exists, cuts.wall_k, 0.0).argmax())
        mean, highest = by_single_edges(cuts, place)
        print(f"{name:28s}  {cuts.wall_k[place]:6.1f} K      {mean:13.1f}  {highest:7.1f} K")
    print("\ncells on a ramp   peak at an inside corner   round a fillet r 3.2")
    for cells in (4, 8, 16, 32, 64, 256):
        with mock.patch.object(sample, "RAMP_CELLS", cells):
            stop = cuts_of(corner(20.0, math.pi / 2), -1).wall_k.max()
            bend = cuts_of(rounded(20.0, 0.2, math.pi / 2), -1).wall_k.max()
        print(f"{cells:10d}  {stop:20.1f} K  {bend:20.1f} K")


if __name__ == "__main__":
    main()
