"""Speeds of the cut: n, v_c, v_f, f_z and the removal rate."""

from __future__ import annotations

import math

import numpy as np

from core.cutting.values import Array, Values


def cutting_speed_m_min(cutter_diameter_mm: Values, spindle_speed_rpm: Values) -> Array:
    """Return the cutting speed v_c at the circumference.

    Equation: v_c = pi D n / 1000.

    Parameters
    ----------
    cutter_diameter_mm : float or array
        Diameter D. [mm]
    spindle_speed_rpm : float or array
        Spindle speed n. [rpm]

    Returns
    -------
    array
        v_c. [m/min]

    Notes
    -----
    Holds for any cutter; the feed's own speed, below 3 % of v_c in routing, is left out.

    Examples
    --------
    >>> round(float(cutting_speed_m_min(6.0, 18000.0)), 1)
    339.3

    References
    ----------
    Definition; textbook.
    """
    return np.asarray(math.pi / 1000.0 * cutter_diameter_mm * spindle_speed_rpm)


def spindle_speed_rpm(cutting_speed_m_min: Values, cutter_diameter_mm: Values) -> Array:
    """Return the spindle speed n for a cutting speed.

    Equation: n = 1000 v_c / (pi D).

    Parameters
    ----------
    cutting_speed_m_min : float or array
        Cutting speed v_c. [m/min]
    cutter_diameter_mm : float or array
        Diameter D. [mm]

    Returns
    -------
    array
        n. [rpm]

    Notes
    -----
    Holds for any cutter.

    Examples
    --------
    >>> round(float(spindle_speed_rpm(25.0, 12.0)), 2)
    663.15

    References
    ----------
    Definition; textbook.
    """
    return np.asarray(1000.0 / math.pi * cutting_speed_m_min / cutter_diameter_mm)


def feed_speed_mm_min(
    spindle_speed_rpm: Values, tooth_count: Values, feed_per_tooth_mm: Values
) -> Array:
    """Return the feed speed v_f along the path.

    Equation: v_f = n z f_z.

    Parameters
    ----------
    spindle_speed_rpm : float or array
        Spindle speed n. [rpm]
    tooth_count : float or array
        Cutting edges z.
    feed_per_tooth_mm : float or array
        Chip load f_z: advance of the cutter's centre per edge. [mm]

    Returns
    -------
    array
        v_f. [mm/min]

    Notes
    -----
    On an arc this is the speed of the cutter's centre, not of the wall.

    Examples
    --------
    18 000 rpm, one edge, 0.013 in, in inches a minute:

    >>> round(float(feed_speed_mm_min(18000.0, 1, 0.013 * 25.4)) / 25.4, 6)
    234.0

    References
    ----------
    Definition; textbook.
    """
    return np.asarray(spindle_speed_rpm * tooth_count * feed_per_tooth_mm)


def feed_per_tooth_mm(
    feed_speed_mm_min: Values, spindle_speed_rpm: Values, tooth_count: Values
) -> Array:
    """Return the feed per tooth f_z that a feed speed amounts to.

    Equation: f_z = v_f / (n z).

    Parameters
    ----------
    feed_speed_mm_min : float or array
        Feed speed v_f, really reached or as programmed. [mm/min]
    spindle_speed_rpm : float or array
        Spindle speed n. [rpm]
    tooth_count : float or array
        Cutting edges z.

    Returns
    -------
    array
        f_z. [mm]

    Notes
    -----
    Holds for evenly spaced edges without run-out; see core.cutting.run_out.

    Examples
    --------
    >>> float(feed_per_tooth_mm(3600.0, 18000.0, 2))
    0.1

    References
    ----------
    Definition; textbook.
    """
    return np.asarray(feed_speed_mm_min / (spindle_speed_rpm * tooth_count))


def removal_rate_mm3_s(
    radial_width_mm: Values, axial_depth_mm: Values, feed_speed_mm_min: Values
) -> Array:
    """Return the removal rate Q.

    Equation: Q = a_e a_p v_f.

    Parameters
    ----------
    radial_width_mm, axial_depth_mm : float or array
        Section of the cut a_e, a_p. [mm]
    feed_speed_mm_min : float or array
        Feed speed v_f. [mm/min]

    Returns
    -------
    array
        Q. [mm3/s]

    Notes
    -----
    On an arc the wall's own radius adds a second-order term; see core.cutting.chip.

    Examples
    --------
    >>> float(removal_rate_mm3_s(6.0, 6.0, 3000.0))
    1800.0

    References
    ----------
    Definition; textbook.
    """
    return np.asarray(radial_width_mm * axial_depth_mm * feed_speed_mm_min / 60.0)
