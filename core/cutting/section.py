"""Cross-section of a one-edge cutter: a disc less a round gullet; what the gullet holds.

Terms: the *gullet* is the hollow in front of the edge that carries the chip out. Here it is a
circle of radius 0.75 R about a point 0.65 R from the axis: an estimate of a polished O-flute, which
takes 40 % of the disc away. The *lens* is the part of that circle that lies in the disc: two
circular segments, one of the disc and one of the gullet, on their common chord.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.cutting.values import Array, Values

GULLET_RADIUS_RATIO = 0.75
"""Gullet radius / cutter radius; estimate."""

GULLET_OFFSET_RATIO = 0.65
"""Distance of its centre from the axis / cutter radius; estimate."""

BULK_FACTOR = 4.0
"""Loose volume of chips / their solid volume; estimate."""

CARBIDE_DENSITY_G_MM3 = 0.0149
"""Tungsten carbide with cobalt, from memory."""


@dataclass(frozen=True, slots=True)
class Section:
    """Properties of the section of a cutter of radius 1; scale with R^2, R^3, R^4, 1.

    Parameters
    ----------
    gullet_area : float
        Area of the gullet, in R^2.
    gullet_moment : float
        First moment of the gullet about the axis, in R^3.
    weakest_ratio, mean_ratio : float
        Diameter of the round bar of equal stiffness over D: about the weakest axis, and with both
        bending flexibilities averaged by the helix.
    """

    gullet_area: float
    gullet_moment: float
    weakest_ratio: float
    mean_ratio: float


def one_edge_section(
    gullet_radius: float = GULLET_RADIUS_RATIO, gullet_offset: float = GULLET_OFFSET_RATIO
) -> Section:
    """Return the section of a one-edge cutter of radius 1.

    Equation: moments of a circular segment of radius r and half angle t about its circle's centre:
    A = r^2 (t - sin t cos t), S = 2/3 r^3 sin^3 t,
    I = r^4 / 4 (t - sin t cos t + 2 sin^3 t cos t) along the axis of symmetry,
    I = r^4 / 4 (t - sin t cos t - 2/3 sin^3 t cos t) across it.

    Parameters
    ----------
    gullet_radius, gullet_offset : float
        Both over the cutter's radius; offset < 1 + radius. [1]

    Returns
    -------
    Section
        Gullet 40 % of the disc, stiffness of 0.74 D to 0.81 D for the estimate above.

    Notes
    -----
    A real gullet is no circle; the equivalent diameter of two- and four-edge cutters is about 0.8 D
    (Kops and Vo 1990, CIRP Annals, abstract).

    Examples
    --------
    >>> section = one_edge_section()
    >>> round(section.gullet_area / math.pi, 2), round(section.mean_ratio, 2)
    (0.4, 0.81)

    References
    ----------
    Moments of circular segments: textbook, from memory; tested against numerical integration.
    """
    chord_at = (gullet_offset**2 + 1.0 - gullet_radius**2) / (2.0 * gullet_offset)
    outer = _segment(1.0, math.acos(chord_at))
    inner = _segment(gullet_radius, math.acos((gullet_offset - chord_at) / gullet_radius))
    area = outer[0] + inner[0]
    # the gullet's segment opens towards the axis: its moments turn about its own centre
    moment = outer[1] + gullet_offset * inner[0] - inner[1]
    along = outer[2] + inner[2] - 2.0 * gullet_offset * inner[1] + gullet_offset**2 * inner[0]
    across = outer[3] + inner[3]
    body = math.pi - area
    i_weak = math.pi / 4.0 - across
    i_other = math.pi / 4.0 - along - moment**2 / body
    low, high = sorted((i_weak, i_other))
    return Section(
        area,
        moment,
        (4.0 * low / math.pi) ** 0.25,
        (4.0 / math.pi * 2.0 / (1.0 / low + 1.0 / high)) ** 0.25,
    )


def _segment(radius: float, half_angle: float) -> tuple[float, float, float, float]:
    """Return area, first moment and both second moments of a circular segment."""
    sine, cosine = math.sin(half_angle), math.cos(half_angle)
    lune = half_angle - sine * cosine
    bent = sine**3 * cosine
    return (
        radius**2 * lune,
        2.0 / 3.0 * radius**3 * sine**3,
        radius**4 / 4.0 * (lune + 2.0 * bent),
        radius**4 / 4.0 * (lune - 2.0 / 3.0 * bent),
    )


def gullet_area_mm2(cutter_diameter_mm: Values, tooth_count: Values = 1) -> Array:
    """Return the section of one gullet.

    Equation: A_g = 0.40 pi D^2 / 4 / z, the same hollow shared by the edges.

    Parameters
    ----------
    cutter_diameter_mm : float or array
        Diameter D. [mm]
    tooth_count : float or array
        Cutting edges z.

    Returns
    -------
    array
        A_g. [mm2]

    Notes
    -----
    An estimate; for more than one edge a rough one.

    Examples
    --------
    >>> round(float(gullet_area_mm2(6.0)), 2)
    11.27

    References
    ----------
    `one_edge_section`.
    """
    radius = np.asarray(cutter_diameter_mm) / 2.0
    return np.asarray(one_edge_section().gullet_area * radius**2 / tooth_count)


def chip_packing(
    feed_per_tooth_mm: Values, radial_width_mm: Values, gullet_area_mm2: Values
) -> Array:
    """Return how full a gullet is with the loose chips of one revolution; above 1 they pack.

    Equation: fill = b a_e f_z / A_g; the depth cancels.

    Parameters
    ----------
    feed_per_tooth_mm, radial_width_mm : float or array
        f_z and a_e. [mm]
    gullet_area_mm2 : float or array
        Section A_g of a gullet. [mm2]

    Returns
    -------
    array
        Fill. [1]

    Notes
    -----
    The bulk factor b = 4 is an estimate. In a slot a one-edge cutter is full at f_z = 0.078 D.

    Examples
    --------
    >>> round(float(chip_packing(0.470, 6.0, gullet_area_mm2(6.0))), 2)
    1.0

    References
    ----------
    Derived: volume balance.
    """
    return np.asarray(BULK_FACTOR * radial_width_mm * feed_per_tooth_mm / gullet_area_mm2)


def own_unbalance_g_mm(
    cutter_diameter_mm: float, flute_length_mm: float, helix_angle_rad: float
) -> float:
    """Return the unbalance that a one-edge cutter brings along by its gullet.

    Equation: U = rho S L |sin(t / 2) / (t / 2)|, twist t = 2 L tan(helix) / D.

    Parameters
    ----------
    cutter_diameter_mm, flute_length_mm : float
        D and L. [mm]
    helix_angle_rad : float
        Helix angle. [rad]

    Returns
    -------
    float
        U. [g.mm]

    Notes
    -----
    Carbide, the gullet of `one_edge_section` over the whole flute, the couple left out: an estimate
    to compare with what the holder is allowed.

    Examples
    --------
    >>> round(own_unbalance_g_mm(6.0, 22.0, math.radians(25.0)), 2)
    3.0

    References
    ----------
    Derived.
    """
    moment = one_edge_section().gullet_moment * (cutter_diameter_mm / 2.0) ** 3
    half_twist = flute_length_mm * math.tan(helix_angle_rad) / cutter_diameter_mm
    average = abs(math.sin(half_twist) / half_twist) if half_twist else 1.0
    return CARBIDE_DENSITY_G_MM3 * moment * flute_length_mm * average
