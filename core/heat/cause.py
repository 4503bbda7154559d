"""What makes a pass hot: each contributor is taken away in turn, and the one that helps most named.

Every removal is the same model with other conditions; nothing is named by a rule of thumb.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.heat.risk import least_k

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from core.heat.temperatures import Coefficients, Conditions, Touch

LEAST_GAIN_K = 2.0
"""A removal that gains less than this does not stand out. [K]"""

THICK_CHIP = 3.0
"""A chip this many times K_te / K_tc thick spends a third of its shear work on the edge: thick."""

NOTHING = "nothing stands out"


def name_causes(
    coefficients: Coefficients,
    conditions: Conditions,
    without: Mapping[str, Conditions],
    words: Sequence[Mapping[str, str]],
) -> list[str]:
    """Return the cause of each pass, in words.

    Parameters
    ----------
    coefficients : Coefficients
        Nominal coefficients.
    conditions : Conditions
        The passes as they are, arrays of shape (p,).
    without : mapping of str to Conditions
        The same passes with one contributor taken away, by its name.
    words : sequence of mapping, one a pass
        How to say each contributor; one that is not there does not apply to that pass.
    """
    now = least_k(coefficients, conditions)
    names = list(without)
    gains = np.array([least_k(coefficients, changed) - now for changed in without.values()])
    apply = np.array([[name in said for said in words] for name in names])
    gains = np.where(apply, gains, -np.inf)
    best = gains.argmax(axis=0)
    return [
        said[names[number]] if gains[number, row] > LEAST_GAIN_K else NOTHING
        for row, (number, said) in enumerate(zip(best, words, strict=True))
    ]


def with_thick_chips(coefficients: Coefficients, conditions: Conditions) -> Conditions:
    """Return the passes with every chip thick enough to carry its heat away."""
    thick_m = THICK_CHIP * float(coefficients.edge_j_m2) / float(coefficients.cutting_pa)
    most = 1.0 / (thick_m + coefficients.estimates.thin_chip_mm * 1e-3)

    def thick(thinness: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.minimum(thinness, most)

    return replace(
        conditions,
        chip_thinness_per_m=thick(conditions.chip_thinness_per_m),
        contact_thinness_per_m=thick(conditions.contact_thinness_per_m),
        edge_thinness_per_m=thick(conditions.edge_thinness_per_m),
        wall=replace(conditions.wall, thinness_per_m=thick(conditions.wall.thinness_per_m)),
    )


def with_edge(conditions: Conditions, wear: NDArray[np.float64]) -> Conditions:
    """Return the passes with another edge."""
    return replace(conditions, wear=wear, wall=replace(conditions.wall, wear=wear))


def at_half_speed(conditions: Conditions, fin_w_k: NDArray[np.float64]) -> Conditions:
    """Return the passes at half the spindle speed and half the feed: the same chip.

    `fin_w_k` is the conductance of the body at that speed.
    """
    wall: Touch = conditions.wall
    slower = replace(
        wall,
        contact_s=wall.contact_s * 2.0,
        dwell_s=wall.dwell_s * 2.0,
        edge_rate_per_s=wall.edge_rate_per_s / 2.0,
    )
    return replace(
        conditions,
        wall=slower,
        contact_per_effusivity=conditions.contact_per_effusivity / np.sqrt(2.0),
        edge_m2_s=conditions.edge_m2_s / 2.0,
        fin_w_k=fin_w_k,
    )
