"""Ranges outside of which a value of a library file is a slip (a wrong unit, a lost decimal).

They are wide: not what is usual, but what would still make sense. Common practice, no source.
"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

PLAUSIBLE: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        # material
        "density_kg_m3": (700.0, 2500.0),
        "specific_heat_j_kgk": (700.0, 3000.0),
        "thermal_conductivity_w_mk": (0.08, 0.8),
        "softening_temperature_c": (40.0, 350.0),
        "yield_strength_n_mm2": (5.0, 200.0),
        "friction_coefficient": (0.05, 1.0),
        "thermal_expansion_um_mk": (10.0, 300.0),
        "tolerance_base_mm": (0.0, 2.0),
        "tolerance_share": (0.0, 0.3),
        "tolerance_share_thin": (0.0, 0.3),
        "specific_cutting_force_n_mm2": (10.0, 400.0),
        "edge_force_n_mm": (0.2, 15.0),
        "chip_softening_temperature_c": (40.0, 370.0),
        "fracture_energy_n_mm": (0.05, 15.0),
        # cutter, holder, mounted cutter
        "diameter_mm": (0.5, 25.0),
        "flute_length_mm": (1.0, 120.0),
        "shank_diameter_mm": (1.0, 25.0),
        "helix_angle_deg": (0.0, 60.0),
        "edge_radius_um": (0.5, 50.0),
        "worn_edge_radius_um": (1.0, 200.0),
        "highest_spindle_speed_rpm": (1000.0, 100_000.0),
        "tip_angle_deg": (20.0, 150.0),
        "tip_flat_mm": (0.0, 5.0),
        "highest_cutting_speed_m_min": (10.0, 1000.0),
        "edge_life_m": (0.0, 100_000.0),
        "chip_load_mm": (0.005, 1.0),
        "balanced_speed_rpm": (1000.0, 100_000.0),
        "balance_grade_mm_s": (0.1, 100.0),
        "mass_kg": (0.02, 10.0),
        "stick_out_mm": (2.0, 200.0),
        "measured_diameter_mm": (0.5, 25.0),
        "metres_cut": (0.0, 1e6),
        # machine
        "travel_mm": (100.0, 20_000.0),
        "chord_error_mm": (0.0005, 0.05),
        "largest_radius_mm": (100.0, 1e6),
        "approach_mm": (0.2, 20.0),
        "park_mm": (0.0, 20_000.0),
        "highest_feed_mm_min": (100.0, 200_000.0),
        "rapid_mm_min": (100.0, 300_000.0),
        "plunge_mm_min": (10.0, 100_000.0),
        "acceleration_mm_s2": (50.0, 50_000.0),
        "jerk_mm_s3": (100.0, 1e7),
        "corner_deviation_mm": (0.0, 1.0),
        "lowest_spindle_speed_rpm": (0.0, 60_000.0),
        "spindle_power_w": (100.0, 50_000.0),
        "spindle_base_speed_rpm": (100.0, 60_000.0),
        "spindle_ramp_rpm_s": (100.0, 100_000.0),
        "cutter_change_s": (0.0, 1200.0),
        "stiffness_n_um": (0.1, 500.0),
        "vacuum_kpa": (0.0, 101.325),
        "vacuum_share": (0.0, 1.0),
        "bed_flatness_mm": (0.0, 2.0),
        "depth_error_mm": (0.0, 1.0),
        "overcut_mm": (0.0, 3.0),
        "safe_height_mm": (0.5, 200.0),
        "room_temperature_c": (-10.0, 50.0),
        # sheet, rates, recipe
        "size_mm": (50.0, 10_000.0),
        "edge_margin_mm": (0.0, 200.0),
        "part_spacing_mm": (0.0, 200.0),
        "thickness_mm": (0.5, 60.0),
        "setup_minutes": (0.0, 600.0),
        "loading_minutes_per_sheet": (0.0, 120.0),
        "headroom_share": (0.3, 1.0),
        "unloading_minutes_per_sheet": (0.0, 120.0),
        "first_part_minutes": (0.0, 600.0),
        "stop_minutes": (0.0, 60.0),
        "service_minutes": (0.0, 600.0),
        "offcut_value_share": (0.0, 1.0),
        "least_offcut_long_mm": (0.0, 10_000.0),
        "least_offcut_short_mm": (0.0, 10_000.0),
        "sheet_price_band_share": (0.0, 0.5),
        "overhead_share": (0.0, 2.0),
        "markup_share": (0.0, 3.0),
        "tax_share": (0.0, 0.5),
        "edge_life_share": (0.01, 10.0),
        "from_thickness_mm": (0.0, 60.0),
        "feed_mark_limit_um": (0.1, 200.0),
        "wall_stock_mm": (0.0, 10.0),
        "floor_stock_mm": (0.0, 10.0),
        "depth_times_diameter": (0.0, 5.0),
        "clear_times_diameter": (0.0, 50.0),
        "wall_relief_mm": (0.0, 2.0),
        "tab_length_mm": (0.5, 50.0),
        "peck_times_diameter": (0.0, 5.0),
        "break_through_mm": (0.0, 10.0),
        "break_through_share": (0.05, 1.0),
        "tip_below_mm": (0.0, 5.0),
        "ramp_angle_deg": (0.1, 90.0),
        "lead_radius_mm": (0.0, 50.0),
        "seam_overlap_mm": (0.0, 50.0),
    }
)
"""Lowest and highest value that makes sense, by the name of the record's field."""


def implausible(field: str, value: float) -> str | None:
    """Return what is wrong with the value of a field, or None."""
    low, high = PLAUSIBLE[field]
    if math.isfinite(value) and low <= value <= high:
        return None
    return f"{value:g} is outside {low:g} to {high:g}, the range that makes sense"
