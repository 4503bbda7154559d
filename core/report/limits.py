"""All limits of a pass, judged and put in order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.report.cut_limits import chip_load, cutting_length, heat_limit, rubbing, spindle_power
from core.report.records import Limit, State
from core.report.speed_limits import speed_limits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.heat.records import PassHeat
    from core.plan.choices import Choices
    from core.plan.records import Pass
    from core.report.records import Spread

RANK = {State.OUTSIDE: 0, State.TIGHT: 1, State.GOOD: 2}


def limits_of(
    one: Pass,
    chosen: Choices,
    feed_reached: Spread,
    chip: Spread,
    power_w: float | None,
    heat: PassHeat | None,
) -> tuple[Limit, ...]:
    """Return the limits of a pass, worst first.

    Parameters
    ----------
    one : Pass
        The pass.
    chosen : Choices
        What it is cut from and on.
    feed_reached, chip : Spread
        Chip load reached and chip thickness. [mm]
    power_w : float or None
        Greatest cutting power; None where the material has no coefficients. [W]
    heat : PassHeat or None
        Temperatures; None where they are not modelled.
    """
    found = list(_limits(one, chosen, feed_reached, chip, power_w, heat))
    return tuple(sorted(found, key=lambda limit: (RANK[limit.state], limit.margin_ratio)))


def _limits(
    one: Pass,
    chosen: Choices,
    feed_reached: Spread,
    chip: Spread,
    power_w: float | None,
    heat: PassHeat | None,
) -> Iterator[Limit]:
    if heat is not None:
        yield heat_limit(heat, chosen)
    yield rubbing(one, chip)
    if power_w is not None:
        yield spindle_power(one, chosen, power_w)
    yield from chip_load(one, chosen, feed_reached)
    yield from speed_limits(one, chosen)
    yield cutting_length(one, chosen)
