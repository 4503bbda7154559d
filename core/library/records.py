"""What stands on the shelf, ready to compute with; every value keeps its source.

The files hold values as their source prints them (`Sourced`); a record holds floats in the units
that its names end in, and `sources` maps each field to what the file says.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

from core.library.nc_records import NcSettings
from core.library.recipe_records import Corner, Direction, Recipe, RecipeStep

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.library.fitted import ShopFit


__all__ = [
    "Basis",
    "ChipLoadRange",
    "Corner",
    "Cutter",
    "CutterForm",
    "Direction",
    "HeatCoefficients",
    "Helix",
    "Holder",
    "Machine",
    "Material",
    "MountedCutter",
    "Recipe",
    "RecipeStep",
    "SheetStock",
    "Sourced",
]


class Basis(enum.StrEnum):
    """How a value came to be known."""

    STANDARD = "standard"
    TEXTBOOK = "textbook"
    DATASHEET = "datasheet"
    MEASURED = "measured"
    DERIVED = "derived"
    SCALED = "scaled"
    ESTIMATE = "estimate"
    PRACTICE = "common practice, no source"
    SHOP = "shop"


@dataclass(frozen=True, slots=True)
class Sourced:
    """A value as its source prints it.

    Parameters
    ----------
    value : float
        As printed, in `unit`.
    unit : str
        Unit word of the quantity grammar; empty for a plain number.
    source : str
        Where it comes from.
    place : str
        Where in the source (table, section); may be empty.
    basis : Basis
        How it came to be known.
    low, high : float or None
        5 % and 95 % of its uncertainty, in `unit`.
    note : str
        What else should be known.
    """

    value: float
    unit: str
    source: str
    basis: Basis
    place: str = ""
    low: float | None = None
    high: float | None = None
    note: str = ""


_NONE: Mapping[str, Sourced] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class HeatCoefficients:
    """Coefficients of the force and heat model, with the log-sd of those that are uncertain.

    Parameters
    ----------
    specific_cutting_force_n_mm2, edge_force_n_mm : float
        K_tc and K_te of F = K_tc h + K_te a millimetre of edge.
    specific_cutting_force_log_sd, edge_force_log_sd : float
        Standard deviation of their logarithm.
    chip_softening_temperature_c : float
        Where a fresh chip begins to weld (contact of milliseconds).
    fracture_energy_n_mm : float
        Part of K_te that is fracture energy; the rest is ploughing and grows with a worn edge.
    shop : ShopFit or None
        What the shop's own cuts made of the coefficients; None where nothing was fitted.
    """

    specific_cutting_force_n_mm2: float
    specific_cutting_force_log_sd: float
    edge_force_n_mm: float
    edge_force_log_sd: float
    chip_softening_temperature_c: float
    fracture_energy_n_mm: float = 0.0
    shop: ShopFit | None = None


@dataclass(frozen=True, slots=True)
class Material:
    """A sheet material. `heat` is None where no coefficients are known: "not modelled"."""

    key: str
    name: str
    aliases: tuple[str, ...]
    brittle: bool
    density_kg_m3: float
    specific_heat_j_kgk: float
    thermal_conductivity_w_mk: float
    softening_temperature_c: float
    softening_method: str
    yield_strength_n_mm2: float
    friction_coefficient: float
    thermal_expansion_um_mk: float
    tolerance_base_mm: float
    tolerance_share: float
    tolerance_share_thin: float
    tolerance_source: str
    heat: HeatCoefficients | None
    cautions: tuple[str, ...] = ()
    sources: Mapping[str, Sourced] = field(default_factory=lambda: _NONE, compare=False)

    def tolerance_mm(self, thickness_mm: float) -> float:
        """Return by how much a sheet may differ from its nominal thickness, plus or minus. [mm].

        `base + share x thickness`; sheets below 3 mm have a share of their own (ISO 7823-2).
        """
        share = self.tolerance_share_thin if thickness_mm < 3.0 else self.tolerance_share
        return self.tolerance_base_mm + share * thickness_mm


@dataclass(frozen=True, slots=True)
class ChipLoadRange:
    """The cutter maker's chip-load range in one material family, and other published ones."""

    material: str
    low_mm: float
    high_mm: float
    source: str
    others: tuple[str, ...] = ()

    @property
    def middle_mm(self) -> float:
        """Middle of the range: where to start."""
        return (self.low_mm + self.high_mm) / 2.0


class Helix(enum.StrEnum):
    """Which way the flutes lift the chip."""

    UPSHEAR = "upshear"
    DOWNSHEAR = "downshear"
    STRAIGHT = "straight"


class CutterForm(enum.StrEnum):
    """What a cutter cuts with: its flank, a drill's point, or a cone."""

    END_MILL = "end_mill"
    DRILL = "drill"
    V = "v"


@dataclass(frozen=True, slots=True)
class Cutter:
    """A cutter as its maker describes it.

    A drill and a V cutter have a point: the angle between its two sides, and its flat end. Their
    highest cutting speed at the circumference is 0 where none is given.
    """

    key: str
    name: str
    diameter_mm: float
    tooth_count: int
    flute_length_mm: float
    shank_diameter_mm: float
    helix: Helix
    helix_angle_deg: float
    edge_radius_um: float
    worn_edge_radius_um: float
    highest_spindle_speed_rpm: float
    chip_loads: tuple[ChipLoadRange, ...]
    price: str = ""
    edge_life_m: float = 0.0
    form: CutterForm = CutterForm.END_MILL
    tip_angle_deg: float = 180.0
    tip_flat_mm: float = 0.0
    highest_cutting_speed_m_min: float = 0.0
    sources: Mapping[str, Sourced] = field(default_factory=lambda: _NONE, compare=False)

    @property
    def tip_slope(self) -> float:
        """By how much the point grows wider on each side over its height; 0 for an end mill."""
        half = math.radians(self.tip_angle_deg) / 2.0
        return math.tan(half) if self.form is not CutterForm.END_MILL else 0.0

    @property
    def chip_share(self) -> float:
        """Chip thickness over that of an upright edge: the edges of a point lie aslant."""
        half = math.radians(self.tip_angle_deg) / 2.0
        return math.sin(half) if self.form is not CutterForm.END_MILL else 1.0

    @property
    def tip_length_mm(self) -> float:
        """Height from the end of the point to the full diameter; 0 for an end mill. [mm]."""
        if self.form is CutterForm.END_MILL:
            return 0.0
        return (self.diameter_mm - self.tip_flat_mm) / 2.0 / self.tip_slope


@dataclass(frozen=True, slots=True)
class Holder:
    """A holder and the speed and grade it was balanced for."""

    key: str
    name: str
    balanced_speed_rpm: float
    balance_grade_mm_s: float
    mass_kg: float
    sources: Mapping[str, Sourced] = field(default_factory=lambda: _NONE, compare=False)


@dataclass(frozen=True, slots=True)
class MountedCutter:
    """A cutter in its holder, as it hangs in the rack."""

    key: str
    name: str
    cutter: Cutter
    holder: Holder
    stick_out_mm: float
    tool_number: int
    measured_diameter_mm: float | None = None
    metres_cut: float = 0.0
    finish_only: bool = False

    @property
    def diameter_mm(self) -> float:
        """Cutting diameter: measured if it was, else the maker's."""
        return self.measured_diameter_mm or self.cutter.diameter_mm


@dataclass(frozen=True, slots=True)
class Machine:
    """A router and its limits. Power is flat above the base speed and falls with n below it."""

    key: str
    name: str
    travel_mm: tuple[float, float]
    highest_feed_mm_min: float
    rapid_mm_min: float
    plunge_mm_min: float
    acceleration_mm_s2: float
    jerk_mm_s3: float
    corner_deviation_mm: float | None
    lowest_spindle_speed_rpm: float
    highest_spindle_speed_rpm: float
    spindle_power_w: float
    spindle_base_speed_rpm: float
    spindle_ramp_rpm_s: float
    cutter_change_s: float
    stiffness_n_um: float
    vacuum_kpa: float
    vacuum_share: float
    bed_flatness_mm: float
    depth_error_mm: float
    overcut_mm: float
    safe_height_mm: float
    room_temperature_c: float
    nc: NcSettings = field(default_factory=NcSettings)
    sources: Mapping[str, Sourced] = field(default_factory=lambda: _NONE, compare=False)


@dataclass(frozen=True, slots=True)
class SheetStock:
    """A sheet on the shop's rack.

    An offcut is worth less than a bought sheet; `in_stock` is None where as many as are needed can
    be had.
    """

    key: str
    name: str
    size_mm: tuple[float, float]
    edge_margin_mm: float
    part_spacing_mm: float
    offcut: bool = False
    in_stock: int | None = None
