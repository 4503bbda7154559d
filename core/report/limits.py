"""All limits of a pass, judged and put in order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.report.cut_limits import chip_load, cutting_length, heat_limit, rubbing, spindle_power
from core.report.force_limits import bending, floor_skin, grip, packing
from core.report.records import Limit, State
from core.report.speed_limits import speed_limits

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.heat.records import PassHeat
    from core.plan.choices import Choices
    from core.plan.freed import Freed
    from core.plan.records import Pass
    from core.report.records import Spread

RANK = {State.OUTSIDE: 0, State.TIGHT: 1, State.GOOD: 2}


@dataclass(frozen=True, slots=True)
class Forces:
    """Forces of one pass at its planned feed. [W], [N], [mm]."""

    power_w: float
    lateral_n: float
    peak_lateral_n: float
    lift_n: float
    wall_error_mm: float


@dataclass(frozen=True, eq=False, slots=True)
class Found:
    """What was found out about a pass.

    Parameters
    ----------
    one : Pass
        The pass.
    feed_reached, chip : Spread
        Chip load reached and chip thickness. [mm]
    forces : Forces or None
        None where the material has no coefficients.
    heat : PassHeat or None
        None where heat is not modelled.
    freed : Freed or None
        The piece that this pass frees.
    """

    one: Pass
    feed_reached: Spread
    chip: Spread
    forces: Forces | None
    heat: PassHeat | None
    freed: Freed | None


def limits_of(found: Found, chosen: Choices) -> tuple[Limit, ...]:
    """Return the limits of a pass, worst first."""
    limits = _limits(found, chosen)
    return tuple(sorted(limits, key=lambda limit: (RANK[limit.state], limit.margin_ratio)))


def _limits(found: Found, chosen: Choices) -> Iterator[Limit]:
    one, forces = found.one, found.forces
    if found.heat is not None:
        yield heat_limit(found.heat, chosen)
    yield rubbing(one, found.chip)
    yield from chip_load(one, chosen, found.feed_reached)
    yield packing(one)
    if forces is not None:
        yield spindle_power(one, chosen, forces.power_w)
        yield bending(one, chosen, forces.wall_error_mm)
        if found.freed is not None:
            yield grip(one, chosen, found.freed, forces.peak_lateral_n, forces.lift_n)
    yield from floor_skin(one, chosen)
    yield from speed_limits(one, chosen)
    yield cutting_length(one, chosen)
