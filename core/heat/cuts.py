"""A job's passes as the heat model sees them, and the conditions that follow."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.heat.chips import Engagement, bands_at, cutter_load, engagement, hot_chip_mm
from core.heat.contact import Runs, find_runs
from core.heat.history import Work, highest_rise_k
from core.heat.pass_table import PassTable, fin_and_time, rack_time_s, read, recut_share
from core.heat.temperatures import (
    Coefficients,
    Conditions,
    contact_w_k,
    cutter_steady_k,
    nominal,
    repeats,
    taken,
    wall_rise_k,
)
from core.heat.walls import WallPlaces, wall_places
from core.plan.alike import alike

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.heat.estimates import Estimates
    from core.job import Air
    from core.library.records import HeatCoefficients, Machine, Material
    from core.motion.records import Along, Motion
    from core.plan.records import Pass


@dataclass(frozen=True, eq=False, slots=True)
class Cuts:
    """Everything read of a job's passes, p in number, with m samples and k places of the wall.

    Parameters
    ----------
    passes, heat, along, air, estimates, acceleration_mm_s2
        As given to `assess`. [mm/s2]
    table : PassTable
        The passes as arrays.
    runs : Runs
        Stretches of one curvature.
    engaged : Engagement
        Engagement along them.
    places : WallPlaces
        Wall beside the samples, and tips of corners.
    wall_k : array of shape (k,)
        Nominal rise at those places. [K]
    coefficients : Coefficients
        Nominal coefficients.
    """

    passes: Sequence[Pass]
    heat: HeatCoefficients
    along: Along
    air: Air
    estimates: Estimates
    table: PassTable
    runs: Runs
    engaged: Engagement
    places: WallPlaces
    wall_k: NDArray[np.float64]
    coefficients: Coefficients
    acceleration_mm_s2: float


def read_cuts(
    passes: Sequence[Pass],
    along: Along,
    material: Material,
    machine: Machine,
    air: Air,
    thickness_mm: float,
    estimates: Estimates,
) -> Cuts:
    """Return the passes as the heat model sees them; the material has heat coefficients."""
    assert material.heat is not None, "the caller leaves out what is not modelled"
    table = read(passes, material.heat, thickness_mm, estimates)
    runs = find_runs(along, table.wall_side, table.radius_mm)
    engaged = engagement(runs, table)
    places = wall_places(along, runs, table, engaged.thinnest, estimates)
    coefficients = nominal(material, estimates)
    return Cuts(
        passes=passes,
        heat=material.heat,
        along=along,
        air=air,
        estimates=estimates,
        table=table,
        runs=runs,
        engaged=engaged,
        places=places,
        wall_k=np.asarray(wall_rise_k(coefficients, places.touch)),
        coefficients=coefficients,
        acceleration_mm_s2=machine.acceleration_mm_s2,
    )


def hottest_walls(cuts: Cuts) -> NDArray[np.intp]:
    """Return the number of the hottest place of each pass, shape (p,)."""
    there = np.where(cuts.places.exists, cuts.wall_k, 0.0)
    return hottest_of(there, cuts.places.pass_index)


def hottest_of(rise_k: NDArray[np.float64], of: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the number of the hottest place of each pass; places of a pass stand together.

    Examples
    --------
    >>> hottest_of(np.array([3.0, 9.0, 9.0, 1.0, 2.0]), np.array([0, 0, 0, 1, 1])).tolist()
    [1, 4]
    """
    begin = np.flatnonzero(np.concatenate([[True], of[1:] != of[:-1]]))
    highest = np.maximum.reduceat(rise_k, begin)
    at = np.where(rise_k == highest[of], np.arange(len(rise_k)), len(rise_k))
    return np.asarray(np.minimum.reduceat(at, begin))


def conditions_of(cuts: Cuts, hottest: NDArray[np.intp], room_c: float) -> Conditions:
    """Return the conditions of every pass, with the cutter at its steady temperature.

    Parameters
    ----------
    cuts : Cuts
        The passes.
    hottest : int array of shape (p,)
        Hottest place of the wall of each.
    room_c : float
        Room temperature. [C]
    """
    table, estimates, along = cuts.table, cuts.estimates, cuts.along
    bands = bands_at(cuts.engaged, cuts.runs, cuts.runs.of_sample)
    chip_mm = hot_chip_mm(bands, table, along.speed_mm_s, along.length_weight_mm)
    load = cutter_load(bands, along, table, estimates)
    fin, _ = fin_and_time(table, estimates.air_speed_m_s(cuts.air))
    return Conditions(
        chip_thinness_per_m=1e3 / (chip_mm + estimates.thin_chip_mm),
        recut_share=recut_share(table, cuts.air, estimates),
        wear=table.wear,
        wall=taken(cuts.places.touch, hottest),
        wall_weight=alike(cuts.passes).each(lambda p: p.toolpath.wall_stock_mm <= 0.0),
        contact_per_effusivity=load.contact_per_effusivity,
        contact_thinness_per_m=load.contact_thinness_per_m,
        edge_m2_s=load.edge_m2_s,
        edge_thinness_per_m=load.edge_thinness_per_m,
        fin_w_k=fin,
        warmed=np.ones(len(cuts.passes)),
        room_c=room_c,
    )


def warmed(
    cuts: Cuts,
    conditions: Conditions,
    motion: Motion,
    order: Sequence[int],
    idle_s: Sequence[float],
) -> tuple[Conditions, NDArray[np.float64]]:
    """Return the conditions with how far each cutter really warms up over the order of work.

    Returns
    -------
    (Conditions, array of shape (p,))
        Conditions, and the time constant of the cutter's body while it cuts. [s]

    Notes
    -----
    Passes that are not in the order are taken to follow it.
    """
    table, c = cuts.table, cuts.coefficients
    steady = np.asarray(cutter_steady_k(c, conditions, repeats(c, conditions.recut_share)))
    fin, idle_tau_s = fin_and_time(table, cuts.estimates.air_speed_m_s(cuts.air))
    cutting_tau_s = idle_tau_s * fin / (fin + np.asarray(contact_w_k(c, conditions)))
    work = Work(
        steady_k=steady,
        cutting_tau_s=cutting_tau_s,
        idle_tau_s=idle_tau_s,
        rack_tau_s=rack_time_s(table, cuts.estimates),
        cutting_s=motion.cutting_s,
        entering_s=motion.entering_s,
    )
    rest = sorted(set(range(len(cuts.passes))) - set(order))
    rise = highest_rise_k(
        work,
        [p.toolpath.mounted.key for p in cuts.passes],
        [*order, *rest],
        [*idle_s, *[0.0] * len(rest)],
    )
    return replace(conditions, warmed=rise / np.maximum(steady, 1e-9)), cutting_tau_s
