"""What a price is computed from, with levers that ask "and if this were ten per cent more?"."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from core.job import Offer
    from core.library.rate_records import Rates
    from core.library.records import Material
    from core.quote.work import Work

ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Levers:
    """Factors on the inputs of a price; all are 1 in the price itself."""

    sheet_price: Decimal = ONE
    machine_time: Decimal = ONE
    machine_rate: Decimal = ONE
    labour_rate: Decimal = ONE
    setup_time: Decimal = ONE
    handling_time: Decimal = ONE
    service_time: Decimal = ONE
    edge_life: Decimal = ONE
    overhead: Decimal = ONE
    markup: Decimal = ONE


@dataclass(frozen=True, slots=True)
class Case:
    """What a price is computed from.

    Parameters
    ----------
    work : Work
        Sheets, minutes, metres, pieces.
    material : Material
        What is cut.
    thickness_mm : float
        Nominal thickness of the sheet. [mm]
    rates : Rates
        The shop's rates.
    offer : Offer
        What the user decided.
    levers : Levers
        Factors on the inputs.
    """

    work: Work
    material: Material
    thickness_mm: float
    rates: Rates
    offer: Offer
    levers: Levers = field(default_factory=Levers)

    @property
    def machine_rate(self) -> Decimal:
        """Money for an hour of the machine."""
        return Decimal(self.rates.machine_per_hour) * self.levers.machine_rate

    @property
    def labour_rate(self) -> Decimal:
        """Money for an hour of work by hand."""
        return Decimal(self.rates.labour_per_hour) * self.levers.labour_rate

    @property
    def sheet_price(self) -> Decimal | None:
        """Money for a square metre of the sheet; None where the rates have no price for it."""
        for entry in self.rates.sheet_prices:
            same = abs(entry.thickness_mm - self.thickness_mm) < 0.05
            if entry.material == self.material.key and same:
                return Decimal(entry.price_per_m2) * self.levers.sheet_price
        return None

    @property
    def step(self) -> Decimal:
        """What money is rounded to."""
        return Decimal(self.rates.smallest_amount)
