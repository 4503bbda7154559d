"""How an actual value is held against a limit, and the state that follows.

A limit is an upper or a lower one. The margin is 1 - actual / limit or 1 - limit / actual: below
zero outside, below a tenth tight. Some limits are rules of the house or rest on estimates; they are
tight at most. A *bound* may be reached (a spindle may run at the highest speed it has): it is good
up to the bound itself and has no tight zone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.report.records import Limit, State

if TYPE_CHECKING:
    from collections.abc import Callable

    from core.explained import Explained

TIGHT_BELOW = 0.1
"""Margins below this share of the limit are tight."""


def upper(
    name: str,
    label: str,
    actual: float,
    limit: float,
    unit: str,
    reason: Callable[[], Explained],
    *,
    at_most_tight: bool = False,
) -> Limit:
    """Return a limit that the actual value must stay below."""
    margin = 1.0 - actual / limit if limit > 0.0 else -1.0
    return Limit(name, label, actual, limit, unit, margin, _state(margin, at_most_tight), reason)


def lower(
    name: str,
    label: str,
    actual: float,
    limit: float,
    unit: str,
    reason: Callable[[], Explained],
    *,
    at_most_tight: bool = False,
) -> Limit:
    """Return a limit that the actual value must stay above."""
    margin = 1.0 - limit / actual if actual > 0.0 else -1.0
    return Limit(name, label, actual, limit, unit, margin, _state(margin, at_most_tight), reason)


def bound(
    name: str,
    label: str,
    actual: float,
    limit: float,
    unit: str,
    reason: Callable[[], Explained],
    *,
    at_most_tight: bool = False,
) -> Limit:
    """Return an upper limit that may be reached, but not passed."""
    margin = 1.0 - actual / limit if limit > 0.0 else -1.0
    passed = State.TIGHT if at_most_tight else State.OUTSIDE
    # a hair above the bound is rounding, not a breach
    state = passed if margin < -1e-9 else State.GOOD
    return Limit(name, label, actual, limit, unit, margin, state, reason)


def least(
    name: str,
    label: str,
    actual: float,
    limit: float,
    unit: str,
    reason: Callable[[], Explained],
) -> Limit:
    """Return a lower limit that may be met exactly."""
    margin = 1.0 - limit / actual if actual > 0.0 else -1.0
    state = State.OUTSIDE if margin < -1e-9 else State.GOOD
    return Limit(name, label, actual, limit, unit, margin, state, reason)


def _state(margin_ratio: float, at_most_tight: bool) -> State:
    if margin_ratio < 0.0:
        return State.TIGHT if at_most_tight else State.OUTSIDE
    return State.TIGHT if margin_ratio < TIGHT_BELOW else State.GOOD
