"""What minutes, sheets and services cost in the shop, and the rules of the house.

Money is text here, Decimal where it is used. Shares are of one: 0.25 is 25 %.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from core.job.offer import Per
    from core.library.records import Sourced


@dataclass(frozen=True, slots=True)
class SheetPrice:
    """What a square metre of one material and thickness costs the shop."""

    material: str
    thickness_mm: float
    price_per_m2: str


@dataclass(frozen=True, slots=True)
class EdgeLife:
    """How long an edge lasts in some materials, as a share of the cutter's own life."""

    materials: tuple[str, ...]
    share: float
    low_share: float
    high_share: float
    source: str


@dataclass(frozen=True, slots=True)
class Service:
    """What the shop does to parts besides cutting them: deburr, anneal, bend, pack.

    Parameters
    ----------
    name : str
        As shown.
    per : Per
        What it is counted by.
    minutes : Sourced or None
        Labour each. [min]
    price : str
        Money each, besides the labour; empty for none.
    included : bool
        Whether it is done without being asked for.
    materials : tuple of str
        Materials that it is for; empty: all.
    from_thickness_mm : float
        Least thickness that it is for. [mm]
    shown_as : str
        What the customer reads of it; empty: its name.
    """

    name: str
    per: Per
    minutes: Sourced | None = None
    price: str = ""
    included: bool = False
    materials: tuple[str, ...] = ()
    from_thickness_mm: float = 0.0
    shown_as: str = ""


@dataclass(frozen=True, slots=True)
class Rates:
    """What the shop's minutes, sheets and services cost.

    Parameters
    ----------
    machine_per_hour, labour_per_hour : str
        Money an hour.
    setup_minutes, first_part_minutes : float
        Labour once a batch: set-up, and the check of the first part. [min]
    loading_minutes_per_sheet, unloading_minutes_per_sheet : float
        Labour each sheet. [min]
    stop_minutes : float
        For each stop of the program at which a person takes a piece of waste out. [min]
    offcut_value_share : float
        Worth of an offcut against the same area of a bought sheet.
    least_offcut_long_mm, least_offcut_short_mm : float
        The smallest offcut that goes back on the rack; 0: none does. [mm]
    sheet_price_band_share : float
        By how much the price of sheet may move until it is bought.
    markup_on : str
        What the mark-up is a share of: "cost", or "price" (many call that the margin).
    smallest_amount : str
        What money is rounded to.
    dated : str
        When the rates were set.
    """

    key: str
    name: str
    currency: str
    machine_per_hour: str
    labour_per_hour: str
    setup_minutes: float
    loading_minutes_per_sheet: float
    sheet_prices: tuple[SheetPrice, ...]
    headroom_share: float
    feed_mark_limit_um: float
    unloading_minutes_per_sheet: float = 0.0
    first_part_minutes: float = 0.0
    stop_minutes: float = 0.0
    offcut_value_share: float = 0.0
    least_offcut_long_mm: float = 0.0
    least_offcut_short_mm: float = 0.0
    sheet_price_band_share: float = 0.0
    overhead_share: float = 0.0
    markup_share: float = 0.0
    tax_share: float = 0.0
    markup_on: str = "cost"
    tax_name: str = "tax"
    smallest_amount: str = "0.01"
    dated: str = ""
    edge_lives: tuple[EdgeLife, ...] = ()
    services: tuple[Service, ...] = ()
    address: tuple[str, ...] = ()
    valid_days: int = 30
    terms: tuple[str, ...] = ()
    sources: Mapping[str, Sourced] = field(
        default_factory=lambda: MappingProxyType({}), compare=False
    )
