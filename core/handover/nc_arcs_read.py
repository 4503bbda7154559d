"""Reading: rows of numbers to moves, and arcs held against their own radius."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.handover.nc_program import Kind, Moves
from core.handover.nc_words import Fault

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.library.nc_records import NcSettings

STEPS_OFF = 3.0
"""By so many steps of the last digit the radius may differ from one end of an arc to the other."""

SAME_PLACE_MM = 1e-9


def settled(rows: Sequence[tuple[float, ...]], nc: NcSettings) -> tuple[Moves, list[Fault]]:
    """Return rows as moves, and arcs whose radius does not agree at both ends.

    Parameters
    ----------
    rows : sequence of n tuples
        Line, kind, start x y z, end x y z, centre x y, feed. [mm], [mm/min]
    nc : NcSettings
        Its digits say how well the radius must agree.
    """
    table = np.array(rows, dtype=np.float64).reshape(-1, 11)
    kind = table[:, 1].astype(np.intp)
    start, end, centre = table[:, 2:5], table[:, 5:8], table[:, 8:10]
    arc = kind >= Kind.CLOCKWISE
    sweep = np.zeros(len(table))
    out, back = start[arc, :2] - centre[arc], end[arc, :2] - centre[arc]
    turn = np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    left = kind[arc] == Kind.COUNTER_CLOCKWISE
    turn = np.where(left, np.mod(turn, 2.0 * math.pi), -np.mod(-turn, 2.0 * math.pi))
    same = np.hypot(*(end[arc, :2] - start[arc, :2]).T) < SAME_PLACE_MM
    sweep[arc] = np.where(same, np.where(left, 2.0, -2.0) * math.pi, turn)
    line = table[:, 0].astype(np.intp)
    allowed = STEPS_OFF * (25.4 if nc.length_unit == "in" else 1.0) * 10.0**-nc.decimals
    off = np.abs(np.hypot(*out.T) - np.hypot(*back.T))
    wrong = line[arc][~(off <= allowed)]
    faults = [Fault(int(k), "the arc's radius differs from one end to the other") for k in wrong]
    return Moves(line, kind, start, end, centre, sweep, table[:, 10]), faults
