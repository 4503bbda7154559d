"""The cutter's body over the order of work: it warms in a pass and cools in between."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Hashable, Sequence

    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False, slots=True)
class Work:
    """What each pass does to its cutter; arrays of shape (p,).

    Parameters
    ----------
    steady_k : array
        Rise that the cutter would reach if the pass went on. [K]
    cutting_tau_s, idle_tau_s, rack_tau_s : array
        Time constants while it cuts, while it spins in air, while it hangs in the rack. [s]
    cutting_s, entering_s : array
        Time of the main cut, and of way in and out. [s]
    """

    steady_k: NDArray[np.float64]
    cutting_tau_s: NDArray[np.float64]
    idle_tau_s: NDArray[np.float64]
    rack_tau_s: NDArray[np.float64]
    cutting_s: NDArray[np.float64]
    entering_s: NDArray[np.float64]


def highest_rise_k(
    work: Work,
    cutters: Sequence[Hashable],
    order: Sequence[int],
    idle_s: Sequence[float],
) -> NDArray[np.float64]:
    """Return the highest rise of the cutter's body in each pass, shape (p,). [K].

    Equation: exact exponential steps: rise(t) = steady + (rise_0 - steady) exp(-t / tau).

    Parameters
    ----------
    work : Work
        The passes.
    cutters : sequence of hashable, length p
        Which cutter each pass uses.
    order : sequence of int
        Passes in the order of work; a pass may come again (copies).
    idle_s : sequence of float, as long as `order`
        Time before each, for rapids, spindle and cutter changes. [s]

    Notes
    -----
    Exact for constant conditions within a pass; a pass that changes is taken at its mean.
    Ways in and out count as cooling: they cut little.

    Examples
    --------
    A cutter with a time constant of 5 s in a pass of 5 s reaches 63 % of the steady rise:

    >>> one = np.ones(1)
    >>> work = Work(50.0 * one, 5.0 * one, 5.0 * one, 20.0 * one, 5.0 * one, 0.0 * one)
    >>> np.round(highest_rise_k(work, ["t1"], [0], [0.0]), 1).tolist()
    [31.6]
    """
    rows = zip(
        work.steady_k.tolist(),
        work.cutting_tau_s.tolist(),
        work.idle_tau_s.tolist(),
        work.rack_tau_s.tolist(),
        work.cutting_s.tolist(),
        work.entering_s.tolist(),
        strict=True,
    )
    passes = list(rows)
    highest = [0.0] * len(passes)
    left: dict[Hashable, tuple[float, float]] = {}
    clock, spinning = 0.0, None
    for number, gap in zip(order, idle_s, strict=True):
        steady, cutting_tau, idle_tau, rack_tau, cutting, entering = passes[number]
        cutter = cutters[number]
        rise, since = left.get(cutter, (0.0, clock))
        tau = idle_tau if cutter == spinning else rack_tau
        rise *= math.exp(-(clock - since + gap) / tau - entering / idle_tau)
        ended = steady + (rise - steady) * math.exp(-cutting / cutting_tau)
        highest[number] = max(highest[number], rise, ended)
        clock += gap + entering + cutting
        left[cutter], spinning = (ended, clock), cutter
    return np.array(highest)
