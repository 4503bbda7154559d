"""Chip, wall and cutter temperature from conditions and coefficients, for many of both at once.

Terms: *conditions* are what a pass does (chip thickness, contact time, air ...), one value a pass;
*coefficients* are what we know of material and process, one value or one a draw. Every formula here
broadcasts conditions of shape (p, 1) against draws of shape (d,), so that the nominal answer, the
band and "what if this were away" are the same code. A *thinness* is 1 / (h + h_th): a thick chip
carries its share of the edge work away, a thin one leaves it behind. SI units.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from core.heat.conduction import flux_rise_k, pass_sum_factor

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.cutting.values import Values
    from core.heat.estimates import Estimates
    from core.library.records import Material


@dataclass(frozen=True, eq=False, slots=True)
class Coefficients:
    """What is known of material and process: floats, or one value a draw.

    Parameters
    ----------
    cutting_pa, edge_j_m2 : Values
        K_tc and K_te. [N/m2], [J/m2]
    heat_capacity_j_m3k, conductivity_w_mk : Values
        rho c and k. [J/(m3 K)], [W/(m K)]
    wall_share, chip_share, cutter_share : Values
        Shares of the edge work for a thick chip; their sum is 1.
    pulse_depth_m : Values
        Depth over which the last pulse is averaged. [m]
    contact_log : Values
        Logarithm of the factor on the spring-back.
    fin, chip_contact, recut : Values
        Factors on the two conductances of the cutter and on the recut share.
    softening_c, chip_softening_c : Values
        Where wall and cutter's surroundings soften, and where chips weld. [C]
    estimates : Estimates
        The coefficients that are not drawn.
    """

    cutting_pa: Values
    edge_j_m2: Values
    heat_capacity_j_m3k: Values
    conductivity_w_mk: float
    wall_share: Values
    chip_share: Values
    cutter_share: Values
    pulse_depth_m: Values
    contact_log: Values
    fin: Values
    chip_contact: Values
    recut: Values
    softening_c: Values
    chip_softening_c: Values
    estimates: Estimates


@dataclass(frozen=True, eq=False, slots=True)
class Touch:
    """How the cutter touches a wall; one value a place.

    Parameters
    ----------
    thinness_per_m : array
        Of the chip while the place is touched. [1/m]
    effort : array
        1, or 0.5 where the edge only rubs.
    contact_s, contact_power : array
        Contact time, and the power of the spring-back that it grows with. [s]
    dwell_s : array
        Longest contact with full rubbing. [s]
    wedge : array
        Factor of an outside corner.
    edge_rate_per_s : array
        Edges that pass in a second. [1/s]
    wear : array
        K_te over that of the fresh edge.
    """

    thinness_per_m: NDArray[np.float64]
    effort: NDArray[np.float64]
    contact_s: NDArray[np.float64]
    contact_power: NDArray[np.float64]
    dwell_s: NDArray[np.float64]
    wedge: NDArray[np.float64]
    edge_rate_per_s: NDArray[np.float64]
    wear: NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Conditions:
    """What passes do; arrays of shape (p,), or (p, 1) to meet draws.

    Parameters
    ----------
    chip_thinness_per_m : array
        Of the chip that 95 % of the volume is cooler than. [1/m]
    recut_share : array
        Share of chips cut again.
    wear : array
        K_te over that of the fresh edge.
    wall : Touch
        The hottest place of the wall.
    wall_weight : array
        1 where the wall stays on the part; 0 where a later pass cuts it away, which is then not
        judged: a touch of milliseconds heats a tenth of the stock that is left.
    contact_per_effusivity : array
        Conductance between chips and cutter over the effusivity of the plastic.
    contact_thinness_per_m : array
        Mean over that conductance. [1/m]
    edge_m2_s : array
        Power of the edge work over K_te: surface swept by the edges in a second. [m2/s]
    edge_thinness_per_m : array
        Mean over that work. [1/m]
    fin_w_k : array
        Conductance of the cutter's body. [W/K]
    warmed : array
        Rise of the cutter in the order of work over its steady rise.
    room_c : float
        Room temperature. [C]
    """

    chip_thinness_per_m: NDArray[np.float64]
    recut_share: NDArray[np.float64]
    wear: NDArray[np.float64]
    wall: Touch
    wall_weight: NDArray[np.float64]
    contact_per_effusivity: NDArray[np.float64]
    contact_thinness_per_m: NDArray[np.float64]
    edge_m2_s: NDArray[np.float64]
    edge_thinness_per_m: NDArray[np.float64]
    fin_w_k: NDArray[np.float64]
    warmed: NDArray[np.float64]
    room_c: float


LOST_TO_WALL = 0.75
"""Part of what a thin chip leaves behind that goes to the wall, an estimate; the rest: cutter."""

Record = TypeVar("Record", Touch, Conditions)


def taken(record: Record, index: object) -> Record:
    """Return a record with every array indexed: rows chosen, or made columns to meet draws."""
    changed: dict[str, Any] = {}
    for item in fields(record):
        value = getattr(record, item.name)
        if isinstance(value, np.ndarray):
            changed[item.name] = value[index]  # type: ignore[call-overload]
        elif isinstance(value, Touch):
            changed[item.name] = taken(value, index)
    return replace(record, **changed)


def nominal(material: Material, estimates: Estimates) -> Coefficients:
    """Return the nominal coefficients of a material that has heat coefficients."""
    heat = material.heat
    assert heat is not None, "the caller leaves out what is not modelled"
    e = estimates
    total = e.wall_share.value + e.chip_share.value + e.cutter_share.value
    return Coefficients(
        cutting_pa=heat.specific_cutting_force_n_mm2 * 1e6,
        edge_j_m2=heat.edge_force_n_mm * 1e3,
        heat_capacity_j_m3k=(
            material.density_kg_m3 * material.specific_heat_j_kgk * e.heat_capacity.value
        ),
        conductivity_w_mk=material.thermal_conductivity_w_mk,
        wall_share=e.wall_share.value / total,
        chip_share=e.chip_share.value / total,
        cutter_share=e.cutter_share.value / total,
        pulse_depth_m=e.pulse_depth_mm.value * 1e-3,
        contact_log=0.0,
        fin=e.fin.value,
        chip_contact=e.contact.value,
        recut=e.recut.value,
        softening_c=material.softening_temperature_c + e.softening_k.value,
        chip_softening_c=heat.chip_softening_temperature_c + e.chip_softening_k.value,
        estimates=estimates,
    )


def lost_share(coefficients: Coefficients, thinness_per_m: Values) -> Values:
    """Return the part of the edge work that a thin chip no longer carries away.

    Equation: lost = s_chip h_th / (h + h_th)
    """
    thin_m = coefficients.estimates.thin_chip_mm * 1e-3
    return coefficients.chip_share * thin_m * thinness_per_m


def edge_shares(
    coefficients: Coefficients, thinness_per_m: Values
) -> tuple[Values, Values, Values]:
    """Return the shares of the edge work that go into chip, wall and cutter.

    Equation: s_chip - lost, s_wall + 3/4 lost, chi_e + 1/4 lost, lost of `lost_share`.

    Returns
    -------
    (Values, Values, Values)
        Chip, wall, cutter; their sum is 1 for every chip thickness.

    References
    ----------
    Estimate: the split for thick chips and the scale h_th have no source.
    """
    c, lost = coefficients, lost_share(coefficients, thinness_per_m)
    wall, cutter = LOST_TO_WALL * lost, (1.0 - LOST_TO_WALL) * lost
    return c.chip_share - lost, c.wall_share + wall, c.cutter_share + cutter


def repeats(coefficients: Coefficients, recut_share: Values) -> Values:
    """Return the heat of chips that are cut again and again, over that of cutting them once.

    Equation: 1 + 0.6 r / (1 - r): a geometric series, each time with 0.6 of the heat.
    """
    c = coefficients
    again = np.minimum(recut_share * c.recut, c.estimates.most_recut)
    return 1.0 + c.estimates.recut_heat * again / (1.0 - again)


def chip_rise_k(
    coefficients: Coefficients, thinness_per_m: Values, wear: Values, repeated: Values
) -> Values:
    """Return how much a chip warms up.

    Equation: dT = (K_tc + s_c K_te / h) / (rho c) times the repeats, s_c / h = s_chip / (h + h_th).

    Parameters
    ----------
    coefficients : Coefficients
        K_tc, K_te, rho c and s_chip.
    thinness_per_m : Values
        1 / (h + h_th). [1/m]
    wear, repeated : Values
        K_te over that of the fresh edge; factor of `repeats`.

    Returns
    -------
    Values
        dT. [K]

    Notes
    -----
    The chip keeps all heat of shearing: into the wall goes about 1e-4 of it (Weiner's fraction at
    0.2 mm and 5.65 m/s), into the cutter about 1 %.

    References
    ----------
    Energy balance, derived; shares and recut share are estimates.
    """
    c = coefficients
    edge = c.chip_share * c.edge_j_m2 * (wear * thinness_per_m)
    return (c.cutting_pa + edge) / c.heat_capacity_j_m3k * repeated


def wall_rise_k(coefficients: Coefficients, touch: Touch) -> Values:
    """Return how much the wall warms up: what earlier edges left, and the last one.

    Equation: dT = W f(N) 2 E N' sqrt(t / pi) / e + E / (rho c d), E = s_w K_te the energy an edge
    leaves, N' edges a second, t the contact time, N = N' t, f of `pass_sum_factor`; in a dwell the
    root of t grows fully up to t_d and by a fifth of the rest.

    Returns
    -------
    Values
        dT. [K]

    References
    ----------
    Derived from `flux_rise_k`; depth d, spring-back and the shares are estimates.
    """
    c, e = coefficients, coefficients.estimates
    share = c.wall_share + LOST_TO_WALL * lost_share(c, touch.thinness_per_m)
    energy = share * c.edge_j_m2 * (touch.wear * touch.effort)
    time = touch.contact_s * np.exp(touch.contact_power * c.contact_log)
    root = np.sqrt(np.minimum(time, touch.dwell_s)) * (1.0 - e.dwell_share)
    lasting = (root + e.dwell_share * np.sqrt(time)) ** 2
    effusivity = np.sqrt(c.conductivity_w_mk * c.heat_capacity_j_m3k)
    rate = touch.edge_rate_per_s
    before = flux_rise_k(energy * rate, lasting, effusivity) * pass_sum_factor(time * rate)
    return touch.wedge * before + energy / (c.heat_capacity_j_m3k * c.pulse_depth_m)


def contact_w_k(coefficients: Coefficients, conditions: Conditions) -> Values:
    """Return the conductance between chips and cutter; see `contact_conductance_w_k`. [W/K]."""
    c = coefficients
    effusivity = np.sqrt(c.conductivity_w_mk * c.heat_capacity_j_m3k)
    return conditions.contact_per_effusivity * effusivity * c.chip_contact


def cutter_steady_k(coefficients: Coefficients, conditions: Conditions, repeated: Values) -> Values:
    """Return how much the cutter's body would warm up if the pass went on.

    Equation: dT = (G_contact dT_chip + s_e P_edge) / (G_contact + G_fin)

    Returns
    -------
    Values
        dT, never above the chip's but for the edge work. [K]

    References
    ----------
    Heat balance, derived; see `contact_conductance_w_k` and `fin_conductance_w_k`.
    """
    c, contact = coefficients, contact_w_k(coefficients, conditions)
    chip = chip_rise_k(c, conditions.contact_thinness_per_m, conditions.wear, repeated)
    lost = (1.0 - LOST_TO_WALL) * lost_share(c, conditions.edge_thinness_per_m)
    edge = (c.cutter_share + lost) * c.edge_j_m2 * (conditions.wear * conditions.edge_m2_s)
    return (contact * chip + edge) / (contact + conditions.fin_w_k * c.fin)


def rises_k(coefficients: Coefficients, conditions: Conditions) -> tuple[Values, Values, Values]:
    """Return how much chip and wall warm up, and the cutter if the pass went on. [K]."""
    c = coefficients
    repeated = repeats(c, conditions.recut_share)
    return (
        chip_rise_k(c, conditions.chip_thinness_per_m, conditions.wear, repeated),
        wall_rise_k(c, conditions.wall),
        cutter_steady_k(c, conditions, repeated),
    )


def margins_k(coefficients: Coefficients, conditions: Conditions) -> tuple[Values, Values, Values]:
    """Return the distances of chip, wall and cutter from softening. [K]."""
    chip, wall, cutter = rises_k(coefficients, conditions)
    near = coefficients.softening_c - conditions.room_c
    return (
        coefficients.chip_softening_c - conditions.room_c - chip,
        near - conditions.wall_weight * wall,
        near - conditions.warmed * cutter,
    )
