"""Limits of all passes at once: a *column* is one limit on every pass of a plan.

A limit is an upper or a lower one. The margin is 1 - actual / limit or 1 - limit / actual: below
zero outside, below a tenth tight. Some limits are rules of the house or rest on estimates; they are
tight at most. A *bound* may be reached (a spindle may run at the highest speed it has): it is good
up to the bound itself and has no tight zone; *least* is the same from below.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from core.report.records import Limit, State

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import ArrayLike, NDArray

    from core.explained import Explained

    Reason = Callable[[int], Explained]

TIGHT_BELOW = 0.1
"""Margins below this share of the limit are tight."""

STATES = (State.GOOD, State.TIGHT, State.OUTSIDE)
"""A state's place here is its number in a column."""

GOOD, TIGHT, OUTSIDE = range(3)
_ROUNDING = 1e-9


@dataclass(frozen=True, eq=False, slots=True)
class Column:
    """One limit on p passes.

    Parameters
    ----------
    name, unit : str
        Stable key, and unit as shown.
    labels : str or sequence of p str
        Words shown.
    actual, limit, margin_ratio : array of shape (p,)
        Values of each pass.
    state : int array of shape (p,)
        Number of the state in `STATES`.
    reason : callable
        Explains the value of one pass, by its index.
    applies : bool array of shape (p,)
        Which passes have this limit.
    """

    name: str
    labels: str | Sequence[str]
    unit: str
    actual: NDArray[np.float64]
    limit: NDArray[np.float64]
    margin_ratio: NDArray[np.float64]
    state: NDArray[np.int8]
    reason: Reason
    applies: NDArray[np.bool_]

    def at(self, index: int, accepted: str = "") -> Limit:
        """Return the limit of one pass."""
        return Limit(
            name=self.name,
            label=self.labels if isinstance(self.labels, str) else self.labels[index],
            actual=float(self.actual[index]),
            limit=float(self.limit[index]),
            unit=self.unit,
            margin_ratio=float(self.margin_ratio[index]),
            state=STATES[self.state[index]],
            reason=partial(self.reason, index),
            accepted=accepted,
        )


def upper(
    name: str,
    label: str,
    actual: ArrayLike,
    limit: ArrayLike,
    unit: str,
    reason: Reason,
    *,
    at_most_tight: bool = False,
    applies: NDArray[np.bool_] | None = None,
) -> Column:
    """Return a limit that the actual values must stay below."""
    way = _Way(above=False, tight_below=TIGHT_BELOW, at_most_tight=at_most_tight)
    return _column(name, label, actual, limit, unit, reason, way, applies)


def lower(
    name: str,
    label: str,
    actual: ArrayLike,
    limit: ArrayLike,
    unit: str,
    reason: Reason,
    *,
    at_most_tight: bool | NDArray[np.bool_] = False,
    applies: NDArray[np.bool_] | None = None,
) -> Column:
    """Return a limit that the actual values must stay above."""
    way = _Way(above=True, tight_below=TIGHT_BELOW, at_most_tight=at_most_tight)
    return _column(name, label, actual, limit, unit, reason, way, applies)


def bound(
    name: str,
    label: str,
    actual: ArrayLike,
    limit: ArrayLike,
    unit: str,
    reason: Reason,
    *,
    at_most_tight: bool = False,
) -> Column:
    """Return an upper limit that may be reached, but not passed."""
    way = _Way(above=False, tight_below=-_ROUNDING, at_most_tight=at_most_tight)
    return _column(name, label, actual, limit, unit, reason, way, None)


def least(
    name: str,
    label: str,
    actual: ArrayLike,
    limit: ArrayLike,
    unit: str,
    reason: Reason,
    *,
    applies: NDArray[np.bool_] | None = None,
) -> Column:
    """Return a lower limit that may be met exactly."""
    way = _Way(above=True, tight_below=-_ROUNDING, at_most_tight=False)
    return _column(name, label, actual, limit, unit, reason, way, applies)


@dataclass(frozen=True, eq=False, slots=True)
class _Way:
    """How values are held against a limit: stay above it or below, from where it is tight."""

    above: bool
    tight_below: float
    at_most_tight: bool | NDArray[np.bool_]


def _column(
    name: str,
    label: str,
    actual: ArrayLike,
    limit: ArrayLike,
    unit: str,
    reason: Reason,
    way: _Way,
    applies: NDArray[np.bool_] | None,
) -> Column:
    found, bar = np.broadcast_arrays(np.asarray(actual, float), np.asarray(limit, float))
    margin = 1.0 - (_ratio(bar, found) if way.above else _ratio(found, bar))
    passed = np.where(way.at_most_tight, TIGHT, OUTSIDE)
    state = np.where(margin < min(way.tight_below, 0.0), passed, margin < way.tight_below)
    every = np.ones(len(found), dtype=bool) if applies is None else applies
    states = np.where(every, state, GOOD).astype(np.int8)
    return Column(name, label, unit, found, bar, margin, states, reason, every)


def _ratio(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a / b; 2 where b is nothing, so that the margin is -1."""
    return np.asarray(np.divide(a, b, out=np.full(a.shape, 2.0), where=b > 0.0))
