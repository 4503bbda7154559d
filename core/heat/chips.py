"""The chip along the path as heat sees it: which chip is hot, and what warms the cutter.

Terms: a *place* is a sample, or a whole run where the machine is taken not to stop. The engagement
is the same all along a run, so it is computed once a run.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.chip import engagement_angle_rad, h_mean_mm
from core.heat.cutter_body import contact_conductance_w_k

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.contact import Runs
    from core.heat.estimates import Estimates
    from core.heat.pass_table import PassTable
    from core.motion.records import Along

VOLUME_SHARE = 0.95
"""Share of the chip volume that is cooler than the chip temperature given. Dust at a stop is hot,
but there is next to nothing of it."""


@dataclass(frozen=True, eq=False, slots=True)
class Engagement:
    """How far round the cutter is engaged; b bands, r runs.

    Parameters
    ----------
    angle_rad : array of shape (b, r)
        Engagement angle. [rad]
    chip_ratio : array of shape (b, r)
        Mean chip thickness over feed per tooth.
    depth_mm : array of shape (b, r)
        Height of the band; 0 where the pass has no such band. [mm]
    """

    angle_rad: NDArray[np.float64]
    chip_ratio: NDArray[np.float64]
    depth_mm: NDArray[np.float64]

    @property
    def thinnest(self) -> NDArray[np.float64]:
        """Least chip ratio among the bands, shape (r,)."""
        return np.asarray(np.where(self.depth_mm > 0.0, self.chip_ratio, np.inf).min(axis=0))


@dataclass(frozen=True, eq=False, slots=True)
class BandPlaces:
    """Bands at places, q in number; each array of shape (q,).

    Parameters
    ----------
    place, pass_index : int array
        Place and pass of each.
    angle_rad, chip_ratio, depth_mm : array
        As in `Engagement`. [rad], [-], [mm]
    """

    place: NDArray[np.intp]
    pass_index: NDArray[np.intp]
    angle_rad: NDArray[np.float64]
    chip_ratio: NDArray[np.float64]
    depth_mm: NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class CutterLoad:
    """What warms the cutter, as means over the time of each pass; shape (p,).

    See `Conditions` for the parameters.
    """

    contact_per_effusivity: NDArray[np.float64]
    contact_thinness_per_m: NDArray[np.float64]
    edge_m2_s: NDArray[np.float64]
    edge_thinness_per_m: NDArray[np.float64]


def engagement(runs: Runs, table: PassTable) -> Engagement:
    """Return the engagement of every run."""
    of = runs.pass_index
    diameter = table.diameter_mm[of]
    angles = [
        engagement_angle_rad(width[of], diameter, runs.towards_per_mm) for width in table.width_mm.T
    ]
    angle = np.maximum(np.array(angles), 1e-6)
    return Engagement(angle, h_mean_mm(1.0, angle), table.depth_mm.T[:, of])


def bands_at(engaged: Engagement, runs: Runs, run: NDArray[np.intp]) -> BandPlaces:
    """Return the bands at places that lie on the given runs."""
    band, place = np.nonzero((engaged.depth_mm > 0.0)[:, run])
    at = (band, run[place])
    return BandPlaces(
        place=place,
        pass_index=runs.pass_index[at[1]],
        angle_rad=engaged.angle_rad[at],
        chip_ratio=engaged.chip_ratio[at],
        depth_mm=engaged.depth_mm[at],
    )


def hot_chip_mm(
    bands: BandPlaces,
    table: PassTable,
    speed_mm_s: NDArray[np.float64],
    way_mm: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the mean chip thickness that 95 % of the chip volume exceeds, shape (p,). [mm].

    Parameters
    ----------
    bands : BandPlaces
        Bands at k places.
    table : PassTable
        Passes.
    speed_mm_s, way_mm : array of shape (k,)
        Speed there, and the way that each place stands for. [mm/s], [mm]
    """
    of = bands.pass_index
    feed = speed_mm_s[bands.place] / table.edge_rate_per_s[of]
    # area of the chip over the way of the centre: R (1 - cos phi)
    area = bands.chip_ratio * bands.angle_rad * bands.depth_mm
    volume = area * way_mm[bands.place] * (feed > table.rubbing_mm[of])
    return least_of(feed * bands.chip_ratio, volume, of, len(table.diameter_mm))


def least_of(
    value: NDArray[np.float64], weight: NDArray[np.float64], of: NDArray[np.intp], count: int
) -> NDArray[np.float64]:
    """Return, for each of `count` groups, the value that 95 % of the weight is not below.

    Examples
    --------
    >>> value, weight = np.array([5.0, 1.0, 3.0, 7.0]), np.array([90.0, 4.0, 6.0, 1.0])
    >>> least_of(value, weight, np.array([0, 0, 0, 1]), 2).tolist()
    [3.0, 7.0]
    """
    highest = max(float(value.max()), 1e-12)
    # stable: it finds the many runs that are in order already
    order = np.argsort(of + value / (2.0 * highest), kind="stable")
    total = np.cumsum(weight[order])
    last = np.cumsum(np.bincount(of, minlength=count)) - 1
    first = np.concatenate([[0], last[:-1] + 1])
    before = np.where(first > 0, total[first - 1], 0.0)
    wanted = before + (1.0 - VOLUME_SHARE) * (total[last] - before)
    found = np.clip(np.searchsorted(total, wanted, side="right"), first, last)
    return value[order[found]]


def cutter_load(
    bands: BandPlaces, along: Along, table: PassTable, estimates: Estimates
) -> CutterLoad:
    """Return what warms the cutter in each pass, from the bands at its samples."""
    of, at, count = bands.pass_index, bands.place, len(table.diameter_mm)
    feed = along.speed_mm_s[at] / table.edge_rate_per_s[of]
    cuts = feed > table.rubbing_mm[of]
    chip = np.where(cuts, feed * bands.chip_ratio, 0.0)
    thinness = 1e3 / (chip + estimates.thin_chip_mm)
    duty = table.teeth[of] * bands.angle_rad / (2.0 * math.pi)
    speed, depth = table.cutting_speed_mm_s[of] * 1e-3, bands.depth_mm * 1e-3
    weight = along.time_weight_s[at]
    contact = contact_conductance_w_k(chip * 1e-3, depth, duty, speed, 1.0) * weight
    edge = depth * speed * duty * np.where(cuts, 1.0, 0.5) * weight
    contacts, contacts_thin, edges, edges_thin = (
        np.bincount(of, amount, count)
        for amount in (contact, contact * thinness, edge, edge * thinness)
    )
    time = np.maximum(np.bincount(along.pass_index, along.time_weight_s, count), 1e-12)
    return CutterLoad(
        contacts / time,
        contacts_thin / np.maximum(contacts, 1e-300),
        edges / time,
        edges_thin / np.maximum(edges, 1e-300),
    )
