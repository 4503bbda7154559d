"""The margins of a cut over spindle speeds and chip loads, with the formulas of the report.

Terms: spindle speeds run down a column of shape (k, 1), chip loads along a row of shape (1, m). A
margin keeps the shape that it depends on: balance is a column, chip packing a row, heat a table. It
is 1 - actual / limit for an upper limit and 1 - limit / actual for a lower one, as in the report.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad, feed_mark_height_mm, h_max_mm
from core.cutting.force import force_coefficients, spindle_power_available_w
from core.cutting.hold_down import hold_down_ratio, vacuum_force_n
from core.cutting.pass_force import PassCut, PassForces, pass_forces, stacked_bands
from core.cutting.rubbing import rubbing_thickness_mm
from core.cutting.section import chip_packing, gullet_area_mm2
from core.heat.estimates import ESTIMATES, in_this_shop
from core.heat.pass_table import edge_radius_um, packed_share, wear_factor
from core.heat.steady_pass import SteadyPass, steady_pass_conditions
from core.heat.temperatures import nominal, rises_k
from core.report.force_limits import LEAST_RATIO, STOCK_SHARE, WALL_ERROR_LIMIT_MM
from core.report.forces import compliance_mm_n, helix_rad

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.advice.map_cut import MapCut
    from core.cutting.values import Array
    from core.heat.estimates import Estimates
    from core.library.records import HeatCoefficients, Material

FORCE_NODES = 9
"""Chip loads at which the forces of a turn are computed; straight lines between them.
tests/studies/map_force_nodes.py prints the error."""


@dataclass(frozen=True, eq=False, slots=True)
class Margin:
    """The margin of one limit; its array has the shape that it depends on.

    Parameters
    ----------
    name, label : str
        Stable key as in the report, and words shown.
    margin_ratio : array
        Below 0 outside.
    at_most_tight : bool
        True for a rule of the house or an estimate that never forbids a plan by itself.
    """

    name: str
    label: str
    margin_ratio: Array
    at_most_tight: bool = False


def margins(cut: MapCut, speed_rpm: Array, feed_mm: Array) -> Iterator[Margin]:
    """Yield the margin of every limit that spindle speed or chip load moves.

    Parameters
    ----------
    cut : MapCut
        The cut.
    speed_rpm, feed_mm : array
        Spindle speeds, shape (k, 1), and chip loads, shape (1, m). [rpm], [mm]
    """
    reached = reached_mm(cut, speed_rpm, feed_mm)
    yield from _speed(cut, speed_rpm)
    yield _machine_feed(cut, speed_rpm, feed_mm)
    yield _packing(cut, feed_mm)
    yield _rubbing(cut, reached)
    if cut.finishes:
        yield _marks(cut, feed_mm)
    heat = cut.chosen.material.heat
    if heat is not None:
        yield from _forces(cut, heat, speed_rpm, feed_mm)
        estimates = in_this_shop(ESTIMATES, heat)
        yield _heat(cut, cut.chosen.material, heat, speed_rpm, reached, feed_mm, estimates)


def reached_mm(cut: MapCut, speed_rpm: Array, feed_mm: Array) -> Array:
    """Return the chip load reached: on a bend the machine goes no faster than sqrt(a r)."""
    if np.isinf(cut.speed_cap_mm_s):
        return feed_mm
    return np.minimum(feed_mm, cut.speed_cap_mm_s * 60.0 / (speed_rpm * cut.tooth_count))


def _upper(actual: Array, limit: Array | float) -> Array:
    return np.asarray(1.0 - actual / limit)


def _speed(cut: MapCut, speed: Array) -> Iterator[Margin]:
    machine, mounted = cut.chosen.machine, cut.mounted
    balanced = cut.chosen.feeding.headroom_share * mounted.holder.balanced_speed_rpm
    yield Margin("balance", "balance of the holder", _upper(speed, balanced), at_most_tight=True)
    maker, high = mounted.cutter.highest_spindle_speed_rpm, machine.highest_spindle_speed_rpm
    yield Margin("maker_speed", "the cutter maker's highest speed", _upper(speed, maker))
    yield Margin("spindle_high", "the spindle's highest speed", _upper(speed, high))
    low = _upper(machine.lowest_spindle_speed_rpm, speed)  # type: ignore[arg-type]
    yield Margin("spindle_low", "the spindle's lowest speed", low)


def _machine_feed(cut: MapCut, speed: Array, feed: Array) -> Margin:
    asked = (cut.tooth_count * speed) * feed
    margin = _upper(asked, cut.chosen.machine.highest_feed_mm_min)
    return Margin("machine_feed", "the machine's highest feed", margin)


def _packing(cut: MapCut, feed: Array) -> Margin:
    width = max(band.radial_width_mm for band in cut.bands)
    gullet = gullet_area_mm2(cut.mounted.diameter_mm, cut.tooth_count)
    fill = chip_packing(feed, width, gullet)
    return Margin("chip_packing", "chip packing", _upper(fill, 1.0), at_most_tight=True)


def _rubbing(cut: MapCut, reached: Array) -> Margin:
    mounted = cut.mounted
    angle = engagement_angle_rad(
        cut.main_band.radial_width_mm, mounted.diameter_mm, cut.bend_per_mm
    )
    least = rubbing_thickness_mm(mounted.cutter.worn_edge_radius_um)
    return Margin("rubbing", "rubbing", 1.0 - least / h_max_mm(reached, angle))


def _marks(cut: MapCut, feed: Array) -> Margin:
    # run-out lets one edge finish the wall: the marks stand one revolution apart
    height = feed_mark_height_mm(
        feed * cut.tooth_count, cut.mounted.diameter_mm, cut.tightest_per_mm
    )
    limit_mm = cut.chosen.feeding.feed_mark_limit_um / 1000.0
    return Margin("feed_marks", "feed marks on the wall", _upper(height, limit_mm))


def _forces(cut: MapCut, heat: HeatCoefficients, speed: Array, feed: Array) -> Iterator[Margin]:
    machine = cut.chosen.machine
    nodes = np.linspace(float(feed.min()), float(feed.max()), FORCE_NODES)
    found = _forces_at(cut, heat, nodes)

    def at(values: Array) -> Array:
        return np.interp(feed, nodes, values)

    available = spindle_power_available_w(
        machine.spindle_power_w, machine.spindle_base_speed_rpm, speed
    )
    # the forces do not depend on the speed, so the power grows with it in a straight line
    yield Margin("spindle_power", "spindle power", _upper(at(found.power_w), available / speed))
    stock = cut.wall_stock_mm
    limit = WALL_ERROR_LIMIT_MM if stock <= 0.0 else STOCK_SHARE * stock
    error = _upper(at(np.abs(found.wall_error_mm)), limit)
    yield Margin("bending", "bending of the cutter", error)
    if cut.freed is not None:
        area, friction = cut.freed.area_mm2, cut.chosen.material.friction_coefficient
        held = vacuum_force_n(area, machine.vacuum_kpa, machine.vacuum_share)
        pairs = zip(found.peak_lateral_n.tolist(), found.lift_n.tolist(), strict=True)
        ratio = np.array([hold_down_ratio(held, friction, *pair) for pair in pairs])
        piece = "piece of waste" if cut.freed.is_waste else "part"
        margin = 1.0 - LEAST_RATIO / np.maximum(at(ratio), 1e-12)
        yield Margin("hold_down", f"grip on the {piece}", margin, cut.freed.is_waste)


def _forces_at(cut: MapCut, heat: HeatCoefficients, feeds_mm: Array) -> PassForces:
    """Return the forces at some chip loads and 1 rpm."""
    count, cutter = len(feeds_mm), cut.mounted.cutter
    rows = [
        (b.z_bottom_mm - cut.z_bottom_mm, b.z_top_mm - cut.z_bottom_mm, b.radial_width_mm)
        for b in cut.bands
    ]
    bottom, top, width = stacked_bands([rows] * count)

    def each(value: float) -> Array:
        return np.full(count, float(value))

    give = compliance_mm_n(cut.mounted, cut.chosen.machine.stiffness_n_um)
    return pass_forces(
        force_coefficients(heat),
        PassCut(
            bottom_mm=bottom,
            top_mm=top,
            radial_width_mm=width,
            cutter_diameter_mm=each(cut.mounted.diameter_mm),
            tooth_count=each(cut.tooth_count),
            helix_angle_rad=each(helix_rad(cutter)),
            feed_per_tooth_mm=feeds_mm,
            spindle_speed_rpm=each(1.0),
            climb=np.full(count, cut.climb),
            compliance_mm_n=each(give),
        ),
    )


def _heat(
    cut: MapCut,
    material: Material,
    heat: HeatCoefficients,
    speed: Array,
    reached: Array,
    feed: Array,
    estimates: Estimates,
) -> Margin:
    """Return the nominal heat margin of the part nearest to softening, the cutter warm."""
    room = cut.chosen.machine.room_temperature_c
    conditions = steady_pass_conditions(
        _steady(cut, heat, speed, reached, feed, estimates), estimates, room
    )
    coefficients = nominal(material, estimates)
    chip, wall, cutter = rises_k(coefficients, conditions)
    soft, welds = material.softening_temperature_c, heat.chip_softening_temperature_c
    margin, ratio = welds - room - chip, 1.0 - (room + chip) / welds
    hottest = [cutter] if conditions.wall_weight == 0.0 else [wall, cutter]
    for rise in hottest:
        other = soft - room - rise
        ratio = np.where(other < margin, 1.0 - (room + rise) / soft, ratio)
        margin = np.minimum(margin, other)
    return Margin("heat", "heat, the cutter warm", np.asarray(ratio))


def _steady(
    cut: MapCut,
    heat: HeatCoefficients,
    speed: Array,
    reached: Array,
    feed: Array,
    estimates: Estimates,
) -> SteadyPass:
    mounted, air = cut.mounted, cut.chosen.air
    radius_um = edge_radius_um(mounted)
    return SteadyPass(
        spindle_speed_rpm=speed,
        feed_per_tooth_mm=reached,
        teeth=float(cut.tooth_count),
        diameter_mm=mounted.diameter_mm,
        stick_out_mm=mounted.stick_out_mm,
        bands=tuple((b.radial_width_mm, b.axial_depth_mm) for b in cut.bands),
        bend_per_mm=cut.bend_per_mm,
        recut_share=_recut(cut, feed, estimates),
        air_speed_m_s=estimates.air_speed_m_s(air),
        wear=float(wear_factor(heat, radius_um, estimates)),
        edge_radius_um=radius_um,
        wall_weight=float(cut.wall_stock_mm <= 0.0),
    )


def _recut(cut: MapCut, feed: Array, estimates: Estimates) -> Array:
    """Return the share of chips cut again, a row over the chip load."""
    mounted, top = cut.mounted, cut.chosen.cutting.thickness_mm
    share = estimates.recut_share(cut.chosen.air) * estimates.helix_factor(mounted.cutter.helix)
    over = max((top - max(cut.z_bottom_mm, 0.0)) / mounted.diameter_mm - 1.0, 0.0)
    width = max(band.radial_width_mm for band in cut.bands)
    fill = chip_packing(feed, width, gullet_area_mm2(mounted.diameter_mm, cut.tooth_count))
    return packed_share(share, over, fill, estimates)
