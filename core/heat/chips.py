"""The chip along the path as heat sees it: which chip is hot, and what warms the cutter."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad, h_mean_mm
from core.heat.cutter_body import contact_conductance_w_k

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.estimates import Estimates
    from core.heat.settings import Settings
    from core.motion.records import Along

VOLUME_SHARE = 0.95
"""Share of the chip volume that is cooler than the chip temperature given. Dust at a stop is hot,
but there is next to nothing of it."""


@dataclass(frozen=True, eq=False, slots=True)
class Engagement:
    """How far round the cutter is engaged at each sample, m samples and b bands.

    Parameters
    ----------
    angle_rad : array of shape (b, m)
        Engagement angle. [rad]
    chip_ratio : array of shape (b, m)
        Mean chip thickness over feed per tooth.
    """

    angle_rad: NDArray[np.float64]
    chip_ratio: NDArray[np.float64]

    def at(self, samples: NDArray[np.intp]) -> Engagement:
        """Return the engagement at some samples."""
        return Engagement(self.angle_rad[:, samples], self.chip_ratio[:, samples])


@dataclass(frozen=True, eq=False, slots=True)
class CutterLoad:
    """What warms the cutter, as means over the time of each pass; shape (p,).

    See `Conditions` for the parameters.
    """

    contact_per_effusivity: NDArray[np.float64]
    contact_thinness_per_m: NDArray[np.float64]
    edge_m2_s: NDArray[np.float64]
    edge_thinness_per_m: NDArray[np.float64]


def engagement(along: Along, settings: Settings) -> Engagement:
    """Return the engagement at every sample."""
    of = along.pass_index
    towards = settings.wall_side[of] * along.curvature_per_mm
    diameter = settings.diameter_mm[of]
    rows = [engagement_angle_rad(width[of], diameter, towards) for width in settings.width_mm.T]
    angle = np.maximum(np.array(rows), 1e-6)
    return Engagement(angle, h_mean_mm(1.0, angle))


def thinnest_ratio(
    engaged: Engagement, settings: Settings, of: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Return the least chip thickness over feed per tooth among the bands, shape (k,)."""
    used = settings.depth_mm.T[:, of] > 0.0
    return np.asarray(np.where(used, engaged.chip_ratio, np.inf).min(axis=0))


def hot_chip_mm(
    engaged: Engagement,
    settings: Settings,
    of: NDArray[np.intp],
    speed_mm_s: NDArray[np.float64],
    way_mm: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the mean chip thickness that 95 % of the chip volume exceeds, shape (p,). [mm].

    Parameters
    ----------
    engaged : Engagement
        Engagement at k places.
    settings : Settings
        Passes.
    of : int array of shape (k,)
        Pass of each place.
    speed_mm_s, way_mm : array of shape (k,)
        Speed there, and the way that the place stands for. [mm/s], [mm]
    """
    feed = speed_mm_s / settings.edge_rate_per_s[of]
    chip = feed * engaged.chip_ratio
    # area of the chip over the way of the centre: R (1 - cos phi)
    area = engaged.chip_ratio * engaged.angle_rad * settings.depth_mm.T[:, of]
    volume = area * (way_mm * (feed > settings.rubbing_mm[of]))
    there = (volume > 0.0) | ~(volume > 0.0).any(axis=0)
    which = np.broadcast_to(of, there.shape)[there]
    return _least_of(chip[there], volume[there], which, len(settings.diameter_mm))


def _least_of(
    value: NDArray[np.float64], weight: NDArray[np.float64], of: NDArray[np.intp], count: int
) -> NDArray[np.float64]:
    """Return, for each pass, the value that `VOLUME_SHARE` of the weight is not below."""
    highest = max(float(value.max()), 1e-12)
    order = np.argsort(of + value / (2.0 * highest))
    total = np.cumsum(weight[order])
    last = np.cumsum(np.bincount(of, minlength=count)) - 1
    first = np.concatenate([[0], last[:-1] + 1])
    before = np.where(first > 0, total[first - 1], 0.0)
    wanted = before + (1.0 - VOLUME_SHARE) * (total[last] - before)
    found = np.clip(np.searchsorted(total, wanted, side="right"), first, last)
    return value[order[found]]


def cutter_load(
    engaged: Engagement, along: Along, settings: Settings, estimates: Estimates
) -> CutterLoad:
    """Return what warms the cutter in each pass."""
    of, start = along.pass_index, along.first[:-1]
    feed = along.speed_mm_s / settings.edge_rate_per_s[of]
    cuts = feed > settings.rubbing_mm[of]
    duty = settings.teeth[of] * engaged.angle_rad / (2.0 * math.pi)
    depth = settings.depth_mm.T[:, of] * 1e-3
    chip = np.where(cuts, feed * engaged.chip_ratio, 0.0)
    thinness = 1e3 / (chip + estimates.thin_chip_mm)
    speed = settings.cutting_speed_mm_s[of] * 1e-3
    weight = along.time_weight_s
    contact = contact_conductance_w_k(chip * 1e-3, depth, duty, speed, 1.0) * weight
    edge = depth * speed * duty * np.where(cuts, 1.0, 0.5) * weight
    sums = [
        np.add.reduceat(amount.sum(axis=0), start)
        for amount in (contact, contact * thinness, edge, edge * thinness)
    ]
    time = np.maximum(np.add.reduceat(weight, start), 1e-12)
    return CutterLoad(
        sums[0] / time,
        sums[1] / np.maximum(sums[0], 1e-300),
        sums[2] / time,
        sums[3] / np.maximum(sums[2], 1e-300),
    )
