"""How many chip loads a map computes the forces of a turn at; between them it draws lines.

Prints, for several numbers of nodes, the greatest error of the peak force and of the wall error
over all chip loads of a map, for a slot and for a skim with a slot under it, and one and two edges.
FORCE_NODES of core.advice.map_margins keeps both within 0.1 %, far below what the force model is
sure of.

Run: python tests/studies/map_force_nodes.py
"""

from __future__ import annotations

import math

import numpy as np

from core.cutting.force import ForceCoefficients
from core.cutting.pass_force import PassCut, pass_forces, stacked_bands

CUTS = {
    "slot": [(0.0, 6.0, 6.0)],
    "skim": [(0.2, 0.7, 6.0), (0.7, 10.2, 0.5)],
}
PMMA = ForceCoefficients(110.0, 2.0, 33.0, 3.0)
LOADS = np.linspace(0.05, 0.4, 2001)


def forces(bands, teeth, loads):
    """Return peak lateral force and wall error at some chip loads."""
    bottom, top, width = stacked_bands([bands] * len(loads))
    one = np.ones(len(loads))
    cut = PassCut(
        bottom,
        top,
        width,
        6.0 * one,
        teeth * one,
        math.radians(25.0) * one,
        loads,
        18000.0 * one,
        one > 0.0,
        4e-4 * one,
    )
    found = pass_forces(PMMA, cut)
    return found.peak_lateral_n, found.wall_error_mm


def main():
    print("nodes  cut    edges  error of the peak  of the wall error")
    for nodes in (5, 9, 17, 33):
        at = np.linspace(LOADS[0], LOADS[-1], nodes)
        for name, bands in CUTS.items():
            for teeth in (1.0, 2.0):
                true, few = forces(bands, teeth, LOADS), forces(bands, teeth, at)
                errors = [
                    np.abs(np.interp(LOADS, at, guess) - right).max() / np.abs(right).max()
                    for right, guess in zip(true, few, strict=True)
                ]
                print(
                    f"{nodes:5d}  {name}  {teeth:5.0f}  {100 * errors[0]:15.3f} %"
                    f"  {100 * errors[1]:15.3f} %"
                )


if __name__ == "__main__":
    main()
