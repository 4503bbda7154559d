"""What binds the slowest kind of pass: what stands in the way of going faster still."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.units import number, show

if TYPE_CHECKING:
    from core.pipeline import Results

SLOWED_BELOW = 0.9
"""Where the machine reaches less than this share of the planned feed, the machine is said to bind
(house rule)."""


def stops_at(results: Results) -> str:
    """Return what binds the kind of pass that takes the most time, in words.

    A kind is a step with a cutter. Its time counts over all copies.
    """
    passes, motion = results.plan.passes, results.motion
    if not passes:
        return ""
    copies = np.bincount([line.pass_index for line in results.order.lines], minlength=len(passes))
    seconds = (motion.cutting_s + motion.entering_s) * copies
    kinds: dict[tuple[str, str], list[int]] = {}
    for index, one in enumerate(passes):
        path = one.toolpath
        kinds.setdefault((path.step.name, path.mounted.key), []).append(index)
    slowest = max(kinds.values(), key=lambda members: float(seconds[members].sum()))
    first = max(slowest, key=lambda index: float(seconds[index]))
    one = passes[first]
    way = sum(passes[i].toolpath.length_mm for i in slowest)
    planned_s = sum(
        passes[i].toolpath.length_mm / passes[i].feed_speed_mm_min * 60.0 for i in slowest
    )
    words = (
        f"{one.toolpath.step.name} with {one.toolpath.mounted.name}: "
        f"{one.bounds_on_feed[0].label}, at {show(one.spindle_speed_rpm, 'rpm')} "
        f"({one.bounds_on_speed[0].label})"
    )
    reached = planned_s / float(motion.cutting_s[slowest].sum()) if way else 1.0
    if reached < SLOWED_BELOW:
        words += (
            f"; the machine's acceleration lets it reach {number(100.0 * reached, 0)} % of that"
        )
    return words
