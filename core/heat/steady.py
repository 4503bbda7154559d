"""A cut along a straight wall at constant speed: its conditions in closed form.

What a chart or a map asks for, what the anchors are, and what a long straight pass tends to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad, h_mean_mm
from core.cutting.rubbing import rubbing_thickness_mm
from core.heat.cutter_body import (
    air_film_w_m2k,
    contact_conductance_w_k,
    fin_conductance_w_k,
)
from core.heat.temperatures import Conditions, Touch

if TYPE_CHECKING:
    from core.cutting.values import Values
    from core.heat.estimates import Estimates


@dataclass(frozen=True, eq=False, slots=True)
class SteadyCut:
    """A straight cut; numbers or arrays that broadcast.

    Parameters
    ----------
    spindle_speed_rpm, teeth, feed_per_tooth_mm : Values
        n, z, f_z reached. [rpm], [-], [mm]
    diameter_mm, stick_out_mm, radial_width_mm, depth_mm : Values
        D, stick-out, a_e, a_p. [mm]
    recut_share, air_speed_m_s : Values
        Share of chips cut again, speed of the air on the cutter.
    wear, edge_radius_um : Values
        K_te over that of a fresh edge, and the edge radius.
    extra_contact_s : Values
        Time of a stop on the wall. [s]
    wedge : Values
        Factor of an outside corner.
    """

    spindle_speed_rpm: Values
    teeth: Values
    feed_per_tooth_mm: Values
    diameter_mm: Values
    stick_out_mm: Values
    radial_width_mm: Values
    depth_mm: Values
    recut_share: Values
    air_speed_m_s: Values
    wear: Values = 1.0
    edge_radius_um: Values = 5.0
    extra_contact_s: Values = 0.0
    wedge: Values = 1.0


def steady_conditions(cut: SteadyCut, estimates: Estimates, room_c: float) -> Conditions:
    """Return the conditions of a straight cut that has gone on long enough, all of one shape.

    Parameters
    ----------
    cut : SteadyCut
        The cut.
    estimates : Estimates
        Spring-back, thin chip, dwell.
    room_c : float
        Room temperature. [C]
    """
    wide = np.broadcast_arrays(*(getattr(cut, item.name) for item in fields(cut)))
    cut = SteadyCut(*(np.asarray(value, np.float64) for value in wide))
    turns, radius = cut.spindle_speed_rpm / 60.0, cut.diameter_mm / 2.0
    rate = turns * cut.teeth
    angle = engagement_angle_rad(cut.radial_width_mm, cut.diameter_mm)
    cuts = cut.feed_per_tooth_mm > rubbing_thickness_mm(cut.edge_radius_um)
    chip = np.where(cuts, h_mean_mm(cut.feed_per_tooth_mm, angle), 0.0)
    effort = np.where(cuts, 1.0, 0.5)
    thinness = 1e3 / (chip + estimates.thin_chip_mm)
    touching = 2.0 * np.sqrt(2.0 * radius * estimates.wall_contact_mm.value)
    contact_s = touching / (rate * cut.feed_per_tooth_mm)
    wall = Touch(
        thinness_per_m=thinness,
        effort=effort,
        contact_s=contact_s + cut.extra_contact_s,
        contact_power=0.5 * contact_s / (contact_s + cut.extra_contact_s),
        dwell_s=estimates.dwell_turns / turns + contact_s,
        wedge=np.asarray(cut.wedge),
        edge_rate_per_s=np.asarray(rate),
        wear=np.asarray(cut.wear),
    )
    diameter, depth = np.asarray(cut.diameter_mm) * 1e-3, cut.depth_mm * 1e-3
    speed = math.pi * diameter * turns
    duty = cut.teeth * angle / (2.0 * math.pi)
    film = air_film_w_m2k(diameter, turns, cut.air_speed_m_s)
    return Conditions(
        chip_thinness_per_m=thinness,
        recut_share=np.asarray(cut.recut_share),
        wear=wall.wear,
        wall=wall,
        wall_weight=np.ones_like(thinness),
        contact_per_effusivity=contact_conductance_w_k(chip * 1e-3, depth, duty, speed, 1.0),
        contact_thinness_per_m=thinness,
        edge_m2_s=depth * speed * duty * effort,
        edge_thinness_per_m=thinness,
        fin_w_k=fin_conductance_w_k(diameter, cut.stick_out_mm * 1e-3, film),
        warmed=np.ones_like(thinness),
        room_c=room_c,
    )
