"""How far the cutter bends away: a stepped cantilever on a machine that yields as well."""

from __future__ import annotations

import math

from core.cutting.section import one_edge_section

CARBIDE_MODULUS_N_MM2 = 580e3
"""Young's modulus of cemented carbide, from memory; 530 to 640 GPa by grade."""

EQUIVALENT_DIAMETER_RATIO = 0.8
"""Fluted part of two and four edges (Kops and Vo 1990, CIRP Annals, abstract)."""


def equivalent_diameter_ratio(tooth_count: int) -> float:
    """Return the diameter of the round bar as stiff as the fluted part, over D.

    Equation: 0.81 for one edge, from its section averaged by the helix; else 0.8.

    Examples
    --------
    >>> round(equivalent_diameter_ratio(1), 2), equivalent_diameter_ratio(2)
    (0.81, 0.8)
    """
    return one_edge_section().mean_ratio if tooth_count == 1 else EQUIVALENT_DIAMETER_RATIO


def second_moment_mm4(diameter_mm: float) -> float:
    """Return the second moment of area of a round bar.

    Equation: I = pi D^4 / 64.

    Examples
    --------
    >>> round(second_moment_mm4(6.0), 4)
    63.6173
    """
    return math.pi * diameter_mm**4 / 64.0


def tip_compliance_mm_n(
    stick_out_mm: float,
    flute_length_mm: float,
    shank_diameter_mm: float,
    equivalent_diameter_mm: float,
    load_height_mm: float = 0.0,
    machine_stiffness_n_mm: float = math.inf,
    modulus_n_mm2: float = CARBIDE_MODULUS_N_MM2,
) -> float:
    """Return how far the tip moves for a newton of lateral force.

    Equation: C = [F(L_f) - F(a)] / (E I_f) + [F(L) - F(L_f)] / (E I_s) + 1 / k,
    F(x) = x^3 / 3 - a x^2 / 2.

    Parameters
    ----------
    stick_out_mm : float
        Length L from the holder to the tip. [mm]
    flute_length_mm : float
        Length L_f of the fluted part, at most L counts. [mm]
    shank_diameter_mm : float
        Diameter of the shank. [mm]
    equivalent_diameter_mm : float
        Diameter of the round bar as stiff as the fluted part. [mm]
    load_height_mm : float
        Height a of the load above the tip, within the fluted part. [mm]
    machine_stiffness_n_mm : float
        Stiffness k of spindle, holder and gantry at the tip. [N/mm]
    modulus_n_mm2 : float
        Young's modulus E. [N/mm2]

    Returns
    -------
    float
        C. [mm/N]

    Notes
    -----
    Static. A light gantry yields 2 to 10 N/um (from memory), as much as the cutter itself.

    Examples
    --------
    >>> round(1e3 * tip_compliance_mm_n(32.0, 22.0, 6.0, 4.8), 5)
    0.43468

    References
    ----------
    Unit-load method; textbook.
    """
    fluted = min(flute_length_mm, stick_out_mm)

    def bent(x: float) -> float:
        return x**3 / 3.0 - load_height_mm * x**2 / 2.0

    flute = (bent(fluted) - bent(load_height_mm)) / second_moment_mm4(equivalent_diameter_mm)
    shank = (bent(stick_out_mm) - bent(fluted)) / second_moment_mm4(shank_diameter_mm)
    return (flute + shank) / modulus_n_mm2 + 1.0 / machine_stiffness_n_mm
