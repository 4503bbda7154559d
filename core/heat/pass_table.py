"""What the heat model reads of the passes, as arrays: one row a pass, one column a band.

Terms: a *band* is a part of the height that the cutter works in with one radial width; the final
skim has two, the wall stock over the height and a full slot in the skin. A pass with fewer bands
than others has bands of no depth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.rubbing import rubbing_thickness_mm
from core.cutting.section import chip_packing, gullet_area_mm2
from core.heat.cutter_body import air_film_w_m2k, fin_conductance_w_k, time_constant_s
from core.plan.alike import alike

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.cutting.values import Values
    from core.heat.estimates import Estimates
    from core.job import Air
    from core.library.records import HeatCoefficients, MountedCutter
    from core.plan.records import Pass


@dataclass(frozen=True, eq=False, slots=True)
class PassTable:
    """Passes as arrays of shape (p,); bands of shape (p, b).

    Parameters
    ----------
    diameter_mm, stick_out_mm, edge_radius_um : array
        The cutter; the edge radius with its wear. [mm], [mm], [um]
    teeth, turns_s, feed_mm_s : array
        Edges, revolutions a second, programmed feed speed. [-], [1/s], [mm/s]
    depth_below_top_mm : array
        From the top of the sheet to the bottom of the pass. [mm]
    lift : array
        Factor of the helix on the recut share.
    wall_side : int array
        As in `Toolpath`.
    width_mm, depth_mm : array of shape (p, b)
        Radial width and height of each band. [mm]
    wear : array
        K_te over that of a fresh edge.
    """

    diameter_mm: NDArray[np.float64]
    stick_out_mm: NDArray[np.float64]
    edge_radius_um: NDArray[np.float64]
    teeth: NDArray[np.float64]
    turns_s: NDArray[np.float64]
    feed_mm_s: NDArray[np.float64]
    depth_below_top_mm: NDArray[np.float64]
    lift: NDArray[np.float64]
    wall_side: NDArray[np.intp]
    width_mm: NDArray[np.float64]
    depth_mm: NDArray[np.float64]
    wear: NDArray[np.float64]

    @property
    def radius_mm(self) -> NDArray[np.float64]:
        """Radius of the cutter. [mm]."""
        return self.diameter_mm / 2.0

    @property
    def edge_rate_per_s(self) -> NDArray[np.float64]:
        """Edges that pass in a second. [1/s]."""
        return self.teeth * self.turns_s

    @property
    def cutting_speed_mm_s(self) -> NDArray[np.float64]:
        """Speed of the edge. [mm/s]."""
        return math.pi * self.diameter_mm * self.turns_s

    @property
    def rubbing_mm(self) -> NDArray[np.float64]:
        """Feed per tooth below which the edge only rubs. [mm]."""
        return np.asarray(rubbing_thickness_mm(self.edge_radius_um))


def edge_radius_um(mounted: MountedCutter) -> float:
    """Return the edge radius of a mounted cutter after what it has cut. [um].

    Grows in a straight line from new to worn over the edge life; an estimate.
    """
    cutter = mounted.cutter
    used = min(mounted.metres_cut / cutter.edge_life_m, 1.0) if cutter.edge_life_m > 0.0 else 0.0
    return cutter.edge_radius_um + used * (cutter.worn_edge_radius_um - cutter.edge_radius_um)


def wear_factor(heat: HeatCoefficients, radius_um: Values, estimates: Estimates) -> Values:
    """Return K_te at an edge radius over that on the card.

    Equation: (G_c + (K_te - G_c) r_e / r_0) / K_te: ploughing grows with the radius, fracture not.

    Examples
    --------
    Cast acrylic: K_te 2.0, G_c 0.7 N/mm, card at 5 um, a worn edge of 20 um:

    >>> from core.heat.estimates import ESTIMATES
    >>> from core.library.records import HeatCoefficients
    >>> wear_factor(HeatCoefficients(110.0, 0.3, 2.0, 0.32, 120.0, 0.7), 20.0, ESTIMATES)
    2.95

    References
    ----------
    K_te = G_c + c_p sigma_y r_e after Blackman et al. (abstract only): estimate.
    """
    force, fracture = heat.edge_force_n_mm, heat.fracture_energy_n_mm
    return (fracture + (force - fracture) * radius_um / estimates.edge_radius_um) / force


def read(
    passes: Sequence[Pass], heat: HeatCoefficients, thickness_mm: float, estimates: Estimates
) -> PassTable:
    """Return some passes as arrays; each kind is looked at once."""
    kinds = alike(passes)
    paths = [one.toolpath for one in kinds.first]
    mounted = [t.mounted for t in paths]
    most = max(len(t.bands) for t in paths)
    width, depth = np.zeros((2, len(paths), most))
    for row, path in enumerate(paths):
        for column, band in enumerate(path.bands):
            width[row, column], depth[row, column] = band.radial_width_mm, band.axial_depth_mm
    radius_um = np.array([edge_radius_um(m) for m in mounted])
    diameter = np.array([m.diameter_mm for m in mounted])
    rows = PassTable(
        diameter_mm=diameter,
        stick_out_mm=np.array([m.stick_out_mm for m in mounted]),
        edge_radius_um=radius_um,
        teeth=np.array([float(m.cutter.tooth_count) for m in mounted]),
        turns_s=np.array([p.spindle_speed_rpm for p in kinds.first]) / 60.0,
        feed_mm_s=np.array([p.feed_speed_mm_min for p in kinds.first]) / 60.0,
        depth_below_top_mm=thickness_mm - np.array([max(t.z_bottom_mm, 0.0) for t in paths]),
        lift=np.array([estimates.helix_factor(m.cutter.helix) for m in mounted]),
        wall_side=np.array([t.wall_side for t in paths], dtype=np.intp),
        width_mm=np.minimum(width, diameter[:, None]),
        depth_mm=depth,
        wear=np.asarray(wear_factor(heat, radius_um, estimates)),
    )
    names = (field.name for field in fields(PassTable))
    return PassTable(**{name: getattr(rows, name)[kinds.kind] for name in names})


def recut_share(
    table: PassTable, air: Air, estimates: Estimates, packs: bool = True
) -> NDArray[np.float64]:
    """Return the share of chips that are cut again, shape (p,).

    Equation: r = max(r_air (1 + 0.6 max(depth / D - 1, 0)) r_helix, 1 - 1 / fill), at most 0.8: a
    gullet takes away what it holds, the rest goes round again.

    Parameters
    ----------
    table : PassTable
        Depth, diameter, helix and feed.
    air : Air
        What clears the slot.
    estimates : Estimates
        r_air, r_helix.
    packs : bool
        False leaves out what packs the slot: its depth and the filled gullet.

    References
    ----------
    Estimate, no source; fill of `core.cutting.section.chip_packing`.
    """
    share = estimates.recut_share(air) * table.lift
    if packs:
        over = np.maximum(table.depth_below_top_mm / table.diameter_mm - 1.0, 0.0)
        feed = table.feed_mm_s / table.edge_rate_per_s
        gullet = gullet_area_mm2(table.diameter_mm, table.teeth)
        fill = chip_packing(feed, table.width_mm.max(axis=1), gullet)
        return packed_share(share, over, fill, estimates)
    return np.minimum(share, estimates.most_recut)


def packed_share(
    share: Values, over_diameters: Values, fill: Values, estimates: Estimates
) -> NDArray[np.float64]:
    """Return the share of chips cut again in a slot that packs; see `recut_share`.

    Parameters
    ----------
    share : Values
        Of a shallow slot.
    over_diameters : Values
        Depth beyond the first diameter, in diameters.
    fill : Values
        Fill of the gullet.
    estimates : Estimates
        Growth with depth, and the most.
    """
    deeper = share * (1.0 + estimates.recut_deeper * over_diameters)
    most = np.maximum(deeper, 1.0 - 1.0 / np.maximum(fill, 1.0))
    return np.asarray(np.minimum(most, estimates.most_recut))


def fin_and_time(
    table: PassTable, air_speed_m_s: float, turns_share: float = 1.0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return conductance and time constant of the spinning cutter's body. [W/K], [s]."""
    diameter, out = table.diameter_mm * 1e-3, table.stick_out_mm * 1e-3
    film = air_film_w_m2k(diameter, table.turns_s * turns_share, air_speed_m_s)
    return fin_conductance_w_k(diameter, out, film), time_constant_s(diameter, out, film)


def rack_time_s(table: PassTable, estimates: Estimates) -> NDArray[np.float64]:
    """Return the time constant of a cutter that hangs in the rack. [s]."""
    diameter, out = table.diameter_mm * 1e-3, table.stick_out_mm * 1e-3
    return time_constant_s(diameter, out, estimates.rack_film_w_m2k)
