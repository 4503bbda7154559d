"""Why a test cut is not taken into the log: what cannot be, each reason with its number.

The bounds are wide: not what is usual, but what a cut in plastic can be at all.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from core.units import number, show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.shop.records import LoggedCut

BOUNDS = {
    "diameter_mm": ("cutter diameter", 0.5, 25.0, "mm"),
    "stick_out_mm": ("stick-out", 2.0, 200.0, "mm"),
    "edge_radius_um": ("edge radius", 0.5, 200.0, "µm"),
    "spindle_speed_rpm": ("spindle speed", 500.0, 60_000.0, "rpm"),
    "feed_per_tooth_mm": ("chip load", 0.005, 1.0, "mm"),
    "radial_width_mm": ("radial width", 0.05, 25.0, "mm"),
    "axial_depth_mm": ("depth", 0.1, 60.0, "mm"),
    "room_c": ("room temperature", -10.0, 50.0, "°C"),
    "cut_s": ("time of the cut", 2.0, 3600.0, "s"),
    "after_s": ("time until the cutter was measured", 0.0, 20.0, "s"),
}
"""Field, words, least, most, unit. Common practice, no source."""

SPECIFIC_N_MM2 = (5.0, 1000.0)
"""Cutting power over removal rate that a plastic can take: polyethylene with a sharp edge takes
about 60 N/mm2, polycarbonate with a thin chip about 300 (milling, measured); ten times either way
is a slip."""

HOTTEST_C = 400.0
"""Above this every plastic on the shelf has decomposed."""

COOLER_THAN_ROOM_K = 3.0
"""Error of a thermometer that is still believed."""


def refusals(cut: LoggedCut) -> tuple[str, ...]:
    """Return the reasons why a cut cannot be meant; none if it can."""
    return tuple(_reasons(cut))


def _reasons(cut: LoggedCut) -> Iterator[str]:
    for field, (words, low, high, unit) in BOUNDS.items():
        value = getattr(cut, field)
        if value is not None and not low <= value <= high:
            yield (
                f"{words}: {show(value, unit)} is outside {number(low)} to {show(high, unit)}, the "
                "range that makes sense"
            )
    if cut.radial_width_mm > cut.diameter_mm * 1.001:
        yield (
            f"radial width: {show(cut.radial_width_mm, 'mm')} is more than the cutter's "
            f"{show(cut.diameter_mm, 'mm')}"
        )
    yield from _power(cut)
    yield from _temperatures(cut)
    measured = (cut.cutting_power_w, cut.cutter_c, cut.chip_c, cut.edge_climb)
    if all(value is None for value in (*measured, cut.edge_conventional)):
        yield "nothing was measured: give a power, a temperature or what the edge looks like"


def _power(cut: LoggedCut) -> Iterator[str]:
    if (cut.power_w is None) != (cut.idle_power_w is None):
        yield "power: both are needed, in the cut and idling at the same speed"
        return
    power = cut.cutting_power_w
    if power is None:
        return
    if not math.isfinite(power) or power <= 0.0:
        yield (
            f"power: {show(cut.power_w or 0.0, 'W')} in the cut is no more than "
            f"{show(cut.idle_power_w or 0.0, 'W')} idling"
        )
        return
    specific = power / max(cut.removal_mm3_s, 1e-12) * 1000.0
    low, high = SPECIFIC_N_MM2
    if not low <= specific <= high:
        yield (
            f"power: {show(power, 'W')} for {number(cut.removal_mm3_s)} mm3/s is "
            f"{number(specific, 0)} N/mm2; no plastic takes less than {low:g} or more than {high:g}"
        )


def _temperatures(cut: LoggedCut) -> Iterator[str]:
    for words, value in (("cutter", cut.cutter_c), ("chips", cut.chip_c)):
        if value is not None and not cut.room_c - COOLER_THAN_ROOM_K <= value <= HOTTEST_C:
            yield (
                f"{words}: {show(value, '°C')} is not between the room's "
                f"{show(cut.room_c, '°C')} and {HOTTEST_C:g} °C"
            )
    if cut.cutter_c is not None and (cut.cut_s is None or cut.after_s is None):
        yield "cutter: say how long the cut had lasted, and how long after it was measured"
