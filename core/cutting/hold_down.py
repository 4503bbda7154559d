"""Whether a freed piece stays where it is: vacuum, friction and the skin under it.

Terms: *lateral* is in the plane of the sheet, *lift* along the spindle. The *skin* is the thin
floor that still joins a piece to the sheet; it holds like a web in shear. A *ratio* is what holds
over what pulls: below 1 the piece moves.
"""

from __future__ import annotations

import math

SKIN_SHEAR_RATIO = 0.3
"""Shear strength that the skin is trusted with, over the yield stress; estimate."""

VIBRATING_RATIO = 0.75
"""Kinetic over static friction, as the load-securing code has it (CTU Code of IMO, ILO and UNECE,
Annex 7, Appendix 2): what is left once the part vibrates."""


def vacuum_force_n(area_mm2: float, vacuum_kpa: float, share: float = 1.0) -> float:
    """Return the force with which the vacuum presses a piece down.

    Equation: N = dp eff A.

    Parameters
    ----------
    area_mm2 : float
        Area A of the piece, its holes taken off. [mm2]
    vacuum_kpa : float
        Pressure difference dp at the table. [kPa]
    share : float
        Share eff of it that arrives through the board. [1]

    Returns
    -------
    float
        N. [N]

    Notes
    -----
    The share is a property of board, sealing and pump: the machine file's value is an estimate
    until it is measured.

    Examples
    --------
    20 inches of mercury on 300 x 200 mm:

    >>> round(vacuum_force_n(300.0 * 200.0, 20.0 * 3.386388), 2)
    4063.67

    References
    ----------
    Definition of pressure.
    """
    return vacuum_kpa * 1e-3 * share * area_mm2


def skin_force_n(skin_mm: float, perimeter_mm: float, yield_strength_n_mm2: float) -> float:
    """Return the force that the skin round a piece takes in shear.

    Equation: F_s = 0.3 sigma_y t_s U.

    Parameters
    ----------
    skin_mm : float
        Thickness t_s of the skin that surely is there. [mm]
    perimeter_mm : float
        Length U along which it holds. [mm]
    yield_strength_n_mm2 : float
        Yield strength sigma_y. [N/mm2]

    Returns
    -------
    float
        F_s. [N]

    Notes
    -----
    The 0.3 is an estimate, on the safe side of Tresca's 0.5.

    Examples
    --------
    >>> skin_force_n(0.5, 400.0, 70.0)
    4200.0

    References
    ----------
    Estimate.
    """
    return SKIN_SHEAR_RATIO * yield_strength_n_mm2 * max(skin_mm, 0.0) * perimeter_mm


def hold_down_ratio(
    vacuum_force_n: float,
    friction_coefficient: float,
    lateral_force_n: float,
    lift_force_n: float,
    skin_force_n: float = 0.0,
) -> float:
    """Return what holds a piece against what pushes it, the lesser of sideways and upwards.

    Equation: sideways (mu (N - F_lift) + F_s) / F_lat, upwards (N + F_s) / F_lift.

    Parameters
    ----------
    vacuum_force_n : float
        N. [N]
    friction_coefficient : float
        mu between sheet and board; times `VIBRATING_RATIO` once the part vibrates. [1]
    lateral_force_n, lift_force_n : float
        F_lat, and F_lift where it is above 0 (upshear). [N]
    skin_force_n : float
        F_s. [N]

    Returns
    -------
    float
        The ratio.

    Notes
    -----
    With the peak force of a revolution 1 is enough for parts below about 0.1 kg, which follow every
    blow; with the mean force ask for 2 to 3. Friction of plastic on MDF was not found: the default
    of 0.25 stands for 0.15 to 0.45.

    Examples
    --------
    A loose piece of 100 x 100 mm under a full slot, 60 kPa of which 0.6 arrive:

    >>> held = vacuum_force_n(1e4, 60.0, 0.6)
    >>> round(hold_down_ratio(held, 0.25, 45.4, 25.9), 2)
    1.84

    References
    ----------
    Derived: Coulomb friction.
    """
    pressed = max(vacuum_force_n - max(lift_force_n, 0.0), 0.0)
    sideways = (friction_coefficient * pressed + skin_force_n) / max(lateral_force_n, 1e-9)
    upwards = (vacuum_force_n + skin_force_n) / max(lift_force_n, 1e-9)
    return min(sideways, upwards)


def smallest_loose_area_mm2(
    vacuum_kpa: float,
    share: float,
    friction_coefficient: float,
    lateral_force_n: float,
    lift_force_n: float = 0.0,
    ratio: float = 1.0,
) -> float:
    """Return the least area of a piece that may be cut free without skin or tabs.

    Equation: A = (ratio F_lat / mu + F_lift) / (dp eff), the inverse of `hold_down_ratio`.

    Parameters
    ----------
    vacuum_kpa, share : float
        dp and eff. [kPa], [1]
    friction_coefficient : float
        mu. [1]
    lateral_force_n, lift_force_n : float
        Forces of the pass that cuts it free. [N]
    ratio : float
        Wanted hold-down ratio, sideways. [1]

    Returns
    -------
    float
        A. [mm2]

    Notes
    -----
    Sideways decides as long as ratio / mu > 1.

    Examples
    --------
    >>> round(smallest_loose_area_mm2(60.0, 0.6, 0.25, 18.0))
    2000

    References
    ----------
    Derived.
    """
    needed = ratio * lateral_force_n / friction_coefficient + max(lift_force_n, 0.0)
    return needed / (vacuum_kpa * 1e-3 * share)


def friction_from_tilt(slide_angle_rad: float) -> float:
    """Return the friction coefficient from the angle at which the sheet begins to slide.

    Equation: mu = tan(angle).

    Parameters
    ----------
    slide_angle_rad : float
        Tilt of the shop's own board. [rad]

    Returns
    -------
    float
        mu. [1]

    Notes
    -----
    Static friction; the test settles what no table knows.

    Examples
    --------
    >>> round(friction_from_tilt(math.radians(14.0)), 2)
    0.25

    References
    ----------
    Textbook; tilt tests in ISO 8295 and ASTM D1894 work with a sled instead.
    """
    return math.tan(slide_angle_rad)
