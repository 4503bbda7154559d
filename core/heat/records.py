"""What the heat stage says about a pass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class MarginBand:
    """Kelvins to softening: 5 %, nominal and 95 % over the uncertainty of the coefficients. [K]."""

    low: float
    nominal: float
    high: float


@dataclass(frozen=True, eq=False, slots=True)
class PassHeat:
    """Temperatures of one pass, and how sure they are.

    Parameters
    ----------
    chip_c : float
        Chip temperature that 95 % of the chip volume stays below. [C]
    wall_c : float
        Hottest place of the wall. [C]
    wall_hottest_at_mm : (float, float)
        Cutter centre when it touches that place. [mm]
    cutter_c : float
        Highest temperature of the cutter's body during the pass, over the order of work. [C]
    margin_k : MarginBand
        Least of the distances of chip, wall and cutter from softening. [K]
    p_hot : float
        Share of the uncertainty in which that margin is below zero.
    hottest : str
        What is nearest to softening: "chip", "wall" or "cutter".
    cause : str or None
        What makes it hot, in words; "nothing stands out" where no single thing does; None where
        the pass is comfortable.
    anchored : bool
        True where draws of the coefficients that contradict known practice were left out.
    final_wall : bool
        True where this pass leaves the wall of the part; else its wall is cut away later.
    wall_along_c : array of shape (n,)
        Wall temperature at the samples of the pass; that of the room where a mitred corner takes
        the cutter off the wall. [C]
    chip_thickness_mm, contact_s : float
        Put in: mean chip thickness at the 95 % chip, contact time at the hottest wall. [mm], [s]
    recut_share, edge_radius_um, edge_force_n_mm : float
        Put in: share of chips cut again; edge radius with its wear, and the K_te of that edge.
        [-], [um], [N/mm]
    chip_share, wall_share, cutter_share : float
        Put in: shares of the edge work at that chip thickness; their sum is 1.
    fin_w_k, contact_w_k, edge_w, time_constant_s : float
        Put in: conductance of the cutter's body and between chips and cutter, power of the edge
        work, time constant of the body. [W/K], [W/K], [W], [s]
    calibrated : bool
        Whether the shop's own measurements stand behind the coefficients.
    """

    chip_c: float
    wall_c: float
    wall_hottest_at_mm: tuple[float, float]
    cutter_c: float
    margin_k: MarginBand
    p_hot: float
    hottest: str
    cause: str | None
    anchored: bool
    final_wall: bool
    wall_along_c: NDArray[np.float64]
    chip_thickness_mm: float
    contact_s: float
    recut_share: float
    edge_radius_um: float
    edge_force_n_mm: float
    chip_share: float
    wall_share: float
    cutter_share: float
    fin_w_k: float
    contact_w_k: float
    edge_w: float
    time_constant_s: float
    calibrated: bool = False


def state_word(p_hot: float, calibrated: bool = False) -> str:
    """Return the state of the heat limit: "good", "tight" or "outside".

    Outside above 0.30, tight above 0.05; tight at most while not calibrated.

    Examples
    --------
    >>> state_word(0.02), state_word(0.6), state_word(0.6, calibrated=True)
    ('good', 'tight', 'outside')
    """
    if p_hot > TIGHT_ABOVE:
        return "outside" if calibrated and p_hot > OUTSIDE_ABOVE else "tight"
    return "good"


TIGHT_ABOVE, OUTSIDE_ABOVE = 0.05, 0.30
"""Bounds of p_hot between the states."""
