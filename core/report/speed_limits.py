"""Limits on the spindle speed: the holder's balance, the cutter maker, the machine."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from core.explained import Explained, Input, Origin
from core.report.columns import Column, bound, lower

if TYPE_CHECKING:
    from collections.abc import Iterator

    import numpy as np
    from numpy.typing import NDArray

    from core.report.facts import Facts


def speed_limits(facts: Facts) -> Iterator[Column]:
    """Yield the limits on the spindle speed."""
    machine, speed = facts.chosen.machine, facts.spindle_speed_rpm
    yield _balance(facts)
    maker = facts.each(lambda one: one.toolpath.mounted.cutter.highest_spindle_speed_rpm)
    reason = partial(_reason, facts, "maker_speed", maker)
    yield bound("maker_speed", "the cutter maker's highest speed", speed, maker, "rpm", reason)
    high = facts.each(lambda _: machine.highest_spindle_speed_rpm)
    reason = partial(_reason, facts, "spindle_high", high)
    yield bound("spindle_high", "the spindle's highest speed", speed, high, "rpm", reason)
    low = facts.each(lambda _: machine.lowest_spindle_speed_rpm)
    reason = partial(_reason, facts, "spindle_low", low)
    yield lower("spindle_low", "the spindle's lowest speed", speed, low, "rpm", reason)


def _balance(facts: Facts) -> Column:
    share = facts.chosen.feeding.headroom_share
    limit = facts.each(lambda one: share * one.toolpath.mounted.holder.balanced_speed_rpm)

    def reason(index: int) -> Explained:
        holder = facts.plan.passes[index].toolpath.mounted.holder
        return Explained(
            key="balance",
            name="spindle speed against the holder's balance",
            value=float(facts.spindle_speed_rpm[index]),
            unit="rpm",
            formula="n <= share x balanced speed",
            inputs=(
                Input("share", "headroom", share, "", Origin.DEFAULT, "house rule"),
                Input(
                    "n_b",
                    "speed the holder is balanced for",
                    holder.balanced_speed_rpm,
                    "rpm",
                    Origin.LIBRARY,
                    holder.name,
                ),
            ),
            limit=float(limit[index]),
            source="common practice, no source: stay below the speed the holder was balanced for",
            note="a rule of the house: tight at most",
        )

    speed = facts.spindle_speed_rpm
    return bound(
        "balance", "balance of the holder", speed, limit, "rpm", reason, at_most_tight=True
    )


def _reason(facts: Facts, key: str, limit_rpm: NDArray[np.float64], index: int) -> Explained:
    one = facts.plan.passes[index]
    whose = {"maker_speed": one.toolpath.mounted.cutter.name}.get(key, facts.chosen.machine.name)
    return Explained(
        key=key,
        name="spindle speed",
        value=one.spindle_speed_rpm,
        unit="rpm",
        formula="n = the least of what holder, cutter maker and machine allow, or what was set",
        inputs=tuple(
            Input("n", b.label, b.value, "rpm", Origin.COMPUTED, b.source)
            for b in one.bounds_on_speed
        ),
        limit=float(limit_rpm[index]),
        source=whose,
        note=f"bound by {one.bounds_on_speed[0].label}",
    )
