"""Where an edge rubs instead of cutting, and what run-out does to the chip loads.

Terms: an edge of radius r_e cannot cut a chip thinner than h_min; it then ploughs and heats.
Run-out is the radial offset of each edge.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.values import Array, Values

if TYPE_CHECKING:
    from collections.abc import Sequence

RUBBING_RATIO = 0.33
"""h_min / r_e, measured on PMMA at an edge radius of 48 um (James et al. 2014, J. Manuf. Sci. Eng.,
doi 10.1115/1.4028319, abstract); 0.14 to 0.43 in other materials (Cheng et al. 2018, Int. J. Adv.
Manuf. Technol. 97, 3119, abstract)."""

THIN_FINISH_RATIO = 0.9
"""True over circular h_max in a finish pass whose feed is not small against a_e."""


def finish_chip_ratio(feed_per_tooth_mm: Values, radial_width_mm: Values) -> Array:
    """Return the ratio of the true to the circular greatest chip: 0.9 for a coarse finish feed.

    Equation: 0.9 where f_z / a_e > 0.5, else 1.

    Parameters
    ----------
    feed_per_tooth_mm : float or array
        Feed per tooth f_z. [mm]
    radial_width_mm : float or array
        Radial width a_e. [mm]

    Returns
    -------
    array
        Ratio to multiply h_max with where rubbing is judged. [1]

    Notes
    -----
    A step, from a simulation of the true paths with the free surface (a_e 0.5 mm, D 6 mm): 0.914
    up and 0.940 down at f_z 0.33 mm, 0.975 at 0.1 mm.

    Examples
    --------
    >>> float(finish_chip_ratio(0.33, 0.5))
    0.9

    References
    ----------
    Derived by simulation; see tests/published/test_chip.py.
    """
    coarse = np.asarray(feed_per_tooth_mm) > 0.5 * np.asarray(radial_width_mm)
    return np.where(coarse, THIN_FINISH_RATIO, 1.0)


def rubbing_thickness_mm(edge_radius_um: Values, ratio: float = RUBBING_RATIO) -> Array:
    """Return the least chip thickness h_min that an edge can cut; below it rubs.

    Equation: h_min = k r_e.

    Parameters
    ----------
    edge_radius_um : float or array
        Edge radius r_e. [um]
    ratio : float
        k. [1]

    Returns
    -------
    array
        h_min. [mm]

    Notes
    -----
    k was measured at 48 um; edges of 3 to 30 um are an extrapolation.

    Examples
    --------
    >>> round(float(rubbing_thickness_mm(5.0)), 5)
    0.00165

    References
    ----------
    See `RUBBING_RATIO`.
    """
    return np.asarray(ratio * edge_radius_um / 1000.0)


def rubbing_share(
    feed_per_tooth_mm: Values, engagement_rad: Values, rubbing_thickness_mm: Values
) -> Array:
    """Return the share of the engaged arc on which the edge rubs.

    Equation: with x = asin(h_min / f_z): (min(x, phi_e) + max(phi_e - pi + x, 0)) / phi_e; 1 where
    f_z <= h_min.

    Parameters
    ----------
    feed_per_tooth_mm : float or array
        Feed per tooth f_z. [mm]
    engagement_rad : float or array
        Engagement angle phi_e, above 0. [rad]
    rubbing_thickness_mm : float or array
        Least chip thickness h_min. [mm]

    Returns
    -------
    array
        Share, 0 to 1.

    Notes
    -----
    Circular model.

    Examples
    --------
    >>> slot = rubbing_share(0.03, math.pi, rubbing_thickness_mm(5.0))
    >>> round(float(slot), 4)
    0.035

    References
    ----------
    Derived.
    """
    ratio = rubbing_thickness_mm / np.maximum(feed_per_tooth_mm, 1e-12)
    turn = np.arcsin(np.minimum(ratio, 1.0))
    behind = np.maximum(np.asarray(engagement_rad) - (math.pi - turn), 0.0)
    share = (np.minimum(turn, engagement_rad) + behind) / engagement_rad
    return np.where(ratio >= 1.0, 1.0, share)


def chip_loads_with_run_out_mm(
    feed_per_tooth_mm: float, edge_offsets_mm: Sequence[float]
) -> tuple[float, ...]:
    """Return what each edge really cuts when the edges stand at unequal radii.

    Equation: edge j stands at j f_z + e_j ahead; it cuts what is left before the farthest earlier
    one, or nothing. Two edges at +-e: f_z +- 2 e; the second idles from 2 e >= f_z.

    Parameters
    ----------
    feed_per_tooth_mm : float
        Feed per tooth f_z. [mm]
    edge_offsets_mm : sequence of float
        Radial offset e of each edge, in order of cutting. [mm]

    Returns
    -------
    tuple of float
        Chip load of each edge. [mm]

    Notes
    -----
    Straight ahead (phi = 90 degrees), where the chip is thickest.

    Examples
    --------
    >>> [round(load, 3) for load in chip_loads_with_run_out_mm(0.03, (0.01, -0.01))]
    [0.05, 0.01]

    References
    ----------
    Derived.
    """
    count = len(edge_offsets_mm)
    # one turn ahead of time fills in what earlier edges have left
    tips = [k * feed_per_tooth_mm + edge_offsets_mm[k % count] for k in range(2 * count)]
    return tuple(max(tips[k] - max(tips[k - count : k]), 0.0) for k in range(count, 2 * count))
