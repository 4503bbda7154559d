"""How warm the body of the cutter gets: a fin in a holder, cooled by air, warmed by chip and edge.

Terms: *conductance* is heat flow a kelvin. The cutter is a fin that sticks out of a holder at
room temperature (a warm collet would make it hotter: the model errs to the cool side there) and is
cooled along its length. A fresh chip slides along the edge for a tenth of a millisecond and warms
it by contact; the flank adds its rubbing. SI units.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from core.cutting.values import Array, Values

CARBIDE_W_MK, CARBIDE_J_M3K = 85.0, 14900.0 * 230.0
"""Conductivity and heat capacity of cemented carbide; textbook, from memory."""

FLUTED_AREA, FLUTED_RIM = 0.6, 1.5
"""Section and circumference of the fluted part beside a plain rod's; estimates."""

TIME_SHARE = 0.72
"""Single time constant over the slowest of the fin; tests/studies/heat_time_constant.py."""

AIR_W_MK, AIR_M2_S, AIR_PRANDTL = 0.0265, 1.6e-5, 0.71
"""Conductivity, viscosity and Prandtl number of air at about 30 C; textbook, from memory."""

CONTACT_LENGTH, CHIP_COMPRESSION = 2.5, 1.5
"""Chip contact on the edge / chip thickness, cutting speed / chip speed; estimates."""


def air_film_w_m2k(diameter_m: Values, turns_s: Values, air_speed_m_s: Values) -> Array:
    """Return the film coefficient of a spinning cutter, in still air or under a blast.

    Equation: spinning: Nu = 0.133 Re^(2/3) Pr^(1/3), Re = surface speed D / nu; cross flow:
    Churchill and Bernstein; together (Nu_1^3 + Nu_2^3)^(1/3); h = Nu k / D.

    Parameters
    ----------
    diameter_m, turns_s, air_speed_m_s : float or array
        Diameter D, revolutions a second, speed of the blast (0: none). [m], [1/s], [m/s]

    Returns
    -------
    array
        Film coefficient h. [W/(m2 K)]

    Examples
    --------
    >>> np.round(air_film_w_m2k(0.006, 300.0, np.array([0.0, 30.0]))).tolist()
    [86.0, 256.0]

    References
    ----------
    Textbook correlations from memory, no source seen; the cubic blend is an estimate.
    """
    diameter = np.asarray(diameter_m, np.float64)
    third = AIR_PRANDTL ** (1.0 / 3.0)
    spin = np.pi * diameter * turns_s * diameter / AIR_M2_S
    cross = np.asarray(air_speed_m_s, np.float64) * diameter / AIR_M2_S
    spinning = 0.133 * spin ** (2.0 / 3.0) * third
    laminar = 0.62 * np.sqrt(cross) * third / (1.0 + (0.4 / AIR_PRANDTL) ** (2.0 / 3.0)) ** 0.25
    blown = np.where(cross > 0.0, 0.3 + laminar * (1.0 + (cross / 282000.0) ** 0.625) ** 0.8, 0.0)
    return np.asarray(np.cbrt(spinning**3 + blown**3) * AIR_W_MK / diameter)


def fin_conductance_w_k(diameter_m: Values, stick_out_m: Values, film_w_m2k: Values) -> Array:
    """Return the conductance from the tip of a cutter to room temperature.

    Equation: G = k A m / tanh(m L), m = sqrt(h P / (k A)).

    Parameters
    ----------
    diameter_m, stick_out_m, film_w_m2k : float or array
        Diameter D, stick-out L, film coefficient h. [m], [m], [W/(m2 K)]

    Returns
    -------
    array
        G. [W/K]

    Examples
    --------
    >>> np.round(fin_conductance_w_k(0.006, 0.025, np.array([86.5, 256.0])), 4).tolist()
    [0.0768, 0.1083]

    References
    ----------
    Fin with a base at ambient, heated at the tip: textbook, from memory; finite differences in
    tests/published/test_heat_conduction.py.
    """
    area, rim = _section(diameter_m)
    slope = np.sqrt(film_w_m2k * rim / (CARBIDE_W_MK * area))
    return np.asarray(CARBIDE_W_MK * area * slope / np.tanh(slope * stick_out_m))


def time_constant_s(diameter_m: Values, stick_out_m: Values, film_w_m2k: Values) -> Array:
    """Return the time constant with which a cutter warms up and cools down.

    Equation: tau = 0.72 / (k (pi / 2 L)^2 / (rho c) + h P / (rho c A)): 0.72 times the slowest.

    Parameters
    ----------
    diameter_m, stick_out_m, film_w_m2k : float or array
        As in `fin_conductance_w_k`. [m], [m], [W/(m2 K)]

    Returns
    -------
    array
        tau. [s]

    Notes
    -----
    One exponential for a body with many: against the whole fin it errs by up to 15 % of the final
    rise at first, by 9 % after 2 s and by 4 % after 5 s.

    Examples
    --------
    >>> np.round(time_constant_s(0.006, 0.025, np.array([86.0, 256.0])), 1).tolist()
    [5.2, 3.2]

    References
    ----------
    Derived; the share 0.72 is fitted to finite differences (tests/studies/heat_time_constant.py).
    """
    area, rim = _section(diameter_m)
    along = CARBIDE_W_MK / CARBIDE_J_M3K * (math.pi / 2.0 / np.asarray(stick_out_m)) ** 2
    return np.asarray(TIME_SHARE / (along + film_w_m2k * rim / (CARBIDE_J_M3K * area)))


def contact_conductance_w_k(
    chip_m: Values,
    depth_m: Values,
    duty: Values,
    cutting_speed_m_s: Values,
    effusivity_j_m2ks05: Values,
) -> Array:
    """Return the conductance between fresh chips and the cutter.

    Equation: G = duty a_p 2 e sqrt(l_c v_chip / pi), l_c = 2.5 h, v_chip = v_c / 1.5.

    Parameters
    ----------
    chip_m, depth_m : float or array
        Mean chip thickness h and axial depth a_p. [m]
    duty : float or array
        Share of the time in which an edge cuts: edges times engagement angle / 2 pi.
    cutting_speed_m_s : float or array
        Cutting speed v_c. [m/s]
    effusivity_j_m2ks05 : float or array
        e of the plastic; carbide's is 30 times larger and counts as infinite. [J/(m2 K s^0.5)]

    Returns
    -------
    array
        G. [W/K]

    Examples
    --------
    Slot, D 6 mm, 18 000 rpm, h 0.21 mm, cast acrylic:

    >>> round(float(contact_conductance_w_k(0.21e-3, 0.006, 0.5, 5.655, 572.6)), 3)
    0.086

    References
    ----------
    Half-space at the chip's temperature against an isothermal cutter, derived; 1-D finite
    differences agree within 0.6 % (tests/published). The two lengths are estimates.
    """
    chip_speed = np.asarray(cutting_speed_m_s, np.float64) / CHIP_COMPRESSION
    root = np.sqrt(CONTACT_LENGTH * np.asarray(chip_m, np.float64) * chip_speed / math.pi)
    return np.asarray(duty * np.asarray(depth_m) * 2.0 * effusivity_j_m2ks05 * root)


def _section(diameter_m: Values) -> tuple[Array, Array]:
    """Return section and circumference of the fluted part. [m2], [m]."""
    diameter = np.asarray(diameter_m, np.float64)
    return FLUTED_AREA * math.pi * diameter**2 / 4.0, FLUTED_RIM * math.pi * diameter
