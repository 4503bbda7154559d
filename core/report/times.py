"""Where the time goes: cutting, entering, moving, spindle and cutter changes, over all copies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.report.records import Totals

if TYPE_CHECKING:
    from core.layout.records import Order
    from core.motion.between import Between
    from core.motion.records import Motion
    from core.plan.records import Plan


def job_totals(plan: Plan, order: Order, between: Between, motion: Motion) -> Totals:
    """Return the times and lengths of all copies on all sheets."""
    which = np.array([line.pass_index for line in order.lines], dtype=np.intp)
    lengths = np.array([p.toolpath.length_mm for p in plan.passes])
    cutting, entering = float(motion.cutting_s[which].sum()), float(motion.entering_s[which].sum())
    moving, spindle = float(between.moving_s.sum()), float(between.spindle_changes_s.sum())
    changes = float(between.cutter_changes_s.sum())
    return Totals(
        cutting_s=cutting,
        moving_s=moving,
        entering_s=entering,
        spindle_changes_s=spindle,
        cutter_changes_s=changes,
        cycle_time_s=cutting + moving + entering + spindle + changes,
        rapid_mm=between.rapid_mm,
        cut_mm=float(lengths[which].sum()) if len(which) else 0.0,
    )
