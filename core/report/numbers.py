"""The numbers of a pass that are no limits, explained: spindle speed, feed, chip load, time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.explained import Explained, Input, Origin

if TYPE_CHECKING:
    from core.plan.choices import Choices
    from core.plan.records import Pass
    from core.report.records import Spread


def pass_numbers(
    one: Pass, reached: Spread, chosen: Choices, time_s: float
) -> tuple[Explained, ...]:
    """Return the explained numbers of a pass.

    Parameters
    ----------
    one : Pass
        The pass.
    reached : Spread
        Chip load reached. [mm]
    chosen : Choices
        What it is cut from and on.
    time_s : float
        Time of the pass, entry and exit included. [s]
    """
    return (
        _spindle_speed(one),
        _feed_speed(one),
        _chip_load(one),
        _reached(one, reached, chosen),
        _time(one, chosen, time_s),
    )


def _spindle_speed(one: Pass) -> Explained:
    return Explained(
        key="spindle_speed",
        name="spindle speed",
        value=one.spindle_speed_rpm,
        unit="rpm",
        formula="n = the least of the candidates, or what was set by hand",
        inputs=tuple(
            Input("n", b.label, b.value, b.unit, Origin.COMPUTED, b.source)
            for b in one.bounds_on_speed
        ),
        source="house rule: headroom below the balanced speed (common practice, no source)",
    )


def _feed_speed(one: Pass) -> Explained:
    cutter = one.toolpath.mounted.cutter
    return Explained(
        key="feed_speed",
        name="feed speed",
        value=one.feed_speed_mm_min,
        unit="mm/min",
        formula="v_f = n z f_z",
        inputs=(
            Input(
                "n",
                "spindle speed",
                one.spindle_speed_rpm,
                "rpm",
                Origin.COMPUTED,
                one.bounds_on_speed[0].label,
            ),
            Input("z", "cutting edges", float(cutter.tooth_count), "", Origin.LIBRARY, cutter.name),
            Input(
                "f_z",
                "chip load",
                one.feed_per_tooth_mm,
                "mm",
                Origin.COMPUTED,
                one.bounds_on_feed[0].label,
            ),
        ),
        valid="the speed asked of the machine; what it reaches is told apart",
        source="definition",
    )


def _chip_load(one: Pass) -> Explained:
    return Explained(
        key="chip_load",
        name="chip load planned",
        value=one.feed_per_tooth_mm,
        unit="mm",
        formula="f_z = the least of the candidates",
        inputs=tuple(
            Input("f_z", b.label, b.value, b.unit, Origin.COMPUTED, b.source)
            for b in one.bounds_on_feed
        ),
        source="the cutter maker's range; the rules of the house",
    )


def _reached(one: Pass, reached: Spread, chosen: Choices) -> Explained:
    machine = chosen.machine
    return Explained(
        key="actual_chip_load",
        name="actual chip load, mean along the cut",
        value=reached.mean,
        unit="mm",
        formula="f_z = v / (n z), v the speed that the machine reaches: at most sqrt(a r) on an "
        "arc, none in a sharp corner",
        inputs=(
            Input(
                "a",
                "acceleration",
                machine.acceleration_mm_s2 / 1000.0,
                "m/s2",
                Origin.LIBRARY,
                machine.name,
            ),
            Input("n", "spindle speed", one.spindle_speed_rpm, "rpm", Origin.COMPUTED),
            Input("f_5", "5 % of the way is cut thinner than", reached.p5, "mm", Origin.COMPUTED),
            Input("f_max", "highest", reached.max, "mm", Origin.COMPUTED),
        ),
        valid="constant acceleration; jerk makes the slow places longer",
        source="kinematics; see the motion model",
    )


def _time(one: Pass, chosen: Choices, time_s: float) -> Explained:
    return Explained(
        key="time",
        name="time of the pass, entry and exit included",
        value=time_s,
        unit="s",
        formula="t = integral of ds / v along entry, cut and exit",
        inputs=(
            Input("L", "length of the cut", one.toolpath.length_mm, "mm", Origin.DRAWING),
            Input("v_f", "feed speed", one.feed_speed_mm_min, "mm/min", Origin.COMPUTED),
            Input(
                "a",
                "acceleration",
                chosen.machine.acceleration_mm_s2 / 1000.0,
                "m/s2",
                Origin.LIBRARY,
                chosen.machine.name,
            ),
        ),
        source="kinematics; see the motion model",
    )
