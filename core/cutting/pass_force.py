"""What a whole pass does: power, lateral force, lift and wall error, all its bands counted.

The final skim works in two bands at once: the wall stock over the height, and a full slot in the
skin under it. Passes of one kind share their force, so each kind is computed once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad
from core.cutting.force import ForceCoefficients, axial_force_n, mean_forces
from core.cutting.rotation import BandedCut, lag_rad_mm, peak_lateral_n, wall_push_n
from core.cutting.values import Array

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False, slots=True)
class PassCut:
    """p passes, each with up to b bands of engagement.

    Parameters
    ----------
    bottom_mm, top_mm, radial_width_mm : array of shape (p, b)
        Bands, in height above the tip; bottom and top equal where a band is not used. [mm]
    cutter_diameter_mm, tooth_count, helix_angle_rad : array of shape (p,)
        D, z, helix (positive upshear, negative downshear). [mm], [1], [rad]
    feed_per_tooth_mm, spindle_speed_rpm : array of shape (p,)
        f_z and n. [mm], [rpm]
    climb : bool array of shape (p,)
        Climb, else conventional.
    compliance_mm_n : array of shape (p,)
        Movement of the tip for a newton. [mm/N]
    """

    bottom_mm: Array
    top_mm: Array
    radial_width_mm: Array
    cutter_diameter_mm: Array
    tooth_count: Array
    helix_angle_rad: Array
    feed_per_tooth_mm: Array
    spindle_speed_rpm: Array
    climb: NDArray[np.bool_]
    compliance_mm_n: Array


@dataclass(frozen=True, eq=False, slots=True)
class PassForces:
    """Forces of p passes, shape (p,).

    Parameters
    ----------
    power_w : array
        Cutting power, mean of a revolution. [W]
    lateral_n, peak_lateral_n : array
        Lateral force: mean of a revolution, and its greatest instant. [N]
    lift_n : array
        Axial force: positive lifts the sheet, negative presses it. [N]
    wall_error_mm : array
        Bending at the instant the wall is made: positive leaves the part too large. [mm]
    """

    power_w: Array
    lateral_n: Array
    peak_lateral_n: Array
    lift_n: Array
    wall_error_mm: Array


def stacked_bands(
    bands: Sequence[Sequence[tuple[float, float, float]]],
) -> tuple[Array, Array, Array]:
    """Return bands of unequal number as arrays of shape (p, b); the rest is filled with nothing.

    Parameters
    ----------
    bands : sequence of sequences of (bottom, top, radial width)
        Bands of each pass, at least one, in height above the tip. [mm]

    Examples
    --------
    >>> bottom, top, width = stacked_bands([[(0.0, 0.5, 6.0), (0.5, 6.0, 0.5)], [(0.0, 6.0, 6.0)]])
    >>> top.tolist()
    [[0.5, 6.0], [6.0, 0.0]]
    """
    most = max((len(b) for b in bands), default=1)
    # what fills up is a band without height at the bottom of the first, so it adds no place
    rows = [[*b, *[(b[0][0], b[0][0], 0.0)] * (most - len(b))] for b in bands]
    table = np.array(rows, dtype=np.float64).reshape(len(bands), most, 3)
    return table[:, :, 0], table[:, :, 1], table[:, :, 2]


def pass_forces(coefficients: ForceCoefficients, cut: PassCut) -> PassForces:
    """Return power, forces and wall error of some passes.

    Equation: sums over the bands of core.cutting.force and core.cutting.rotation;
    P_c = F_t v_c, wall error = C F.

    Parameters
    ----------
    coefficients : ForceCoefficients
        Of the sheet.
    cut : PassCut
        p passes.

    Returns
    -------
    PassForces
        One value a pass.

    Notes
    -----
    On straight walls; static. The power of a spindle when idling comes on top. Feed it the feed per
    tooth at full feed for what has to hold, the mean feed reached for what is used on average.

    Examples
    --------
    >>> one = np.ones(1)
    >>> bottom, top, width = stacked_bands([[(0.0, 6.0, 6.0)]])
    >>> slot = PassCut(bottom, top, width, 6 * one, one, 0 * one, 0.33 * one, 18000 * one,
    ...                one > 0, 1e-3 * one)
    >>> round(float(pass_forces(ForceCoefficients(80.0, 1.7, 24.0, 1.7), slot).power_w[0]), 2)
    313.96

    References
    ----------
    Linear edge-force model; textbook, from memory.
    """
    kinds, which = _kinds(cut)
    depth = kinds.top_mm - kinds.bottom_mm
    angle = engagement_angle_rad(kinds.radial_width_mm, kinds.cutter_diameter_mm[:, None])
    entry = np.where(kinds.climb[:, None], math.pi - angle, 0.0)
    feed, teeth = kinds.feed_per_tooth_mm[:, None], kinds.tooth_count[:, None]
    mean = mean_forces(coefficients, feed, teeth, depth, angle, entry)
    tangential = mean.tangential_n.sum(axis=1)
    speed_m_s = math.pi * kinds.cutter_diameter_mm * kinds.spindle_speed_rpm / 60_000.0
    banded = BandedCut(
        kinds.bottom_mm,
        kinds.top_mm,
        entry,
        entry + angle,
        lag_rad_mm(kinds.helix_angle_rad, kinds.cutter_diameter_mm),
        kinds.feed_per_tooth_mm,
        kinds.tooth_count,
    )
    found = PassForces(
        power_w=tangential * speed_m_s,
        lateral_n=np.hypot(mean.along_n.sum(axis=1), mean.across_n.sum(axis=1)),
        peak_lateral_n=peak_lateral_n(coefficients, banded),
        lift_n=axial_force_n(tangential, kinds.helix_angle_rad),
        wall_error_mm=kinds.compliance_mm_n * wall_push_n(coefficients, banded, kinds.climb),
    )
    return PassForces(*(getattr(found, field.name)[which] for field in fields(PassForces)))


def _kinds(cut: PassCut) -> tuple[PassCut, NDArray[np.intp]]:
    """Return the passes that differ, and which of them each pass is."""
    names = [field.name for field in fields(PassCut)]
    columns = [np.asarray(getattr(cut, name), np.float64) for name in names]
    rows = np.column_stack([c if c.ndim == 2 else c[:, None] for c in columns])
    seen: dict[bytes, int] = {}
    which = np.array([seen.setdefault(row.tobytes(), len(seen)) for row in rows], np.intp)
    first = np.unique(which, return_index=True)[1]
    return PassCut(*(getattr(cut, name)[first] for name in names)), which
