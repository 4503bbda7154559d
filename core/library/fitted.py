"""What a shop's own cuts made of the heat coefficients: values, spreads, and their correlation.

A material card that was fitted carries this beside its K_tc and K_te. Measurements narrow sums and
products far more than any single coefficient, so the correlation is kept: without it the band of a
margin would stay nearly as wide as before.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.library.magnitudes import Magnitudes

FITTED = (
    *("specific_cutting_force", "edge_force", "heat_capacity", "wall_share", "chip_share"),
    *("cutter_share", "fin", "contact", "recut"),
)
"""Coefficients that test cuts say something of, in the order of the correlation."""


@dataclass(frozen=True, slots=True)
class FittedValue:
    """A share or factor of the heat model as the shop's cuts have it, with its log-sd."""

    name: str
    factor: float
    log_sd: float


@dataclass(frozen=True, slots=True)
class ShopFit:
    """Where fitted coefficients come from.

    Parameters
    ----------
    cuts : tuple of int
        Their numbers in the cut log.
    said : str
        The same in words, with dates and cutters.
    calibrated : bool
        Whether the cuts have what it takes to call heat calibrated.
    estimates : tuple of FittedValue
        Shares and factors, all but the first two of `FITTED`.
    correlation_factor : tuple of tuple of float
        Lower triangle of the Cholesky factor of the correlation of the logarithms, rows in the
        order of `FITTED`.
    """

    cuts: tuple[int, ...]
    said: str
    calibrated: bool
    estimates: tuple[FittedValue, ...]
    correlation_factor: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class FittedEntry:
    """A fitted value as a card writes it: with its 5 % and 95 %."""

    name: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ShopEntry:
    """The table `[heat.shop]` of a card."""

    cuts: tuple[int, ...]
    said: str
    calibrated: bool
    estimates: tuple[FittedEntry, ...]
    correlation_factor: tuple[tuple[float, ...], ...]


def shop_fit(entry: ShopEntry, read: Magnitudes) -> ShopFit:
    """Return the record of an entry; faults are gathered in `read`."""
    path = "$.heat.shop"
    names = tuple(one.name for one in entry.estimates)
    if names != FITTED[2:]:
        read.problems.append(f"{', '.join(FITTED[2:])} are needed @ {path}.estimates")
    if any(not 0.0 < one.low < one.value < one.high < math.inf for one in entry.estimates):
        read.problems.append(f"low, value, high must rise from above 0 @ {path}.estimates")
        return ShopFit((), "", False, (), ())
    rows = entry.correlation_factor
    sizes = [len(row) for row in rows]
    if sizes != list(range(1, len(FITTED) + 1)) or any(
        not math.isclose(sum(x * x for x in row), 1.0, abs_tol=1e-3) for row in rows
    ):
        read.problems.append(
            f"a triangle of rows of length 1 is needed @ {path}.correlation_factor"
        )
    return ShopFit(
        cuts=entry.cuts,
        said=entry.said,
        calibrated=entry.calibrated,
        estimates=tuple(
            FittedValue(one.name, one.value, math.log(one.high / one.low) / (2.0 * 1.6449))
            for one in entry.estimates
        ),
        correlation_factor=rows,
    )
