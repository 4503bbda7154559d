"""What every method of filling a sheet has in common."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from core.layout.records import PlacedPart

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.layout.nest_cells import Stance
    from core.layout.nest_records import Part
    from core.library.records import SheetStock

Order = list[tuple[int, int]]
"""Which part is tried next, and how many of it."""


@dataclass
class Filled:
    """One sheet being filled: what lies on it and how many of each part."""

    placed: list[PlacedPart] = field(default_factory=list)
    counts: dict[int, int] = field(default_factory=dict)

    def add(self, part: int, placed: PlacedPart) -> None:
        """Take note of one more part."""
        self.placed.append(placed)
        self.counts[part] = self.counts.get(part, 0) + 1


class Filler(Protocol):
    """A method of filling sheets; `name` says which, for people."""

    name: str

    def fill(
        self, stock: SheetStock, order: Sequence[tuple[int, int]], fixed: Sequence[PlacedPart] = ()
    ) -> Filled:
        """Return what lies on one sheet when parts are tried in an order."""
        ...


def stance_place(
    part: Part, stance: Stance, corner_mm: tuple[float, float], *, on_cells: bool
) -> PlacedPart:
    """Return where a part lies whose grown box, or its cells, have their low corner there."""
    origin = stance.cell_origin_mm if on_cells else stance.origin_mm
    at = corner_mm[0] + origin[0], corner_mm[1] + origin[1]
    return PlacedPart(part.drawing, part.contour_id, at, stance.turn_deg, stance.mirrored)
