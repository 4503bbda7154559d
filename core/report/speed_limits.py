"""Limits on the spindle speed: the holder's balance, the cutter maker, the machine."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from core.explained import Explained, Input, Origin
from core.report.limit_kinds import bound, lower

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.plan.choices import Choices
    from core.plan.records import Pass
    from core.report.records import Limit


def speed_limits(one: Pass, chosen: Choices) -> Iterator[Limit]:
    """Yield the limits on the spindle speed of a pass."""
    machine, cutter, speed = chosen.machine, one.toolpath.mounted.cutter, one.spindle_speed_rpm
    yield _balance(one, chosen)
    for name, label, limit, whose in (
        (
            "maker_speed",
            "the cutter maker's highest speed",
            cutter.highest_spindle_speed_rpm,
            cutter.name,
        ),
        (
            "spindle_high",
            "the spindle's highest speed",
            machine.highest_spindle_speed_rpm,
            machine.name,
        ),
    ):
        yield bound(name, label, speed, limit, "rpm", partial(_reason, one, name, limit, whose))
    least = machine.lowest_spindle_speed_rpm
    yield lower(
        "spindle_low",
        "the spindle's lowest speed",
        speed,
        least,
        "rpm",
        partial(_reason, one, "spindle_low", least, machine.name),
    )


def _balance(one: Pass, chosen: Choices) -> Limit:
    holder, share = one.toolpath.mounted.holder, chosen.feeding.headroom_share
    limit = share * holder.balanced_speed_rpm

    def reason() -> Explained:
        return Explained(
            key="balance",
            name="spindle speed against the holder's balance",
            value=one.spindle_speed_rpm,
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
            limit=limit,
            source="common practice, no source: stay below the speed the holder was balanced for",
            note="a rule of the house: tight at most",
        )

    return bound(
        "balance",
        "balance of the holder",
        one.spindle_speed_rpm,
        limit,
        "rpm",
        reason,
        at_most_tight=True,
    )


def _reason(one: Pass, key: str, limit_rpm: float, whose: str) -> Explained:
    binding = one.bounds_on_speed[0]
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
        limit=limit_rpm,
        source=whose,
        note=f"bound by {binding.label}",
    )
