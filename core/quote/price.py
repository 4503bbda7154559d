"""The first price: whole sheets, machine minutes, loading and set-up, at the shop's rates.

Money is Decimal and is rounded once a line, to the cent, so that the lines add up to the total.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

from core.errors import Finding, Severity

if TYPE_CHECKING:
    from core.library.rate_records import Rates
    from core.library.records import Material, SheetStock

CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the price; `amount` is rounded to the cent."""

    name: str
    amount: Decimal
    reason: str


@dataclass(frozen=True, slots=True)
class Price:
    """The price of a job and of one copy of it."""

    lines: tuple[PriceLine, ...]
    total: Decimal
    per_part: Decimal
    currency: str


def to_cent(amount: Decimal) -> Decimal:
    """Return an amount rounded to the cent, halves up.

    Examples
    --------
    >>> to_cent(Decimal("1.005"))
    Decimal('1.01')
    """
    return amount.quantize(CENT, ROUND_HALF_UP)


def first_price(
    material: Material,
    thickness_mm: float,
    sheet: SheetStock,
    sheet_count: int,
    cycle_time_s: float,
    quantity: int,
    rates: Rates,
) -> Price | Finding:
    """Return the price, or the finding that says which rate is missing.

    Parameters
    ----------
    material, thickness_mm, sheet : Material, float, SheetStock
        What is cut from. [mm]
    sheet_count, quantity : int
        Whole sheets, and copies of the job.
    cycle_time_s : float
        Machine time of all copies. [s]
    rates : Rates
        The shop's rates.
    """
    square_metre = _sheet_price(material.key, thickness_mm, rates)
    if square_metre is None:
        return Finding(
            "price-missing",
            Severity.NOTE,
            f"There is no price for {material.name} {thickness_mm:g} mm in the rates "
            f"{rates.name!r}, so no price is given; add it to the rates file.",
        )
    area = Decimal(str(sheet.size_mm[0])) * Decimal(str(sheet.size_mm[1])) / Decimal(10**6)
    minutes = Decimal(str(round(cycle_time_s, 3))) / 60
    loading = Decimal(str(rates.loading_minutes_per_sheet)) * sheet_count
    setup = Decimal(str(rates.setup_minutes))
    machine, labour = Decimal(rates.machine_per_hour), Decimal(rates.labour_per_hour)
    lines = (
        PriceLine(
            "material",
            to_cent(area * square_metre * sheet_count),
            f"{sheet_count} x {sheet.name}, {area:.4f} m2 at {square_metre} a m2",
        ),
        PriceLine(
            "machine",
            to_cent(minutes / 60 * machine),
            f"{minutes:.2f} min at {machine} an hour",
        ),
        PriceLine(
            "loading",
            to_cent(loading / 60 * labour),
            f"{loading:.1f} min at {labour} an hour",
        ),
        PriceLine("set-up", to_cent(setup / 60 * labour), f"{setup:.1f} min at {labour} an hour"),
    )
    total = sum((line.amount for line in lines), Decimal(0))
    return Price(lines, total, to_cent(total / quantity), rates.currency)


def _sheet_price(material: str, thickness_mm: float, rates: Rates) -> Decimal | None:
    for entry in rates.sheet_prices:
        if entry.material == material and abs(entry.thickness_mm - thickness_mm) < 0.05:
            return Decimal(entry.price_per_m2)
    return None
