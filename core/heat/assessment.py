"""From passes and motion to the heat of every pass."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.heat.cause import (
    at_half_speed,
    name_causes,
    with_edge,
    with_thick_chips,
)
from core.heat.chips import Engagement, cutter_load, engagement, hot_chip_mm, thinnest_ratio
from core.heat.estimates import ESTIMATES, Estimates
from core.heat.history import Work, highest_rise_k
from core.heat.records import TIGHT_ABOVE, MarginBand, PassHeat
from core.heat.risk import Risk, draws_of, risk
from core.heat.settings import Settings, fin_and_time, rack_time_s, read, recut_share, wear_factor
from core.heat.temperatures import (
    Coefficients,
    Conditions,
    chip_rise_k,
    contact_w_k,
    cutter_steady_k,
    edge_shares,
    margins_k,
    nominal,
    taken,
    wall_rise_k,
)
from core.heat.walls import WallPlaces, wall_places
from core.job import Air
from core.library.records import Helix

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.library.records import HeatCoefficients, Machine, Material
    from core.motion.records import Along, Motion
    from core.plan.records import Pass

PARTS = ("chip", "wall", "cutter")
"""What may soften, in the order of `margins_k`."""


@dataclass(frozen=True, eq=False, slots=True)
class _Cuts:
    """Everything read of a job's passes, before any temperature."""

    passes: Sequence[Pass]
    heat: HeatCoefficients
    along: Along
    air: Air
    estimates: Estimates
    settings: Settings
    engaged: Engagement
    places: WallPlaces
    coefficients: Coefficients


def assess(
    passes: Sequence[Pass],
    motion: Motion,
    material: Material,
    machine: Machine,
    air: Air,
    *,
    thickness_mm: float,
    order: Sequence[int] | None = None,
    idle_s: Sequence[float] | None = None,
    estimates: Estimates = ESTIMATES,
) -> tuple[PassHeat | None, ...]:
    """Return the heat of every pass; None for each where the material has no coefficients.

    Parameters
    ----------
    passes : sequence of Pass, p in number
        The passes, as in `motion`.
    motion : Motion
        How the machine really moves.
    material : Material
        The sheet; without heat coefficients nothing is modelled.
    machine : Machine
        Acceleration and room temperature.
    air : Air
        What clears the chip.
    thickness_mm : float
        Of the sheet: how deep in the slot a pass is. [mm]
    order : sequence of int, optional
        Passes in the order of work, copies included; as given if left out.
    idle_s : sequence of float, optional
        Time before each pass of the order for rapids, ramps and changes. [s]
    estimates : Estimates
        Coefficients that are on no card.
    """
    if material.heat is None or not passes:
        return (None,) * len(passes)
    cuts = _read(passes, motion, material, machine, air, thickness_mm, estimates)
    wall_k, hottest = _hottest(
        cuts.places, np.asarray(wall_rise_k(cuts.coefficients, cuts.places.touch))
    )
    first = _conditions(cuts, hottest, machine)
    order = range(len(passes)) if order is None else order
    idle_s = [0.0] * len(order) if idle_s is None else idle_s
    conditions, tau = _warmed(cuts, first, motion, order, idle_s)
    draws = draws_of(material, estimates)
    band = risk(draws, conditions)
    causes = _causes(cuts, conditions, band)
    return _results(cuts, conditions, wall_k, hottest, tau, band, causes, draws.anchored)


def _read(
    passes: Sequence[Pass],
    motion: Motion,
    material: Material,
    machine: Machine,
    air: Air,
    thickness_mm: float,
    estimates: Estimates,
) -> _Cuts:
    assert material.heat is not None, "the caller leaves out what is not modelled"
    along = motion.along
    settings = read(passes, material.heat, thickness_mm, estimates)
    engaged = engagement(along, settings)
    thinnest = thinnest_ratio(engaged, along, settings)
    places = wall_places(along, settings, thinnest, machine.acceleration_mm_s2, estimates)
    coefficients = nominal(material, estimates)
    return _Cuts(
        passes, material.heat, along, air, estimates, settings, engaged, places, coefficients
    )


def _hottest(
    places: WallPlaces, rise_k: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return the rise at every place, 0 where there is no wall, and the hottest of each pass."""
    rise = np.where(places.exists, rise_k, 0.0)
    begin = places.first[:-1]
    highest = np.maximum.reduceat(rise, begin)
    number = np.arange(len(rise))
    at = np.where(rise == highest[places.pass_index], number, len(rise))
    return rise, np.minimum.reduceat(at, begin)


def _conditions(cuts: _Cuts, hottest: NDArray[np.intp], machine: Machine) -> Conditions:
    settings, estimates, along = cuts.settings, cuts.estimates, cuts.along
    chip_mm = hot_chip_mm(cuts.engaged, along, settings, along.speed_mm_s)
    load = cutter_load(cuts.engaged, along, settings, estimates)
    fin, _ = fin_and_time(settings, estimates.air_speed_m_s(cuts.air))
    return Conditions(
        chip_thinness_per_m=1e3 / (chip_mm + estimates.thin_chip_mm),
        recut_share=recut_share(settings, cuts.air, estimates),
        wear=settings.wear,
        wall=taken(cuts.places.touch, hottest),
        contact_per_effusivity=load.contact_per_effusivity,
        contact_thinness_per_m=load.contact_thinness_per_m,
        edge_m2_s=load.edge_m2_s,
        edge_thinness_per_m=load.edge_thinness_per_m,
        fin_w_k=fin,
        warmed=np.ones(len(cuts.passes)),
        room_c=machine.room_temperature_c,
    )


def _warmed(
    cuts: _Cuts,
    conditions: Conditions,
    motion: Motion,
    order: Sequence[int],
    idle_s: Sequence[float],
) -> tuple[Conditions, NDArray[np.float64]]:
    """Return the conditions with how far the cutter warms up, and its time constant in the cut."""
    settings, c = cuts.settings, cuts.coefficients
    steady = np.asarray(cutter_steady_k(c, conditions))
    _, idle_s_constant = fin_and_time(settings, cuts.estimates.air_speed_m_s(cuts.air))
    fin = conditions.fin_w_k
    cutting = idle_s_constant * fin / (fin + np.asarray(contact_w_k(c, conditions)))
    work = Work(
        steady_k=steady,
        cutting_tau_s=cutting,
        idle_tau_s=idle_s_constant,
        rack_tau_s=rack_time_s(settings, cuts.estimates),
        cutting_s=motion.cutting_s,
        entering_s=motion.entering_s,
    )
    cutters = [p.toolpath.mounted.key for p in cuts.passes]
    rise = highest_rise_k(work, cutters, order, idle_s)
    return replace(conditions, warmed=rise / np.maximum(steady, 1e-9)), cutting


def _causes(cuts: _Cuts, conditions: Conditions, band: Risk) -> list[str | None]:
    """Return the cause of each pass that is not comfortable, else None."""
    causes: list[str | None] = [None] * len(cuts.passes)
    rows = np.flatnonzero(band.p_hot > TIGHT_ABOVE)
    if not len(rows):
        return causes
    without = {n: taken(c, rows) for n, c in _without(cuts, conditions).items()}
    words = [_words(cuts, int(row)) for row in rows]
    named = name_causes(cuts.coefficients, taken(conditions, rows), without, words)
    for row, cause in zip(rows, named, strict=True):
        causes[row] = cause
    return causes


def _without(cuts: _Cuts, conditions: Conditions) -> dict[str, Conditions]:
    """Return the conditions with one contributor after the other taken away."""
    settings, estimates, along = cuts.settings, cuts.estimates, cuts.along
    steady = cuts.places.steady
    _, place = _hottest(cuts.places, np.asarray(wall_rise_k(cuts.coefficients, steady)))
    off_tip = np.where(cuts.places.rolled, 0.0, wall_rise_k(cuts.coefficients, cuts.places.touch))
    _, unrolled = _hottest(cuts.places, off_tip)
    free = cuts.places.free_mm_s[cuts.places.is_sample]
    chip_mm = hot_chip_mm(cuts.engaged, along, settings, np.maximum(along.speed_mm_s, free))
    upshear = replace(settings, lift=np.ones(len(cuts.passes)))
    blown, _ = fin_and_time(settings, estimates.blast_m_s)
    slower, _ = fin_and_time(settings, estimates.air_speed_m_s(cuts.air), 0.5)
    fresh = np.array(
        [
            wear_factor(cuts.heat, p.toolpath.mounted.cutter.edge_radius_um, estimates)
            for p in cuts.passes
        ]
    )
    return {
        "stop": replace(
            conditions,
            wall=taken(steady, place),
            chip_thinness_per_m=1e3 / (chip_mm + estimates.thin_chip_mm),
        ),
        "thin": with_thick_chips(cuts.coefficients, conditions),
        "packed": replace(
            conditions, recut_share=recut_share(settings, cuts.air, estimates, deep=False)
        ),
        "worn": with_edge(conditions, np.minimum(fresh, settings.wear)),
        "air": replace(
            conditions, recut_share=recut_share(settings, Air.BLAST, estimates), fin_w_k=blown
        ),
        "roll": replace(conditions, wall=taken(cuts.places.touch, unrolled)),
        "helix": replace(conditions, recut_share=recut_share(upshear, cuts.air, estimates)),
        "speed": at_half_speed(conditions, slower),
    }


def _words(cuts: _Cuts, row: int) -> dict[str, str]:
    """Return how to say what may make a pass hot, without what does not apply to it."""
    first, last = cuts.along.first[row : row + 2]
    corner = bool((cuts.along.corner_rad[first:last] != 0.0).any())
    helix = cuts.passes[row].toolpath.mounted.cutter.helix
    said = {
        "stop": "the stop in the corner" if corner else "the stop on the wall",
        "roll": "rolling about the corner",
        "thin": "thin chip",
        "packed": "packed slot",
        "worn": "worn edge",
        "speed": "spindle speed",
    }
    if cuts.air is not Air.BLAST:
        said["air"] = "no air on the cutter" if cuts.air is Air.NONE else "suction but no air blast"
    if helix is not Helix.UPSHEAR:
        said["helix"] = f"{helix.value} flutes keep the chip in the slot"
    return said


def _results(
    cuts: _Cuts,
    conditions: Conditions,
    wall_k: NDArray[np.float64],
    hottest: NDArray[np.intp],
    tau_s: NDArray[np.float64],
    band: Risk,
    causes: Sequence[str | None],
    anchored: bool,
) -> tuple[PassHeat, ...]:
    c, room, places = cuts.coefficients, conditions.room_c, cuts.places
    chip = room + np.asarray(
        chip_rise_k(c, conditions.chip_thinness_per_m, conditions.recut_share, conditions.wear)
    )
    cutter = room + conditions.warmed * cutter_steady_k(c, conditions)
    margins = np.array(margins_k(c, conditions))
    shares = [np.asarray(share) for share in edge_shares(c, conditions.chip_thinness_per_m)]
    chip_mm = 1e3 / conditions.chip_thinness_per_m - cuts.estimates.thin_chip_mm
    contact = np.asarray(contact_w_k(c, conditions))
    edge_w = c.edge_j_m2 * conditions.wear * conditions.edge_m2_s
    where = places.xy_mm(cuts.along, hottest)
    along_c = room + wall_k[places.is_sample]
    along_c.flags.writeable = False
    first = cuts.along.first
    return tuple(
        PassHeat(
            chip_c=float(chip[i]),
            wall_c=float(room + wall_k[hottest[i]]),
            wall_hottest_at_mm=(float(where[i, 0]), float(where[i, 1])),
            cutter_c=float(cutter[i]),
            margin_k=MarginBand(
                float(band.low_k[i]), float(margins[:, i].min()), float(band.high_k[i])
            ),
            p_hot=float(band.p_hot[i]),
            hottest=PARTS[int(margins[:, i].argmin())],
            cause=causes[i],
            anchored=anchored,
            final_wall=cuts.passes[i].toolpath.wall_stock_mm <= 0.0,
            wall_along_c=along_c[first[i] : first[i + 1]],
            chip_thickness_mm=float(chip_mm[i]),
            contact_s=float(conditions.wall.contact_s[i]),
            recut_share=float(conditions.recut_share[i]),
            edge_radius_um=float(cuts.settings.edge_radius_um[i]),
            edge_force_n_mm=float(cuts.heat.edge_force_n_mm * conditions.wear[i]),
            chip_share=float(shares[0][i]),
            wall_share=float(shares[1][i]),
            cutter_share=float(shares[2][i]),
            fin_w_k=float(conditions.fin_w_k[i]),
            contact_w_k=float(contact[i]),
            edge_w=float(edge_w[i]),
            time_constant_s=float(tau_s[i]),
        )
        for i in range(len(cuts.passes))
    )
