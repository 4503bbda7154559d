"""Balance of the turning parts: what ISO 21940-11 allows, what it does, and the house rule.

Terms: the *grade* G is the speed of the centre of mass about the axis, in mm/s. *Headroom* is the
shop's rule never to run a holder at the speed that it was balanced for.
"""

from __future__ import annotations

import math

HEADROOM_SHARE = 0.75
"""Highest speed over balanced speed: balanced at 24 000, run 18 000; common practice, no source."""


def residual_unbalance_g_mm_kg(balance_grade_mm_s: float, spindle_speed_rpm: float) -> float:
    """Return the residual unbalance that a grade allows, for a kilogram of rotor.

    Equation: e_per = 60 000 G / (2 pi n) = 9549.3 G / n.

    Parameters
    ----------
    balance_grade_mm_s : float
        Grade G. [mm/s]
    spindle_speed_rpm : float
        Speed n. [rpm]

    Returns
    -------
    float
        e_per; also the offset of the centre of mass in um. [g.mm/kg]

    Notes
    -----
    For rigid rotors. The grade is a guide of the standard, not a proof of safety.

    Examples
    --------
    >>> round(residual_unbalance_g_mm_kg(2.5, 24000.0), 4)
    0.9947

    References
    ----------
    ISO 21940-11 (formerly ISO 1940-1) as quoted by a tool maker's worked example; the standard
    itself not read.
    """
    return 60_000.0 * balance_grade_mm_s / (2.0 * math.pi * spindle_speed_rpm)


def unbalance_force_n(unbalance_g_mm: float, spindle_speed_rpm: float) -> float:
    """Return the turning force of an unbalance.

    Equation: F = U omega^2.

    Parameters
    ----------
    unbalance_g_mm : float
        Unbalance U. [g.mm]
    spindle_speed_rpm : float
        Speed n. [rpm]

    Returns
    -------
    float
        F. [N]

    Notes
    -----
    Grows with the square of the speed: from 18 000 to 24 000 rpm by 78 %.

    Examples
    --------
    >>> round(unbalance_force_n(1.0, 18000.0), 4)
    3.5531

    References
    ----------
    Textbook.
    """
    return unbalance_g_mm * 1e-6 * (2.0 * math.pi * spindle_speed_rpm / 60.0) ** 2


def headroom_speed_rpm(balanced_speed_rpm: float, share: float = HEADROOM_SHARE) -> float:
    """Return the highest spindle speed by the house rule of headroom.

    Equation: n = share n_balanced.

    Parameters
    ----------
    balanced_speed_rpm : float
        Speed that the holder was balanced for. [rpm]
    share : float
        The shop's share. [1]

    Returns
    -------
    float
        n. [rpm]

    Notes
    -----
    A rule of the house, not a limit of the maker.

    Examples
    --------
    >>> headroom_speed_rpm(24000.0)
    18000.0

    References
    ----------
    Common practice, no source.
    """
    return share * balanced_speed_rpm
