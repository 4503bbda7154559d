"""A pass at constant speed along one bend, in all its bands: what a map of settings asks for.

Spindle speeds and chip loads may be a row and a column: every value keeps the least shape that it
needs, so that a map costs little more than its edges.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad, h_mean_mm
from core.cutting.rubbing import rubbing_thickness_mm
from core.heat.chips import least_of
from core.heat.cutter_body import (
    air_film_w_m2k,
    contact_conductance_w_k,
    fin_conductance_w_k,
)
from core.heat.temperatures import Conditions, Touch

if TYPE_CHECKING:
    from core.cutting.values import Array, Values
    from core.heat.estimates import Estimates


@dataclass(frozen=True, eq=False, slots=True)
class SteadyPass:
    """A pass that goes on at one speed; arrays broadcast against each other.

    Parameters
    ----------
    spindle_speed_rpm, feed_per_tooth_mm : array
        n, and f_z reached. [rpm], [mm]
    teeth, diameter_mm, stick_out_mm : float
        The cutter.
    bands : tuple of (float, float)
        Radial width and height of each band. [mm]
    bend_per_mm : float
        Curvature of the way towards the wall: 0 straight, negative in a hole.
    recut_share : Values
        Share of chips cut again.
    air_speed_m_s, wear, edge_radius_um : float
        Air on the cutter; K_te over that of a fresh edge; edge radius.
    wall_weight : float
        1 where the wall stays on the part, else 0.
    """

    spindle_speed_rpm: Array
    feed_per_tooth_mm: Array
    teeth: float
    diameter_mm: float
    stick_out_mm: float
    bands: tuple[tuple[float, float], ...]
    bend_per_mm: float
    recut_share: Values
    air_speed_m_s: float
    wear: float
    edge_radius_um: float
    wall_weight: float


def steady_pass_conditions(cut: SteadyPass, estimates: Estimates, room_c: float) -> Conditions:
    """Return the conditions of a pass that has gone on long enough for its cutter to be warm.

    Parameters
    ----------
    cut : SteadyPass
        The pass.
    estimates : Estimates
        Spring-back, thin chip, dwell.
    room_c : float
        Room temperature. [C]

    Notes
    -----
    Stops, corners and ways in and out are not in it: where a pass slows down it is warmer.
    """
    width, depth = np.array(cut.bands).T
    angle = engagement_angle_rad(width, cut.diameter_mm, cut.bend_per_mm)
    ratio = h_mean_mm(1.0, angle)
    feed, turns = cut.feed_per_tooth_mm, cut.spindle_speed_rpm / 60.0
    cuts = feed > rubbing_thickness_mm(cut.edge_radius_um)
    rubs_nowhere = bool(np.all(cuts))
    effort = np.ones(()) if rubs_nowhere else np.where(cuts, 1.0, 0.5)
    speed_m_s = math.pi * cut.diameter_mm * 1e-3 * turns

    cutting_mm = feed if rubs_nowhere else np.where(cuts, feed, 0.0)
    chips_mm = [cutting_mm * one for one in ratio.tolist()]
    thin = [1e3 / (chip + estimates.thin_chip_mm) for chip in chips_mm]
    contact = contact_thin = edge = edge_thin = np.zeros(())
    for one, chip, deep, swept in zip(thin, chips_mm, depth * 1e-3, angle, strict=True):
        duty = cut.teeth * swept / (2.0 * math.pi)
        warms = contact_conductance_w_k(chip * 1e-3, deep, duty, 1.0, 1.0)
        rubs = deep * duty * effort
        contact, contact_thin = contact + warms, contact_thin + warms * one
        edge, edge_thin = edge + rubs, edge_thin + rubs * one
    # the band whose chip 95 % of the volume is cooler than is the same for every feed
    volume = ratio * angle * depth
    hot = float(least_of(ratio, volume, np.zeros(len(ratio), np.intp), 1)[0])
    hot_band = ratio.tolist().index(hot)
    film = air_film_w_m2k(cut.diameter_mm * 1e-3, turns, cut.air_speed_m_s)
    return Conditions(
        chip_thinness_per_m=thin[hot_band],
        recut_share=np.asarray(cut.recut_share),
        wear=np.asarray(cut.wear),
        wall=_touch(cut, estimates, thin[int(ratio.argmin())], effort),
        wall_weight=np.asarray(cut.wall_weight),
        contact_per_effusivity=contact * np.sqrt(speed_m_s),
        contact_thinness_per_m=contact_thin / np.maximum(contact, 1e-300),
        edge_m2_s=edge * speed_m_s,
        edge_thinness_per_m=edge_thin / edge,
        fin_w_k=fin_conductance_w_k(cut.diameter_mm * 1e-3, cut.stick_out_mm * 1e-3, film),
        warmed=np.ones(()),
        room_c=room_c,
    )


def _touch(cut: SteadyPass, estimates: Estimates, thinness: Array, effort: Array) -> Touch:
    """Return how the cutter touches the wall while it passes at constant speed."""
    radius, turns = cut.diameter_mm / 2.0, cut.spindle_speed_rpm / 60.0
    straight = 2.0 * math.sqrt(2.0 * radius * estimates.wall_contact_mm.value)
    way = straight / math.sqrt(max(1.0 - radius * cut.bend_per_mm, 1e-3))
    rate = turns * cut.teeth
    feed_mm_s = rate * cut.feed_per_tooth_mm
    return Touch(
        thinness_per_m=thinness,
        effort=effort,
        contact_s=way / feed_mm_s,
        contact_power=np.asarray(0.5),
        dwell_s=estimates.dwell_turns / turns + straight / feed_mm_s,
        wedge=np.ones(()),
        edge_rate_per_s=np.asarray(rate),
        wear=np.asarray(cut.wear),
    )
