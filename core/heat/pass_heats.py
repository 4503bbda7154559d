"""The heat of all passes as arrays; the words and numbers of one pass when somebody asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, overload

import numpy as np

from core.heat.cause import causes_of
from core.heat.records import TIGHT_ABOVE, MarginBand, PassHeat
from core.heat.temperatures import contact_w_k, edge_shares, margins_k, rises_k

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.heat.cuts import Cuts
    from core.heat.risk import Risk
    from core.heat.temperatures import Conditions

PARTS = ("chip", "wall", "cutter")
"""What may soften, in the order of `margins_k`."""


@dataclass(frozen=True, eq=False)
class Heated:
    """What was found out about the heat of p passes.

    Parameters
    ----------
    cuts : Cuts
        The passes.
    conditions : Conditions
        As they are, the cutter warmed over the order of work.
    band : Risk
        Band of the margin, and share that is hot.
    time_constant_s : array of shape (p,)
        Of the cutter's body while it cuts. [s]
    hottest_place : int array of shape (p,)
        Hottest place of the wall of each.
    anchored, calibrated : bool
        As in `PassHeat`.
    """

    cuts: Cuts
    conditions: Conditions
    band: Risk
    time_constant_s: NDArray[np.float64]
    hottest_place: NDArray[np.intp]
    anchored: bool
    calibrated: bool

    @cached_property
    def part_c(self) -> NDArray[np.float64]:
        """Temperature of chip, wall and cutter, shape (3, p). [C]."""
        chip, wall, cutter = rises_k(self.cuts.coefficients, self.conditions)
        return self.conditions.room_c + np.array([chip, wall, self.conditions.warmed * cutter])

    @cached_property
    def part_margin_k(self) -> NDArray[np.float64]:
        """Distance of each from softening, shape (3, p). [K]."""
        return np.array(margins_k(self.cuts.coefficients, self.conditions))

    @cached_property
    def hottest(self) -> NDArray[np.intp]:
        """Number of the part that is nearest to softening, shape (p,)."""
        return np.asarray(self.part_margin_k.argmin(axis=0))

    @cached_property
    def hottest_c(self) -> NDArray[np.float64]:
        """Its temperature, shape (p,). [C]."""
        return np.asarray(np.take_along_axis(self.part_c, self.hottest[None], axis=0)[0])

    @cached_property
    def margin_k(self) -> NDArray[np.float64]:
        """Its distance from softening, shape (p,). [K]."""
        return np.asarray(self.part_margin_k.min(axis=0))

    def pass_heat(self, row: int) -> PassHeat:
        """Return the heat of one pass."""
        band, cuts = self.band, self.cuts
        place = cuts.places.xy_mm(cuts.along, self.hottest_place[row : row + 1])[0]
        numbers = {name: float(column[row]) for name, column in self._numbers.items()}
        return PassHeat(
            wall_hottest_at_mm=(float(place[0]), float(place[1])),
            margin_k=MarginBand(
                float(band.low_k[row]), float(self.margin_k[row]), float(band.high_k[row])
            ),
            hottest=PARTS[self.hottest[row]],
            cause=self._causes.get(row),
            anchored=self.anchored,
            final_wall=cuts.passes[row].toolpath.wall_stock_mm <= 0.0,
            wall_along_c=self.wall_along_c(row),
            calibrated=self.calibrated,
            **numbers,
        )

    def wall_along_c(self, row: int) -> NDArray[np.float64]:
        """Return the wall temperature at the samples of one pass. [C]."""
        first = self.cuts.along.first
        return self._wall_c[int(first[row]) : int(first[row + 1])]

    @cached_property
    def _wall_c(self) -> NDArray[np.float64]:
        places = self.cuts.places
        rise = np.where(places.exists, self.cuts.wall_k, 0.0)[places.is_sample]
        wall_c = self.conditions.room_c + rise
        wall_c.flags.writeable = False
        return wall_c

    @cached_property
    def _causes(self) -> dict[int, str]:
        """The cause of each pass that is not comfortable."""
        rows = np.flatnonzero(self.band.p_hot > TIGHT_ABOVE)
        if not len(rows):
            return {}
        return dict(zip(rows.tolist(), causes_of(self.cuts, self.conditions, rows), strict=True))

    @cached_property
    def _numbers(self) -> dict[str, Any]:
        """The plain numbers of `PassHeat` by name, arrays of shape (p,)."""
        c, now, cuts = self.cuts.coefficients, self.conditions, self.cuts
        shares = edge_shares(c, now.chip_thinness_per_m)
        return {
            "chip_c": self.part_c[0],
            "wall_c": self.part_c[1],
            "cutter_c": self.part_c[2],
            "p_hot": self.band.p_hot,
            "chip_thickness_mm": 1e3 / now.chip_thinness_per_m - cuts.estimates.thin_chip_mm,
            "contact_s": now.wall.contact_s,
            "recut_share": now.recut_share,
            "edge_radius_um": cuts.table.edge_radius_um,
            "edge_force_n_mm": cuts.heat.edge_force_n_mm * now.wear,
            "chip_share": shares[0],
            "wall_share": shares[1],
            "cutter_share": shares[2],
            "fin_w_k": now.fin_w_k,
            "contact_w_k": contact_w_k(c, now),
            "edge_w": c.edge_j_m2 * now.wear * now.edge_m2_s,
            "time_constant_s": self.time_constant_s,
        }


class PassHeats(Sequence[PassHeat | None]):
    """The heat of every pass of a plan; None for those whose heat is not modelled.

    Parameters
    ----------
    heated : Heated or None
        What was found out about the passes that are modelled.
    row : int array of shape (p,)
        Where each pass is among them; -1 where it is not.
    """

    def __init__(self, heated: Heated | None, row: NDArray[np.intp]) -> None:
        self.heated = heated
        self.row = row
        self._made: dict[int, PassHeat] = {}

    def __len__(self) -> int:
        return len(self.row)

    @overload
    def __getitem__(self, index: int) -> PassHeat | None: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[PassHeat | None, ...]: ...

    def __getitem__(self, index: int | slice) -> PassHeat | tuple[PassHeat | None, ...] | None:
        if isinstance(index, slice):
            return tuple(self[i] for i in range(*index.indices(len(self))))
        row = int(self.row[index])
        if row < 0 or self.heated is None:
            return None
        if row not in self._made:
            self._made[row] = self.heated.pass_heat(row)
        return self._made[row]

    def wall_along_c(self, index: int) -> NDArray[np.float64] | None:
        """Return the wall temperature at the samples of one pass. [C]."""
        row = int(self.row[index])
        return self.heated.wall_along_c(row) if self.heated is not None and row >= 0 else None
