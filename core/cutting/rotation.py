"""Forces through a revolution: the helix spreads an edge over an angle.

Terms: an edge element at the height z above the tip lags by *kappa* z behind the tip, kappa = 2
tan(helix) / D. A *band* is a part of the height that cuts one radial width. For a band from z_0 to
z_1 the elements stand at the angles from theta - kappa z_1 to theta - kappa z_0, and the force is
the integral of F_x, F_y over what of them is engaged: in closed form, so no discs are needed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.force import ForceCoefficients, swept_force
from core.cutting.values import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

STRAIGHT_LAG_RAD_MM = 1e-6
"""A straight edge counts as one with this lag: 0.0003 degrees on 6 mm."""


@dataclass(frozen=True, eq=False, slots=True)
class BandedCut:
    """What p cutters do in up to b bands of their height.

    Parameters
    ----------
    bottom_mm, top_mm : array of shape (p, b)
        Heights of the bands above the tip; equal where a band is not used. [mm]
    entry_rad, exit_rad : array of shape (p, b)
        Angles between which an edge cuts in the band. [rad]
    lag_rad_mm : array of shape (p,)
        kappa: positive for upshear, negative for downshear. [rad/mm]
    feed_per_tooth_mm : array of shape (p,)
        f. [mm]
    tooth_count : array of shape (p,)
        Cutting edges z.
    """

    bottom_mm: Array
    top_mm: Array
    entry_rad: Array
    exit_rad: Array
    lag_rad_mm: Array
    feed_per_tooth_mm: Array
    tooth_count: Array


def lag_rad_mm(helix_angle_rad: Array, cutter_diameter_mm: Array) -> Array:
    """Return how far an edge lags for a millimetre of height.

    Equation: kappa = 2 tan(helix) / D, at least `STRAIGHT_LAG_RAD_MM`.

    Examples
    --------
    >>> round(float(lag_rad_mm(np.radians(25.0), 6.0)), 4)
    0.1554
    """
    lag = 2.0 * np.tan(helix_angle_rad) / cutter_diameter_mm
    return np.copysign(np.maximum(np.abs(lag), STRAIGHT_LAG_RAD_MM), lag)


def forces_at(
    coefficients: ForceCoefficients, cut: BandedCut, turn_rad: Array
) -> tuple[Array, Array]:
    """Return the forces on the cutter at some angles of its tip's first edge.

    Parameters
    ----------
    coefficients : ForceCoefficients
        K_tc, K_te, K_rc, K_re.
    cut : BandedCut
        p cutters.
    turn_rad : array of shape (p, t)
        Angles theta. [rad]

    Returns
    -------
    (array, array)
        F_x and F_y, shape (p, t). [N]

    Notes
    -----
    Exact for the linear force model; edges evenly spaced, no run-out.
    """
    along, across = np.zeros(turn_rad.shape), np.zeros(turn_rad.shape)
    teeth = cut.tooth_count[:, None]
    lag, feed = cut.lag_rad_mm[:, None], cut.feed_per_tooth_mm[:, None]
    for tooth in range(int(teeth.max(initial=0))):
        angle = np.mod(turn_rad + 2.0 * math.pi * tooth / teeth, 2.0 * math.pi)
        for band in range(cut.bottom_mm.shape[1]):
            ends = (angle - lag * cut.bottom_mm[:, [band]], angle - lag * cut.top_mm[:, [band]])
            low, high = np.minimum(*ends), np.maximum(*ends)
            start, stop = cut.entry_rad[:, [band]], cut.exit_rad[:, [band]]
            for wrap in _wraps(low, high):
                first = np.clip(low, start + wrap, stop + wrap) - wrap
                last = np.clip(high, start + wrap, stop + wrap) - wrap
                before = swept_force(coefficients, feed, first)
                after = swept_force(coefficients, feed, last)
                on = (tooth < teeth) / np.abs(lag)
                along += on * (after[0] - before[0])
                across += on * (after[1] - before[1])
    return along, across


def _wraps(low: Array, high: Array) -> list[float]:
    """Return the whole turns by which the engaged arc has to be shifted to meet the edge."""
    full = 2.0 * math.pi
    least = math.floor(float(low.min(initial=0.0)) / full)
    most = math.floor(float(high.max(initial=0.0)) / full)
    return [full * k for k in range(least, most + 1)]


def peak_lateral_n(coefficients: ForceCoefficients, cut: BandedCut, steps: int = 36) -> Array:
    """Return the greatest lateral force of a revolution, shape (p,).

    Equation: max over theta of sqrt(F_x^2 + F_y^2).

    Parameters
    ----------
    coefficients : ForceCoefficients
        K_tc, K_te, K_rc, K_re.
    cut : BandedCut
        p cutters.
    steps : int
        Even steps of a tooth's share of the turn.

    Returns
    -------
    array of shape (p,)
        Peak force. [N]

    Notes
    -----
    Looked for at even steps and where a band's end enters or leaves the stock, since the greatest
    force of a straight edge stands there. Within 1 % (tests/published/test_force.py).
    """
    share = 2.0 * math.pi / cut.tooth_count[:, None]
    even = share * (np.arange(steps) / steps)
    lag = cut.lag_rad_mm[:, None]
    kinks = [
        at + lag * height
        for at in (cut.entry_rad, cut.exit_rad)
        for height in (cut.bottom_mm, cut.top_mm)
    ]
    along, across = forces_at(coefficients, cut, np.concatenate([even, *kinks], axis=1))
    return np.asarray(np.hypot(along, across).max(axis=1))


def wall_push_n(
    coefficients: ForceCoefficients,
    cut: BandedCut,
    climb: NDArray[np.bool_],
    steps: int = 12,
) -> Array:
    """Return the force away from the wall at the instants in which the wall is made, shape (p,).

    Equation: an element at z makes the wall as it passes phi = 0 (conventional) or pi (climb), at
    theta = phi + kappa z; the force then is -F_y (conventional) or F_y (climb). The one of greatest
    size over the height is returned.

    Parameters
    ----------
    coefficients : ForceCoefficients
        K_tc, K_te, K_rc, K_re.
    cut : BandedCut
        p cutters.
    climb : bool array of shape (p,)
        Climb, else conventional.
    steps : int
        Heights looked at in each band, besides its bottom.

    Returns
    -------
    array of shape (p,)
        Positive: the cutter is pushed away and the part comes out too large. [N]
    """
    rise = np.linspace(0.0, 1.0, steps + 1)[:, None]
    height = cut.bottom_mm[:, None, :] + rise * (cut.top_mm - cut.bottom_mm)[:, None, :]
    phi = np.where(climb, math.pi, 0.0)[:, None]
    turn = phi + cut.lag_rad_mm[:, None] * height.reshape(
        len(height), (steps + 1) * cut.bottom_mm.shape[1]
    )
    across = forces_at(coefficients, cut, turn)[1]
    push = np.where(climb[:, None], across, -across)
    return np.asarray(np.take_along_axis(push, np.abs(push).argmax(axis=1)[:, None], axis=1)[:, 0])
