"""Spindle speeds and feeds: every candidate is named, the least one binds.

Spindle speed: a share of the holder's balanced speed (house rule), the cutter maker's highest
speed, the machine's. Roughing: the middle of the maker's chip-load range. Finishing: the least of
the maker's top, the middle corrected for the thin engagement, and the feed that keeps the marks on
the wall low. Then the machine's highest feed and the spindle's power. A drill or V cutter takes
the middle of its range whatever was set for the others, no more than its highest cutting speed, and
straight down no more than the machine's plunge speed; its power is not modelled.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.cutting.chip import engagement_angle_rad, feed_for_mark_height_mm, h_max_mm
from core.cutting.force import cutting_power_w, spindle_power_available_w
from core.cutting.speeds import feed_speed_mm_min, spindle_speed_rpm
from core.library.records import ChipLoadRange
from core.plan.records import Bound, Pass, Plan, Toolpath

if TYPE_CHECKING:
    from core.library.records import MountedCutter
    from core.plan.choices import Feeding
    from core.plan.toolpaths import Toolpaths

FALLBACK_SHARE = (0.02, 0.04)
"""Chip load as a share of the diameter where the maker gives none for a material: the band of
published router charts for sheet plastics up to 6 mm; an estimate."""

POWER_SHARE = 0.9
"""Share of the spindle's power that a plan may use (common practice, no source)."""

SpeedOverrides = tuple[tuple[int, int, float], ...]
_Fed = tuple[float, float, float, tuple[Bound, ...], tuple[Bound, ...]]


@dataclass(frozen=True, slots=True)
class _Load:
    """What the feed of a pass depends on."""

    mounted: MountedCutter
    finishing: bool
    bands: tuple[tuple[float, float], ...]
    tightest_curvature_per_mm: float
    spindle_speed_rpm: float
    goes_down: bool
    is_milled: bool


def plan_feeds(paths: Toolpaths, feeding: Feeding, overrides: SpeedOverrides = ()) -> Plan:
    """Return the toolpaths with their spindle speeds and feeds.

    Parameters
    ----------
    paths : Toolpaths
        The geometry.
    feeding : Feeding
        Material, machine, house rules, and what the user set by hand.
    overrides : tuple of (drawing, contour id, rpm)
        Spindle speeds set for single contours.
    """
    by_contour = {(drawing, contour): speed for drawing, contour, speed in overrides}
    known: dict[tuple[int, float | None], _Fed] = {}
    passes = []
    for path, kind in zip(paths.toolpaths, paths.kinds, strict=True):
        typed = by_contour.get((path.drawing, path.contour_id), feeding.spindle_speed_rpm)
        fed = known.get((kind, typed))
        if fed is None:
            fed = known[kind, typed] = _fed(path, feeding, typed)
        passes.append(Pass(path, *fed))
    return Plan(tuple(passes), paths.findings)


def _fed(path: Toolpath, feeding: Feeding, typed_rpm: float | None) -> _Fed:
    """Return speed, chip load, feed and their candidates of a toolpath."""
    speeds = spindle_speed_bounds(path, feeding, typed_rpm)
    feeds = feed_bounds(_load(path, speeds[0].value), feeding)
    rpm, per_tooth = speeds[0].value, feeds[0].value
    speed = float(feed_speed_mm_min(rpm, path.mounted.cutter.tooth_count, per_tooth))
    return rpm, per_tooth, speed, speeds, feeds


def chip_load_range(mounted: MountedCutter, material: str) -> tuple[ChipLoadRange, bool]:
    """Return the maker's chip-load range for a material, and whether it is the maker's at all."""
    for entry in mounted.cutter.chip_loads:
        if entry.material == material:
            return entry, True
    low, high = (share * mounted.diameter_mm for share in FALLBACK_SHARE)
    words = "no range from the maker: 0.02 to 0.04 of the diameter, an estimate"
    return ChipLoadRange(material, low, high, words), False


def spindle_speed_bounds(
    path: Toolpath, feeding: Feeding, typed_rpm: float | None
) -> tuple[Bound, ...]:
    """Return the candidates for the spindle speed, the binding one first. [rpm]."""
    mounted, machine = path.mounted, feeding.machine
    holder = mounted.holder
    headroom = feeding.headroom_share * holder.balanced_speed_rpm
    rules = [
        Bound(
            "headroom",
            f"{feeding.headroom_share:.0%} of the holder's balanced speed",
            headroom,
            "rpm",
            f"house rule; {holder.name} is balanced to {holder.balanced_speed_rpm:.0f} rpm",
        ),
        Bound(
            "maker_speed",
            "the cutter maker's highest speed",
            mounted.cutter.highest_spindle_speed_rpm,
            "rpm",
            mounted.cutter.name,
        ),
        Bound(
            "spindle_range",
            "the spindle's highest speed",
            machine.highest_spindle_speed_rpm,
            "rpm",
            machine.name,
        ),
    ]
    if mounted.cutter.highest_cutting_speed_m_min > 0.0:
        rules.append(_cutting_speed_bound(path))
    least = tuple(sorted(rules, key=lambda bound: bound.value))
    if typed_rpm is None:
        return least
    typed = Bound("typed", "the speed that was set", typed_rpm, "rpm", "set by hand")
    if path.is_milled:
        return (typed, *least)
    return tuple(sorted((typed, *least), key=lambda bound: bound.value))


def _cutting_speed_bound(path: Toolpath) -> Bound:
    """Return the spindle speed at which the circumference has its highest speed. [rpm]."""
    cutter = path.mounted.cutter
    sourced = cutter.sources.get("highest_cutting_speed_m_min")
    value = spindle_speed_rpm(cutter.highest_cutting_speed_m_min, path.cutting_diameter_mm)
    words = "the cutter's highest cutting speed"
    return Bound("cutting_speed", words, float(value), "rpm", str(sourced and sourced.source))


def feed_bounds(load: _Load, feeding: Feeding) -> tuple[Bound, ...]:
    """Return the candidates for the feed per tooth, the binding one first. [mm]."""
    loads, _ = chip_load_range(load.mounted, feeding.material.key)
    teeth = load.mounted.cutter.tooth_count
    wanted = (
        [Bound("typed", "the chip load that was set", feeding.feed_per_tooth_mm, "mm", "by hand")]
        if feeding.feed_per_tooth_mm is not None and load.is_milled
        else _finish_bounds(load, loads, feeding)
        if load.finishing
        else [_middle(loads.middle_mm, loads)]
    )
    per_second = load.spindle_speed_rpm * teeth
    wanted.append(
        Bound(
            "machine_feed",
            "the machine's highest feed",
            feeding.machine.highest_feed_mm_min / per_second,
            "mm",
            feeding.machine.name,
        )
    )
    if load.goes_down:
        machine = feeding.machine
        wanted.append(
            Bound(
                "plunge",
                "the machine's plunge speed",
                machine.plunge_mm_min / per_second,
                "mm",
                machine.name,
            )
        )
    if feeding.material.heat is not None and load.is_milled:
        wanted.append(_power_bound(load, feeding))
    return tuple(sorted(wanted, key=lambda bound: bound.value))


def _middle(value_mm: float, loads: ChipLoadRange) -> Bound:
    return Bound("maker_middle", "the middle of the maker's range", value_mm, "mm", loads.source)


def _finish_bounds(load: _Load, loads: ChipLoadRange, feeding: Feeding) -> list[Bound]:
    diameter = load.mounted.diameter_mm
    width = load.bands[0][1]
    thinning = float(h_max_mm(1.0, engagement_angle_rad(width, diameter)))
    marks = feed_for_mark_height_mm(
        feeding.feed_mark_limit_um / 1000.0, diameter, load.tightest_curvature_per_mm
    )
    return [
        Bound("maker_top", "the top of the maker's range", loads.high_mm, "mm", loads.source),
        Bound(
            "thin_engagement",
            "the middle of the maker's range, corrected for the thin engagement",
            loads.middle_mm / thinning,
            "mm",
            loads.source,
        ),
        Bound(
            "feed_marks",
            f"feed marks of {feeding.feed_mark_limit_um:g} um on the wall",
            # run-out lets one edge finish the wall: the marks stand one revolution apart
            float(marks) / load.mounted.cutter.tooth_count,
            "mm",
            "house rule",
        ),
    ]


def _power_bound(load: _Load, feeding: Feeding) -> Bound:
    """Return the chip load at which cutting takes the power that the plan may use."""
    machine = feeding.machine
    available = POWER_SHARE * float(
        spindle_power_available_w(
            machine.spindle_power_w, machine.spindle_base_speed_rpm, load.spindle_speed_rpm
        )
    )
    # power is a straight line over the feed: two points give it
    still, unit = (_power_w(load, feeding, per_tooth_mm) for per_tooth_mm in (0.0, 1.0))
    value = max(available - still, 0.0) / (unit - still)
    return Bound("spindle_power", "the spindle's power", value, "mm", machine.name)


def _power_w(load: _Load, feeding: Feeding, feed_per_tooth_mm: float) -> float:
    heat = feeding.material.heat
    if heat is None:
        return math.nan
    teeth = load.mounted.cutter.tooth_count
    return sum(
        float(
            cutting_power_w(
                heat.specific_cutting_force_n_mm2,
                heat.edge_force_n_mm,
                width,
                depth,
                load.spindle_speed_rpm * teeth * feed_per_tooth_mm,
                load.mounted.diameter_mm,
                load.spindle_speed_rpm,
                teeth,
            )
        )
        for depth, width in load.bands
    )


def _load(path: Toolpath, spindle_speed_rpm: float) -> _Load:
    finishing = path.is_milled and path.wall_stock_mm <= 0.0 and path.wall_side != 0
    bands = tuple((band.axial_depth_mm, band.radial_width_mm) for band in path.bands)
    return _Load(
        path.mounted,
        finishing,
        bands,
        path.tightest_per_mm,
        spindle_speed_rpm,
        goes_down=bool(path.pecks),
        is_milled=path.is_milled,
    )
