"""Geometry of the chip in peripheral milling, after the circular model.

Terms: the angle phi runs along the cutter's circumference from the finished wall, where the chip is
nothing, over 90 degrees straight ahead. The *engagement angle* phi_e is where the cutter leaves the
stock. The *curvature towards the wall* k is that of the cutter-centre path: 0 on a straight wall,
1 / r_c with the wall on the inner side of the bend (a convex wall: outside a part), -1 / r_c with
the wall on the outer side (a concave wall: inside a hole).

One formula serves all three walls. With the wall's radius rho = r_c + R (concave) or r_c - R
(convex), conservation of mass reads R (1 - cos phi_e) = a_e (rho -+ a_e / 2) / r_c, and with k both
are R (1 - cos phi_e) = a_e (1 - k (R - a_e / 2)).
"""

from __future__ import annotations

import math

import numpy as np

from core.cutting.values import Array, Values


def engagement_angle_rad(
    radial_width_mm: Values, cutter_diameter_mm: Values, curvature_towards_wall_per_mm: Values = 0.0
) -> Array:
    """Return the engagement angle phi_e, on a straight, convex or concave wall.

    Equation: cos phi_e = 1 - (a_e / R) (1 - k (R - a_e / 2)), R = D / 2.

    Parameters
    ----------
    radial_width_mm : float or array
        Radial width a_e, 0 to D; D is a full slot. [mm]
    cutter_diameter_mm : float or array
        Diameter D. [mm]
    curvature_towards_wall_per_mm : float or array
        Curvature k of the cutter-centre path, positive for a convex wall. [1/mm]

    Returns
    -------
    array
        phi_e, 0 to pi. [rad]

    Notes
    -----
    Exact for a cutter whose feed is small against a_e. Stock wider than the bend allows (a hole
    smaller than the cutter's sweep) counts as a full slot.

    Examples
    --------
    >>> round(math.degrees(engagement_angle_rad(0.5, 6.0)), 4)
    33.5573

    The same finish cut inside a hole of 10 mm (centre radius 2 mm):

    >>> round(math.degrees(engagement_angle_rad(0.5, 6.0, -1 / 2.0)), 2)
    52.83

    References
    ----------
    Straight wall: textbook, from memory. Arcs: derived, exact by conservation of mass.
    """
    radius = np.asarray(cutter_diameter_mm) / 2.0
    width = np.minimum(radial_width_mm, cutter_diameter_mm)
    bent = 1.0 - curvature_towards_wall_per_mm * (radius - width / 2.0)
    return np.asarray(np.arccos(np.clip(1.0 - width / radius * bent, -1.0, 1.0)))


def chip_thickness_mm(feed_per_tooth_mm: Values, angle_rad: Values) -> Array:
    """Return the undeformed chip thickness h at an angle.

    Equation: h = f_z sin phi.

    Parameters
    ----------
    feed_per_tooth_mm : float or array
        Feed per tooth f_z. [mm]
    angle_rad : float or array
        Angle phi from the wall. [rad]

    Returns
    -------
    array
        h. [mm]

    Notes
    -----
    Circular model: within 0.1 % of the true path in a slot.

    Examples
    --------
    >>> round(float(chip_thickness_mm(0.33, math.pi / 2)), 3)
    0.33

    References
    ----------
    H. El-Hofy, Fundamentals of Machining Processes, chapter on milling.
    """
    return np.asarray(feed_per_tooth_mm * np.sin(angle_rad))


def h_max_mm(feed_per_tooth_mm: Values, engagement_rad: Values) -> Array:
    """Return the greatest chip thickness h_max on the engaged arc.

    Equation: h_max = f_z sin phi_e up to 90 degrees, f_z beyond.

    Parameters
    ----------
    feed_per_tooth_mm : float or array
        Feed per tooth f_z. [mm]
    engagement_rad : float or array
        Engagement angle phi_e. [rad]

    Returns
    -------
    array
        h_max. [mm]

    Notes
    -----
    Circular model. It is 3 % too thick at a_e = D / 4 and 6 to 10 % at a_e = 0.5 mm with f_z = 0.33
    mm: on the safe side for power, on the unsafe side for rubbing; see
    `core.cutting.rubbing.finish_chip_ratio`.

    Examples
    --------
    Radial thinning at a tenth of the diameter:

    >>> round(float(h_max_mm(1.0, engagement_angle_rad(0.6, 6.0))), 3)
    0.6

    References
    ----------
    Textbook, from memory.
    """
    return np.asarray(feed_per_tooth_mm * np.sin(np.minimum(engagement_rad, math.pi / 2.0)))


def h_mean_mm(feed_per_tooth_mm: Values, engagement_rad: Values) -> Array:
    """Return the mean chip thickness h_m over the engaged arc.

    Equation: h_m = f_z (1 - cos phi_e) / phi_e.

    Parameters
    ----------
    feed_per_tooth_mm : float or array
        Feed per tooth f_z. [mm]
    engagement_rad : float or array
        Engagement angle phi_e, above 0. [rad]

    Returns
    -------
    array
        h_m. [mm]

    Notes
    -----
    Area of the chip over the length of its arc: R phi_e h_m = f_z a_e exactly on a straight wall.

    Examples
    --------
    >>> round(float(h_mean_mm(0.33, math.pi)), 4)
    0.2101

    References
    ----------
    H. El-Hofy, Fundamentals of Machining Processes, chapter on milling.
    """
    # (1 - cos x) / x without the loss of digits at small angles
    half = np.asarray(engagement_rad) / 2.0
    return np.asarray(feed_per_tooth_mm * np.sin(half) ** 2 / half)


def feed_mark_height_mm(
    feed_per_mark_mm: Values,
    cutter_diameter_mm: Values,
    curvature_towards_wall_per_mm: Values = 0.0,
) -> Array:
    """Return the height of the feed marks on the wall.

    Equation: h = f^2 / (8 R) * rho / r_c, with rho / r_c = 1 - k R.

    Parameters
    ----------
    feed_per_mark_mm : float or array
        Advance f of the cutter's centre between two marks: a whole revolution where run-out lets
        one edge finish the wall, as should be assumed for more than one edge. [mm]
    cutter_diameter_mm : float or array
        Diameter D = 2 R. [mm]
    curvature_towards_wall_per_mm : float or array
        Curvature k of the cutter-centre path, positive for a convex wall. [1/mm]

    Returns
    -------
    array
        h. [mm]

    Notes
    -----
    Circular model; `trochoid_mark_height_mm` says what the true path adds.

    Examples
    --------
    >>> round(float(feed_mark_height_mm(0.15, 6.0)) * 1000.0, 4)
    0.9375

    References
    ----------
    M. E. Martellotti 1941, An analysis of the milling process, Trans. ASME 63: from memory. Arc
    walls: derived, same form for convex and concave.
    """
    bent = 1.0 - curvature_towards_wall_per_mm * (np.asarray(cutter_diameter_mm) / 2.0)
    return np.asarray(feed_per_mark_mm**2 / (4.0 * cutter_diameter_mm) * bent)


def trochoid_mark_height_mm(
    feed_per_tooth_mm: Values, tooth_count: Values, cutter_diameter_mm: Values, climb: bool
) -> Array:
    """Return the height of the feed marks on a straight wall along the cutter's true path.

    Equation: h = f_z^2 / (8 (R -+ f_z z / pi)), - for climb, + for conventional.

    Parameters
    ----------
    feed_per_tooth_mm : float or array
        Feed per tooth f_z, every edge leaving its mark. [mm]
    tooth_count : float or array
        Cutting edges z.
    cutter_diameter_mm : float or array
        Diameter D = 2 R. [mm]
    climb : bool
        Climb (down) milling; else conventional.

    Returns
    -------
    array
        h. [mm]

    Notes
    -----
    Within 0.2 % of the envelope of the true paths for f_z z < R / 3.

    Examples
    --------
    >>> round(float(trochoid_mark_height_mm(0.33, 1, 6.0, climb=True)) * 1000.0, 3)
    4.702

    References
    ----------
    M. E. Martellotti 1941, An analysis of the milling process, Trans. ASME 63 (abstract).
    """
    advance = feed_per_tooth_mm * np.asarray(tooth_count) / math.pi
    radius = np.asarray(cutter_diameter_mm) / 2.0
    return np.asarray(feed_per_tooth_mm**2 / (8.0 * (radius + (-advance if climb else advance))))


def feed_for_mark_height_mm(
    height_mm: Values, cutter_diameter_mm: Values, curvature_towards_wall_per_mm: Values = 0.0
) -> Array:
    """Return the feed per revolution that leaves marks of a height.

    Equation: f = sqrt(8 R h r_c / rho), the inverse of `feed_mark_height_mm`.

    Parameters
    ----------
    height_mm : float or array
        Height h of the marks. [mm]
    cutter_diameter_mm : float or array
        Diameter D = 2 R. [mm]
    curvature_towards_wall_per_mm : float or array
        Curvature k of the cutter-centre path, positive for a convex wall. [1/mm]

    Returns
    -------
    array
        f per revolution. [mm]

    Notes
    -----
    A feed per revolution, not per tooth: run-out lets one edge leave the mark.

    Examples
    --------
    >>> round(float(feed_for_mark_height_mm(0.005, 6.0)), 3)
    0.346

    References
    ----------
    Derived from `feed_mark_height_mm`.
    """
    bent = 1.0 - curvature_towards_wall_per_mm * (np.asarray(cutter_diameter_mm) / 2.0)
    return np.asarray(np.sqrt(4.0 * cutter_diameter_mm * height_mm / bent))


def mark_roughness_mm(mark_height_mm: Values) -> Array:
    """Return the mean roughness Ra of feed marks.

    Equation: Ra = 4 / (9 sqrt(3)) h.

    Parameters
    ----------
    mark_height_mm : float or array
        Height h of the marks. [mm]

    Returns
    -------
    array
        Ra. [mm]

    Notes
    -----
    For marks of parabolic section and nothing else on the wall: a lower bound.

    Examples
    --------
    >>> round(float(mark_roughness_mm(1.0)), 4)
    0.2566

    References
    ----------
    Derived: mean deviation of a parabola from its mean height.
    """
    return np.asarray(4.0 / (9.0 * math.sqrt(3.0)) * mark_height_mm)
