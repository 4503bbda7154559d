"""What a library file holds, field by field, as its author wrote it.

A value stands in the unit of its source. Its name is that of the record's field without the unit:
`density = { value = 1.19, unit = "g/cm3", ... }` becomes `density_kg_m3`. A value that names no
source or basis of its own has those of its file.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from core.job.offer import Per
from core.library.fitted import ShopEntry
from core.library.nc_entries import NcEntry
from core.library.records import Basis, Corner, CutterForm, Direction, Helix, Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every file begins with."""

    name: str
    aliases: tuple[str, ...] = ()
    source: str = ""
    basis: Basis | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class HeatEntry:
    """Force and heat coefficients; `low` and `high` of the first two give their log-sd."""

    specific_cutting_force: Sourced
    edge_force: Sourced
    chip_softening_temperature: Sourced
    fracture_energy: Sourced
    shop: ShopEntry | None = None


@dataclass(frozen=True, slots=True)
class CautionEntry:
    """One caution with its source."""

    text: str
    source: str
    basis: Basis
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialEntry(Entry):
    """A sheet material."""

    brittle: bool
    density: Sourced
    specific_heat: Sourced
    thermal_conductivity: Sourced
    softening_temperature: Sourced
    softening_method: str
    yield_strength: Sourced
    friction_coefficient: Sourced
    thermal_expansion: Sourced
    tolerance_base: Sourced
    tolerance_share: Sourced
    tolerance_share_thin: Sourced
    heat: HeatEntry | None = None
    cautions: tuple[CautionEntry, ...] = ()


@dataclass(frozen=True, slots=True)
class RangeEntry:
    """A range of chip loads as one source prints it."""

    low: float
    high: float
    unit: str
    source: str
    basis: Basis
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChipLoadEntry:
    """The maker's range in some materials, and what others publish."""

    materials: tuple[str, ...]
    low: float
    high: float
    unit: str
    source: str
    basis: Basis
    place: str = ""
    others: tuple[RangeEntry, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CutterEntry(Entry):
    """A cutter as its maker describes it."""

    diameter: Sourced
    tooth_count: int
    flute_length: Sourced
    shank_diameter: Sourced
    helix: Helix
    helix_angle: Sourced
    edge_radius: Sourced
    worn_edge_radius: Sourced
    highest_spindle_speed: Sourced
    chip_loads: tuple[ChipLoadEntry, ...]
    price: str = ""
    edge_life: Sourced | None = None
    form: CutterForm = CutterForm.END_MILL
    tip_angle: Sourced | None = None
    tip_flat: Sourced | None = None
    highest_cutting_speed: Sourced | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HolderEntry(Entry):
    """A holder."""

    balanced_speed: Sourced
    balance_grade: Sourced
    mass: Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class MountedEntry(Entry):
    """A cutter in a holder; both by key."""

    cutter: str
    holder: str
    stick_out: Sourced
    tool_number: int
    measured_diameter: Sourced | None = None
    way_cut: Sourced | None = None
    finish_only: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineEntry(Entry):
    """A router."""

    travel_x: Sourced
    travel_y: Sourced
    highest_feed: Sourced
    rapid: Sourced
    plunge: Sourced
    acceleration: Sourced
    jerk: Sourced
    corner_deviation: Sourced | None = None
    lowest_spindle_speed: Sourced
    highest_spindle_speed: Sourced
    spindle_power: Sourced
    spindle_base_speed: Sourced
    spindle_ramp: Sourced
    cutter_change: Sourced
    stiffness: Sourced
    vacuum: Sourced
    vacuum_share: Sourced
    bed_flatness: Sourced
    depth_error: Sourced
    overcut: Sourced
    safe_height: Sourced
    room_temperature: Sourced
    nc: NcEntry = field(default_factory=NcEntry)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetEntry(Entry):
    """A sheet on the rack."""

    size_x: Sourced
    size_y: Sourced
    edge_margin: Sourced
    part_spacing: Sourced
    offcut: bool = False
    in_stock: int | None = None


@dataclass(frozen=True, slots=True)
class SheetPriceEntry:
    """A square metre of one material and thickness; the price is text, for it is money."""

    material: str
    thickness: Sourced
    price_per_m2: str


@dataclass(frozen=True, slots=True)
class EdgeLifeEntry:
    """How long an edge lasts in some materials, as a share of the cutter's own life."""

    materials: tuple[str, ...]
    share: Sourced


@dataclass(frozen=True, slots=True)
class ServiceEntry:
    """What the shop does to parts besides cutting them; the price is text, for it is money."""

    name: str
    per: Per
    minutes: Sourced | None = None
    price: str = ""
    included: bool = False
    materials: tuple[str, ...] = ()
    from_thickness: Sourced | None = None
    shown_as: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RatesEntry(Entry):
    """What minutes and sheets cost, and the house rules."""

    currency: str
    machine_per_hour: str
    labour_per_hour: str
    setup: Sourced
    loading: Sourced
    sheet_prices: tuple[SheetPriceEntry, ...]
    headroom_share: Sourced
    feed_mark_limit: Sourced
    unloading: Sourced | None = None
    first_part: Sourced | None = None
    stop: Sourced | None = None
    offcut_value_share: Sourced | None = None
    least_offcut_long: Sourced | None = None
    least_offcut_short: Sourced | None = None
    sheet_price_band_share: Sourced | None = None
    overhead_share: Sourced | None = None
    markup_share: Sourced | None = None
    tax_share: Sourced | None = None
    markup_on: str = "cost"
    tax_name: str = "tax"
    smallest_amount: str = "0.01"
    dated: str = ""
    edge_lives: tuple[EdgeLifeEntry, ...] = ()
    services: tuple[ServiceEntry, ...] = ()
    address: tuple[str, ...] = ()
    valid_days: int = 30
    terms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEntry:
    """One line of a recipe."""

    name: str
    cutter: str
    wall_stock: Sourced
    floor_stock: Sourced
    depth_times_diameter: Sourced
    direction: Direction
    corner: Corner
    ramp_angle: Sourced | None = None
    lead_radius: Sourced | None = None
    seam_overlap: Sourced | None = None
    wall_relief: Sourced | None = None
    tab_count: int = 0
    tab_length: Sourced | None = None
    peck_times_diameter: Sourced | None = None
    break_through: Sourced | None = None
    break_through_share: Sourced | None = None
    tip_below: Sourced | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeEntry(Entry):
    """Passes as data."""

    steps: tuple[StepEntry, ...]
    clear_times_diameter: Sourced | None = None
    warning: str = ""
