"""How a wall warms up when a cutter rubs along it: conduction into plastic, in closed form.

Terms: the *effusivity* e = sqrt(k rho c) says how little a surface warms under a given flux. A
*pulse* is what one edge leaves behind as it passes. The plastic conducts so slowly (0.1 mm2/s)
that during a pulse heat goes straight into the wall and not along it: the moving strip of Carslaw
and Jaeger differs by 1.4 % at a Peclet number of 20, and a router works at 100 and more. SI units.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from core.cutting.values import Array, Values

ZETA_HALF = 1.4603545088
"""-zeta(1/2): sum of m^-1/2 for m = 1 to N tends to 2 sqrt(N) - 1.4603545."""


def effusivity_j_m2ks05(
    thermal_conductivity_w_mk: Values, density_kg_m3: Values, specific_heat_j_kgk: Values
) -> Array:
    """Return the effusivity e of a material.

    Equation: e = sqrt(k rho c)

    Parameters
    ----------
    thermal_conductivity_w_mk, density_kg_m3, specific_heat_j_kgk : float or array
        k, rho, c. [W/(m K)], [kg/m3], [J/(kg K)]

    Returns
    -------
    array
        e. [J/(m2 K s^0.5)]

    Examples
    --------
    PMMA of EN 12524:

    >>> round(float(effusivity_j_m2ks05(0.18, 1180.0, 1500.0)), 1)
    564.4

    References
    ----------
    Carslaw and Jaeger, Conduction of Heat in Solids; from memory.
    """
    product = np.asarray(thermal_conductivity_w_mk, np.float64) * density_kg_m3
    return np.asarray(np.sqrt(product * specific_heat_j_kgk))


def flux_rise_k(flux_w_m2: Values, time_s: Values, effusivity_j_m2ks05: Values) -> Array:
    """Return the rise of a surface under a constant flux.

    Equation: dT = 2 q sqrt(t / pi) / e

    Parameters
    ----------
    flux_w_m2 : float or array
        Flux q into the surface since t = 0. [W/m2]
    time_s : float or array
        Time t, 0 or more. [s]
    effusivity_j_m2ks05 : float or array
        e of the material. [J/(m2 K s^0.5)]

    Returns
    -------
    array
        dT. [K]

    Notes
    -----
    Holds while the heated depth sqrt(4 alpha t) is small beside the thickness behind the wall.

    Examples
    --------
    >>> round(float(flux_rise_k(50e3, 0.1, effusivity_j_m2ks05(0.18, 1180.0, 1500.0))), 3)
    31.608

    References
    ----------
    Carslaw and Jaeger, semi-infinite solid; from memory. Held against finite differences in
    tests/published/test_heat_conduction.py.
    """
    time = np.asarray(time_s, np.float64)
    return np.asarray(2.0 * flux_w_m2 * np.sqrt(time / math.pi) / effusivity_j_m2ks05)


def pulses_rise_k(
    energy_j_m2: float,
    pulse_s: float,
    period_s: float,
    count: int,
    effusivity_j_m2ks05: float,
    after_s: float = 0.0,
) -> float:
    """Return the rise of a surface after some equal pulses, exactly.

    Equation: dT = (2 q / (e sqrt(pi))) sum over m of (sqrt(t_m) - sqrt(t_m - t_p)), q = E / t_p,
    t_m = t_after + t_p + m times the period.

    Parameters
    ----------
    energy_j_m2, pulse_s, period_s : float
        Energy E of one pulse, its length t_p, and the time from one to the next. [J/m2], [s], [s]
    count : int
        Number of pulses.
    effusivity_j_m2ks05 : float
        e of the material. [J/(m2 K s^0.5)]
    after_s : float
        Time since the end of the last pulse. [s]

    Returns
    -------
    float
        dT. [K]

    Examples
    --------
    >>> round(pulses_rise_k(600.0, 100e-6, 1e-3, 10, 572.6), 1)
    205.3

    References
    ----------
    Superposition of `flux_rise_k`, derived; the reference that `pass_sum_factor` is held against.
    """
    since = after_s + pulse_s + period_s * np.arange(count)
    roots = np.sqrt(since) - np.sqrt(since - pulse_s)
    flux = energy_j_m2 / pulse_s
    return float(2.0 * flux / (effusivity_j_m2ks05 * math.sqrt(math.pi)) * roots.sum())


def pass_sum_factor(passes: Values) -> Array:
    """Return by how much the mean flux overrates what N edges leave just before the next one.

    Equation: f = max(0, 1 - 0.7302 / sqrt(N)), from sum m^-1/2 = 2 sqrt(N) + zeta(1/2) + ...

    Parameters
    ----------
    passes : float or array
        Number N of edges that pass during the contact, not necessarily whole.

    Returns
    -------
    array
        Factor on `flux_rise_k` of the mean flux, 0 to 1.

    Notes
    -----
    Within 4 % of the sum from 9 passes on; 0 below half a pass, where nothing is left from before.

    Examples
    --------
    >>> np.round(pass_sum_factor(np.array([0.4, 9.0, 300.0])), 4).tolist()
    [0.0, 0.7566, 0.9578]

    References
    ----------
    Euler and Maclaurin, derived.
    """
    count = np.maximum(np.asarray(passes, np.float64), 1e-9)
    return np.maximum(1.0 - ZETA_HALF / 2.0 / np.sqrt(count), 0.0)


def wedge_factor(turn_rad: Values) -> Array:
    """Return how much hotter the tip of an outside corner gets than a flat wall.

    Equation: W = pi / (pi - b): the heat of both faces has only the angle pi - b to go into.

    Parameters
    ----------
    turn_rad : float or array
        Turn b of the wall at the corner, 0 (flat) to below pi. [rad]

    Returns
    -------
    array
        W, 1 for a flat wall and 2 for a square corner.

    Notes
    -----
    Exact for 0 and 90 degrees (images) and at the tip of any wedge under equal flux on both faces.
    Tips sharper than 0.2 rad count as 0.2 rad.

    Examples
    --------
    >>> wedge_factor(np.array([0.0, math.pi / 2.0])).tolist()
    [1.0, 2.0]

    References
    ----------
    Derived; 2-D finite differences gave 2.0004 for 90 degrees (tests/published).
    """
    return math.pi / np.maximum(math.pi - np.abs(np.asarray(turn_rad, np.float64)), 0.2)
