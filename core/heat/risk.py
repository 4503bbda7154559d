"""How sure a heat margin is: the coefficients drawn many times over, and known practice as a sieve.

Terms: a *draw* is one set of coefficients within their uncertainty. The draws are quasi-random: a
fixed additive sequence that fills the space evenly, so the same job always gives the same numbers.
*Anchors* are three cuts whose outcome every shop knows: a good slot and a good finish pass stay
cool, a starved two-edge slot without clearing gets hot. Draws that contradict an anchor are left
out. So the anchors are satisfied by construction: they are calibration, not evidence.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache
from statistics import NormalDist
from typing import TYPE_CHECKING, Any

import numpy as np

from core.heat.steady import SteadyCut, steady_conditions
from core.heat.temperatures import (
    Coefficients,
    Conditions,
    margins_k,
    nominal,
    rises_k,
    taken,
)
from core.library.fitted import FITTED

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.estimates import Estimate, Estimates
    from core.library.records import Material

DRAWS = 256
"""Draws a margin is judged by; tests/studies/heat_draws.py prints what other numbers give."""

SIEVED = 4096
"""Draws put to the anchors to find those."""

LOW, HIGH = 0.05, 0.95
"""Ends of the band."""

DRAWN = (
    *("specific_cutting_force", "edge_force", "heat_capacity", "wall_share", "chip_share"),
    *("cutter_share", "softening", "pulse_depth", "wall_contact", "fin", "contact", "recut"),
    "chip_softening",
)
"""What is drawn, in the order in which `coefficients_at` takes its steps."""

BLOCK = 64
"""Passes put to the draws at a time: their arrays stay in the processor's cache."""

ANCHOR_ROOM_C = 22.0
"""Room temperature of the anchors. [C]"""


@dataclass(frozen=True, eq=False, slots=True)
class Draws:
    """Coefficients of a material, one value a draw, and whether the anchors sieved them."""

    coefficients: Coefficients
    anchored: bool


@dataclass(frozen=True, eq=False, slots=True)
class Risk:
    """Band of the margin and share of the draws in which it is below zero; arrays of shape (p,)."""

    low_k: NDArray[np.float64]
    high_k: NDArray[np.float64]
    p_hot: NDArray[np.float64]


def anchors(estimates: Estimates) -> tuple[tuple[SteadyCut, bool], ...]:
    """Return the three known cuts in 6 mm sheet with a 6 mm cutter, and whether each stays cool.

    Common practice, no source.
    """
    e = estimates
    good = SteadyCut(18000.0, 1.0, 0.33, 6.0, 25.0, 6.0, 6.0, e.recut_blast, e.blast_m_s)
    finish = replace(good, radial_width_mm=0.5)
    starved = SteadyCut(24000.0, 2.0, 0.03, 6.0, 25.0, 6.0, 6.0, e.recut_none, 0.0)
    return (good, True), (finish, True), (starved, False)


def normal_draws(count: int, dimensions: int) -> NDArray[np.float64]:
    """Return evenly spread standard normal draws, shape (dimensions, count).

    Additive recurrence with powers of the generalised golden ratio; the ranks of each dimension are
    then given the quantiles of the normal distribution. Plain arithmetic, the same everywhere.

    Examples
    --------
    >>> draws = normal_draws(1024, 13)
    >>> bool(np.abs(draws.mean(axis=1)).max() < 1e-9)
    True
    >>> bool(np.abs(draws.std(axis=1) - 1.0).max() < 0.01)
    True

    References
    ----------
    M. Roberts, The unreasonable effectiveness of quasirandom sequences, 2018; from memory.
    """
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    step = root ** -np.arange(1.0, dimensions + 1.0)
    even = np.mod(0.5 + np.outer(step, np.arange(1.0, count + 1.0)), 1.0)
    normal = NormalDist()
    quantile = np.array([normal.inv_cdf((rank + 0.5) / count) for rank in range(count)])
    return np.asarray(quantile[even.argsort(axis=1).argsort(axis=1)])


@lru_cache(maxsize=16)
def draws_of(material: Material, estimates: Estimates) -> Draws:
    """Return the draws for a material, sieved by the anchors where enough are left.

    A material that known practice would not cut well even at its nominal coefficients leaves too
    few; then none is left out, and `anchored` is False.
    """
    prior = drawn(material, estimates, SIEVED)
    agree = np.ones(SIEVED, bool)
    for cut, stays_cool in anchors(estimates):
        conditions = steady_conditions(cut, estimates, ANCHOR_ROOM_C)
        agree &= (least_k(prior, conditions) > 0.0) == stays_cool
    # the first ones, because any beginning of the sequence is spread evenly
    chosen = np.flatnonzero(agree)[:DRAWS]
    anchored = len(chosen) == DRAWS
    return Draws(_rows(prior, chosen if anchored else np.arange(DRAWS)), anchored)


def drawn(material: Material, estimates: Estimates, count: int) -> Coefficients:
    """Return coefficients drawn from their uncertainty, arrays of shape (count,)."""
    assert material.heat is not None, "the caller leaves out what is not modelled"
    steps = normal_draws(count, len(DRAWN))
    if material.heat.shop is not None:
        rows = [DRAWN.index(name) for name in FITTED]
        steps[rows] = _triangle(material.heat.shop.correlation_factor) @ steps[rows]
    return coefficients_at(material, estimates, steps)


def _triangle(rows: tuple[tuple[float, ...], ...]) -> NDArray[np.float64]:
    full = np.zeros((len(rows), len(rows)))
    for number, row in enumerate(rows):
        full[number, : len(row)] = row
    return full


def coefficients_at(
    material: Material, estimates: Estimates, steps: NDArray[np.float64]
) -> Coefficients:
    """Return the coefficients some standard deviations away from the nominal ones.

    Parameters
    ----------
    material, estimates
        A material with heat coefficients, and the coefficients on no card.
    steps : array of shape (13, count)
        Standard deviations, rows in the order of `DRAWN`.
    """
    heat = material.heat
    assert heat is not None, "the caller leaves out what is not modelled"
    e, middle = estimates, nominal(material, estimates)
    z = iter(steps)

    def factor(spread: float) -> NDArray[np.float64]:
        return np.asarray(np.exp(spread * next(z)))

    def drawn_value(estimate: Estimate) -> NDArray[np.float64]:
        return estimate.value * factor(estimate.spread)

    cutting = middle.cutting_pa * factor(heat.specific_cutting_force_log_sd)
    edge = middle.edge_j_m2 * factor(heat.edge_force_log_sd)
    capacity = middle.heat_capacity_j_m3k * factor(e.heat_capacity.spread)
    wall, chip = drawn_value(e.wall_share), drawn_value(e.chip_share)
    cutter = drawn_value(e.cutter_share)
    total = wall + chip + cutter
    shift = e.softening_k.spread * next(z)
    return replace(
        middle,
        cutting_pa=cutting,
        edge_j_m2=edge,
        heat_capacity_j_m3k=capacity,
        wall_share=wall / total,
        chip_share=chip / total,
        cutter_share=cutter / total,
        pulse_depth_m=drawn_value(e.pulse_depth_mm) * 1e-3,
        contact_log=e.wall_contact_mm.spread * next(z),
        fin=drawn_value(e.fin),
        chip_contact=drawn_value(e.contact),
        recut=drawn_value(e.recut),
        softening_c=middle.softening_c + shift,
        chip_softening_c=middle.chip_softening_c + shift + e.chip_softening_k.spread * next(z),
    )


def least_k(coefficients: Coefficients, conditions: Conditions) -> NDArray[np.float64]:
    """Return the margin: the least of those of chip, wall and cutter. [K]."""
    chip, wall, cutter = margins_k(coefficients, conditions)
    return np.asarray(np.minimum(np.minimum(chip, wall), cutter))


def risk(draws: Draws, conditions: Conditions) -> Risk:
    """Return band and p_hot of passes; conditions of shape (p,).

    Passes that are alike but for how warm their cutter is (holes of one size) share the work.
    """
    c, room = draws.coefficients, conditions.room_c
    alike, which = _alike(conditions)
    count = np.size(c.softening_c)
    spared, steady = np.empty((2, len(alike), count))
    for begin in range(0, len(alike), BLOCK):
        rows = slice(begin, begin + BLOCK)
        mine = taken(conditions, (alike[rows], None))
        chip, wall, steady[rows] = rises_k(c, mine)
        judged = c.softening_c - mine.wall_weight * wall
        spared[rows] = np.minimum(c.chip_softening_c - chip, judged) - room
    low, high, hot = np.empty((3, len(which)))
    for begin in range(0, len(which), BLOCK):
        rows, kinds = slice(begin, begin + BLOCK), which[begin : begin + BLOCK]
        cutter = conditions.warmed[rows, None] * steady[kinds]
        margin = np.minimum(spared[kinds], c.softening_c - room - cutter)
        margin.sort(axis=1)
        low[rows], high[rows] = (margin[:, round(end * (count - 1))] for end in (LOW, HIGH))
        hot[rows] = (margin < 0.0).mean(axis=1)
    return Risk(low, high, hot)


def _alike(conditions: Conditions) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return one pass of each kind, apart from `warmed`, and the kind of each pass."""
    columns = [
        value
        for record in (conditions, conditions.wall)
        for item in fields(record)
        if isinstance(value := getattr(record, item.name), np.ndarray) and item.name != "warmed"
    ]
    # single precision: the same hole elsewhere on the sheet differs by rounding
    table = np.column_stack(columns).astype(np.float32)
    rows = table.view(np.dtype((np.void, table.itemsize * table.shape[1]))).ravel()
    _, first, which = np.unique(rows, return_index=True, return_inverse=True)
    return first, which


def _rows(coefficients: Coefficients, rows: NDArray[np.intp]) -> Coefficients:
    changed: dict[str, Any] = {
        item.name: value[rows]
        for item in fields(coefficients)
        if isinstance(value := getattr(coefficients, item.name), np.ndarray)
    }
    return replace(coefficients, **changed)
