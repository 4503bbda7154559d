"""Forces on the cutter and the power it takes: F = K h + K_e for every millimetre of edge.

Terms: x is the direction of feed, y across it, towards the wall that phi is counted from. t is
tangential, r radial. *Mean* is over a revolution, *peak* the greatest instant of it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.values import Array, Values

if TYPE_CHECKING:
    from core.library.records import HeatCoefficients

RADIAL_CUTTING_RATIO = 0.3
"""K_rc / K_tc: an estimate, band 0 to 0.6, badly told apart by the measurements."""

RADIAL_EDGE_RATIO = 1.5
"""K_re / K_te: measured 0.8, 1.5, 1.7, 2.0 on polycarbonate and UHMW polyethylene (C. Sharma,
Automatic Modeling of Machining Processes, MEng thesis, MIT 2021; printed fit results)."""


@dataclass(frozen=True, slots=True)
class ForceCoefficients:
    """Coefficients of the force on the edge.

    Parameters
    ----------
    k_tc_n_mm2, k_rc_n_mm2 : float
        Force for a square millimetre of chip section, tangential and radial. [N/mm2]
    k_te_n_mm, k_re_n_mm : float
        Force for a millimetre of edge, tangential and radial. [N/mm]
    """

    k_tc_n_mm2: float
    k_te_n_mm: float
    k_rc_n_mm2: float
    k_re_n_mm: float


def force_coefficients(heat: HeatCoefficients) -> ForceCoefficients:
    """Return all four coefficients from the two that a material's card holds.

    Equation: K_rc = 0.3 K_tc, K_re = 1.5 K_te.
    """
    k_tc, k_te = heat.specific_cutting_force_n_mm2, heat.edge_force_n_mm
    return ForceCoefficients(k_tc, k_te, RADIAL_CUTTING_RATIO * k_tc, RADIAL_EDGE_RATIO * k_te)


@dataclass(frozen=True, eq=False, slots=True)
class MeanForces:
    """Forces on the cutter, averaged over a revolution. [N]."""

    along_n: Array
    across_n: Array
    tangential_n: Array

    @property
    def lateral_n(self) -> Array:
        """Resultant in the plane of the sheet. [N]."""
        return np.hypot(self.along_n, self.across_n)


def mean_forces(
    coefficients: ForceCoefficients,
    feed_per_tooth_mm: Values,
    tooth_count: Values,
    axial_depth_mm: Values,
    engagement_rad: Values,
    entry_rad: Values = 0.0,
) -> MeanForces:
    """Return the mean forces of a cut from an angle of entry over the angle of engagement.

    Equation, with c = z a_p / (2 pi), between phi_0 = entry and phi_1 = entry + phi_e:
    F_x = c [K_tc f/4 cos 2phi - K_te sin phi - K_rc f/4 (2phi - sin 2phi) + K_re cos phi],
    F_y = c [K_tc f/4 (2phi - sin 2phi) - K_te cos phi + K_rc f/4 cos 2phi - K_re sin phi],
    F_t = c [-K_tc f cos phi + K_te phi].

    Parameters
    ----------
    coefficients : ForceCoefficients
        K_tc, K_te, K_rc, K_re.
    feed_per_tooth_mm : float or array
        Feed per tooth f. [mm]
    tooth_count : float or array
        Cutting edges z.
    axial_depth_mm : float or array
        Axial depth a_p. [mm]
    engagement_rad : float or array
        Engagement angle phi_e. [rad]
    entry_rad : float or array
        Angle at which an edge enters: 0 for conventional, pi - phi_e for climb. [rad]

    Returns
    -------
    MeanForces
        F_x, F_y, F_t. [N]

    Notes
    -----
    The mean does not depend on the helix. Linear in h: holds where the chip is thicker than the
    edge's rubbing limit; measured on plastics for mean chips of 0.008 to 0.075 mm.

    Examples
    --------
    >>> slot = mean_forces(ForceCoefficients(80.0, 1.7, 24.0, 1.7), 0.33, 1, 6.0, math.pi)
    >>> [round(float(f), 3) for f in (slot.along_n, slot.across_n, slot.tangential_n)]
    [-15.127, 42.847, 55.52]

    References
    ----------
    Linear edge-force model integrated over a revolution: textbook, from memory.
    """
    start = np.asarray(entry_rad, np.float64)
    end = start + engagement_rad
    before = swept_force(coefficients, feed_per_tooth_mm, start)
    after = swept_force(coefficients, feed_per_tooth_mm, end)
    share = np.asarray(tooth_count) * axial_depth_mm / (2.0 * math.pi)
    return MeanForces(*(share * (late - early) for early, late in zip(before, after, strict=True)))


def swept_force(
    coefficients: ForceCoefficients, feed_per_tooth_mm: Values, angle_rad: Values
) -> tuple[Array, Array, Array]:
    """Return the force on a millimetre of edge, integrated over the angle from 0.

    Parameters
    ----------
    coefficients : ForceCoefficients
        K_tc, K_te, K_rc, K_re.
    feed_per_tooth_mm : float or array
        Feed per tooth f. [mm]
    angle_rad : float or array
        Angle phi. [rad]

    Returns
    -------
    (array, array, array)
        The integrals of F_x, F_y, F_t, each up to a constant. [N rad/mm]
    """
    k, f, phi = coefficients, np.asarray(feed_per_tooth_mm), np.asarray(angle_rad)
    sine, cosine = np.sin(phi), np.cos(phi)
    double = f / 4.0 * np.cos(2.0 * phi)
    square = f / 2.0 * (phi - sine * cosine)
    along = k.k_tc_n_mm2 * double - k.k_te_n_mm * sine
    along += k.k_re_n_mm * cosine - k.k_rc_n_mm2 * square
    across = k.k_tc_n_mm2 * square - k.k_te_n_mm * cosine
    across += k.k_rc_n_mm2 * double - k.k_re_n_mm * sine
    return along, across, k.k_te_n_mm * phi - k.k_tc_n_mm2 * f * cosine


def axial_force_n(tangential_n: Values, helix_angle_rad: Values) -> Array:
    """Return the axial force on the sheet: upshear lifts (+), downshear presses (-).

    Equation: F_a = F_t tan(helix).

    Parameters
    ----------
    tangential_n : float or array
        Tangential force F_t. [N]
    helix_angle_rad : float or array
        Helix angle, positive for upshear, negative for downshear. [rad]

    Returns
    -------
    array
        F_a. [N]

    Notes
    -----
    Without friction on the rake face: the friction lowers it, so this is an upper figure.

    Examples
    --------
    >>> round(float(axial_force_n(55.520, math.radians(25.0))), 1)
    25.9

    References
    ----------
    Geometry of an oblique edge; estimate.
    """
    return np.asarray(tangential_n * np.tan(helix_angle_rad))


def cutting_power_w(
    specific_cutting_force_n_mm2: Values,
    edge_force_n_mm: Values,
    radial_width_mm: Values,
    axial_depth_mm: Values,
    feed_speed_mm_min: Values,
    cutter_diameter_mm: Values,
    spindle_speed_rpm: Values,
    tooth_count: Values,
) -> Array:
    """Return the cutting power P_c on a straight wall or in a slot.

    Equation: P_c = K_tc a_e a_p v_f + K_te a_p v_c z phi_e / (2 pi) = F_t v_c.

    Parameters
    ----------
    specific_cutting_force_n_mm2, edge_force_n_mm : float or array
        K_tc [N/mm2] and K_te [N/mm].
    radial_width_mm, axial_depth_mm : float or array
        a_e and a_p. [mm]
    feed_speed_mm_min : float or array
        Feed speed v_f. [mm/min]
    cutter_diameter_mm : float or array
        Diameter D. [mm]
    spindle_speed_rpm : float or array
        Spindle speed n. [rpm]
    tooth_count : float or array
        Cutting edges z.

    Returns
    -------
    array
        P_c at the edge; what the spindle takes when idling comes on top. [W]

    Notes
    -----
    The edge's share does not depend on the feed: a slower feed does not cool the cutter.

    Examples
    --------
    >>> slot = cutting_power_w(80.0, 1.7, 6.0, 6.0, 5940.0, 6.0, 18000.0, 1)
    >>> round(float(slot), 2)
    313.96

    References
    ----------
    Energy balance; textbook, from memory.
    """
    width = np.minimum(radial_width_mm, cutter_diameter_mm)
    angle = np.arccos(1.0 - 2.0 * width / cutter_diameter_mm)
    feed_mm_s = np.asarray(feed_speed_mm_min) / 60.0
    # edge length swept a second: the circumference's engaged part, once an edge and turn
    rubbed_mm_s = (
        tooth_count * np.asarray(spindle_speed_rpm) / 60.0 * angle * cutter_diameter_mm / 2
    )
    section = specific_cutting_force_n_mm2 * width * feed_mm_s
    return np.asarray(axial_depth_mm * (section + edge_force_n_mm * rubbed_mm_s) / 1000.0)


def spindle_power_available_w(
    rated_power_w: float, base_speed_rpm: float, spindle_speed_rpm: Values
) -> Array:
    """Return the power that the spindle gives at a speed.

    Equation: P = P_rated min(1, n / n_base).

    Parameters
    ----------
    rated_power_w : float
        P_rated. [W]
    base_speed_rpm : float
        Speed n_base from which the power is flat. [rpm]
    spindle_speed_rpm : float or array
        Spindle speed n. [rpm]

    Returns
    -------
    array
        P. [W]

    Notes
    -----
    Constant torque below the base speed: the usual characteristic of an inverter drive. The
    machine maker's curve comes first.

    Examples
    --------
    >>> float(spindle_power_available_w(2200.0, 18000.0, 9000.0))
    1100.0

    References
    ----------
    Textbook, from memory.
    """
    return np.asarray(
        rated_power_w * np.minimum(1.0, np.asarray(spindle_speed_rpm) / base_speed_rpm)
    )
