"""The coefficients of the heat model that no source gives: one table, with how far each may be off.

Most of them are estimates. That is why a margin comes as a band, why it is called "not calibrated
in this shop", and why an uncalibrated heat limit never stops a plan. What belongs to a material
(K_tc, K_te and their spread) stands on its card on the shelf.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from core.job import Air
from core.library.records import Helix

if TYPE_CHECKING:
    from core.library.records import HeatCoefficients


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its spread.

    Parameters
    ----------
    value : float
        Nominal value, in the unit that its name in `Estimates` ends in.
    spread : float
        Standard deviation of its logarithm, or of itself where `absolute`.
    basis : str
        How it came to be known.
    absolute : bool
        True where the value is added, not multiplied.
    """

    value: float
    spread: float
    basis: str
    absolute: bool = False


@dataclass(frozen=True, slots=True)
class Estimates:
    """Coefficients of the heat model apart from those on a material's card.

    Parameters
    ----------
    wall_share, chip_share, cutter_share : Estimate
        Shares of the edge work (K_te) that a thick chip leaves in the wall, in the chip, and in the
        cutter; brought to a sum of 1.
    thin_chip_mm : float
        Chip thickness at which half of the chip's share no longer leaves with it: three quarters
        of the lost part go to the wall, one to the cutter.
    pulse_depth_mm : Estimate
        Depth over which the heat of the last edge is averaged.
    wall_contact_mm : Estimate
        The wall counts as touched while the cutter is nearer than this (spring-back).
    fin, contact, recut, heat_capacity : Estimate
        Factors on the conductance of the cutter's body, on that between chip and cutter, on the
        share of chips cut again, and on rho c.
    softening_k, chip_softening_k : Estimate
        Shifts of the softening temperature, and of the chip's above it.
    recut_heat : float
        Heat of cutting a chip again over that of cutting it first.
    recut_deeper : float
        How much the recut share grows for each diameter of depth beyond the first.
    most_recut : float
        The recut share is held below this.
    dwell_turns, dwell_share : float
        Full rubbing lasts this many revolutions after a stop; then this share of it goes on.
    edge_radius_um : float
        Edge radius at which the K_te of a card holds; its ploughing part grows with the radius.
    recut_none, recut_suction, recut_blast : float
        Recut share of an upshear cutter in a shallow slot, by air.
    straight_factor, downshear_factor : float
        Factors on the recut share by helix.
    blast_m_s : float
        Speed of the air of a blast on the cutter. [m/s]
    rack_film_w_m2k : float
        Film coefficient of a cutter that hangs in the rack.
    """

    wall_share: Estimate = Estimate(0.30, 0.50, "estimate")
    chip_share: Estimate = Estimate(0.60, 0.25, "estimate")
    cutter_share: Estimate = Estimate(0.10, 0.49, "friction part of K_te; band 0.05 to 0.25")
    thin_chip_mm: float = 0.010
    pulse_depth_mm: Estimate = Estimate(0.020, 0.40, "estimate")
    wall_contact_mm: Estimate = Estimate(0.002, 0.50, "estimate")
    fin: Estimate = Estimate(1.0, 0.30, "fin and air film, textbook from memory")
    contact: Estimate = Estimate(1.0, 0.30, "two estimated lengths, each under a square root")
    recut: Estimate = Estimate(1.0, 0.60, "estimate")
    heat_capacity: Estimate = Estimate(1.0, 0.07, "spread of published values")
    softening_k: Estimate = Estimate(0.0, 6.0, "spread of published values", absolute=True)
    chip_softening_k: Estimate = Estimate(
        0.0, 5.5, "relaxation in the milliseconds of contact; band of +7 to +25 K", absolute=True
    )
    recut_heat: float = 0.6
    recut_deeper: float = 0.6
    most_recut: float = 0.8
    dwell_turns: float = 10.0
    dwell_share: float = 0.2
    edge_radius_um: float = 5.0
    recut_none: float = 0.35
    recut_suction: float = 0.15
    recut_blast: float = 0.05
    straight_factor: float = 1.3
    downshear_factor: float = 1.8
    blast_m_s: float = 30.0
    rack_film_w_m2k: float = 10.0

    def recut_share(self, air: Air) -> float:
        """Return the recut share of an upshear cutter in a shallow slot."""
        return {
            Air.NONE: self.recut_none,
            Air.SUCTION: self.recut_suction,
            Air.BLAST: self.recut_blast,
        }[air]

    def helix_factor(self, helix: Helix) -> float:
        """Return the factor on the recut share: an upshear flute lifts the chip out."""
        return {
            Helix.UPSHEAR: 1.0,
            Helix.STRAIGHT: self.straight_factor,
            Helix.DOWNSHEAR: self.downshear_factor,
        }[helix]

    def air_speed_m_s(self, air: Air) -> float:
        """Return the speed of the air on the cutter. [m/s]."""
        return self.blast_m_s if air is Air.BLAST else 0.0


ESTIMATES = Estimates()
"""What ships."""


def in_this_shop(estimates: Estimates, heat: HeatCoefficients | None) -> Estimates:
    """Return the estimates with what the shop's own cuts made of them, where a card carries it."""
    if heat is None or heat.shop is None:
        return estimates
    fitted: dict[str, Any] = {
        one.name: Estimate(one.factor, one.log_sd, heat.shop.said) for one in heat.shop.estimates
    }
    return replace(estimates, **fitted)
