"""Rings that are the same: drawn twice in one place, or the same part in several places."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.contours.measures import measures_of
from core.contours.nodes import nodes_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.contours.rings import Nesting
    from core.geometry.path import Path

ALIKE_MM = 0.02
"""Two parts are the same within this: the router cannot tell them apart either."""

COPY_MM = 0.05
"""Rings in one place that differ by less are copies: no cutter makes both."""

SIZE_MM = 0.05
"""Lengths around the same parts differ by less; it only sorts out what need not be compared."""


def copies_in_place(rings: Sequence[Path]) -> NDArray[np.intp]:
    """Return for each ring the earlier ring that it lies on, -1 for none."""
    twin = np.full(len(rings), -1, dtype=np.intp)
    if len(rings) < 2:
        return twin
    measures = measures_of(rings)
    place = nodes_of((measures.box[:, :2] + measures.box[:, 2:]) / 2.0, COPY_MM)
    measure = np.column_stack([measures.box, measures.length, np.sqrt(np.abs(measures.area))])
    size = nodes_of(measure[:, 4:], COPY_MM)
    groups: dict[tuple[int, int], list[int]] = defaultdict(list)
    for k, where in enumerate(zip(place.tolist(), size.tolist(), strict=True)):
        for earlier in groups[where]:
            if np.abs(measure[k] - measure[earlier]).max() <= COPY_MM:
                twin[k] = earlier
                break
        else:
            groups[where].append(k)
    return twin


@dataclass(frozen=True, eq=False)
class _Part:
    """A part without its place and its turn: the outline, and the holes as sizes and distances."""

    outline: NDArray[np.float64]
    holes: NDArray[np.float64]
    length_mm: float
    side_mm: float  # of a square as large as the outline

    def is_like(self, other: _Part) -> bool:
        """Return whether both are the same, turned and shifted but not mirrored."""
        if abs(self.length_mm - other.length_mm) > SIZE_MM:
            return False
        if abs(self.side_mm - other.side_mm) > SIZE_MM:
            return False
        if self.outline.shape != other.outline.shape or self.holes.shape != other.holes.shape:
            return False
        if len(self.holes) and np.abs(self.holes - other.holes).max() > 2.0 * ALIKE_MM:
            return False
        first = self.outline[0]
        starts = np.flatnonzero(np.abs(other.outline - first).max(axis=1) <= ALIKE_MM)
        return any(
            np.abs(np.roll(other.outline, -k, axis=0) - self.outline).max() <= ALIKE_MM
            for k in starts.tolist()
        )


def same_parts(rings: Sequence[Path], nest: Nesting) -> list[list[int]]:
    """Return groups of outer rings that are the same part, holes included."""
    holes: dict[int, list[int]] = defaultdict(list)
    for k, parent in enumerate(nest.parent.tolist()):
        if parent >= 0:
            holes[parent].append(k)
    kinds: list[tuple[_Part, list[int]]] = []
    by_size: dict[tuple[int, ...], list[int]] = defaultdict(list)
    for k in np.flatnonzero(nest.depth == 0).tolist():
        part = _part(rings[k], [rings[h] for h in holes[k]])
        counts = (len(part.outline), len(part.holes))
        # the same parts lie in one cell of sizes or in adjoining ones
        x, y = int(part.length_mm / SIZE_MM), int(part.side_mm / SIZE_MM)
        around = [(x + dx, y + dy) for dx in (-1, 0, 1) for dy in (-1, 0, 1)]
        near = [i for cell in around for i in by_size.get((*counts, *cell), ())]
        same = next((i for i in near if kinds[i][0].is_like(part)), None)
        if same is None:
            by_size[(*counts, x, y)].append(len(kinds))
            kinds.append((part, [k]))
        else:
            kinds[same][1].append(k)
    return sorted(members for _, members in kinds if len(members) > 1)


def _part(outline: Path, holes: list[Path]) -> _Part:
    seg = outline.segments
    # length and turn of each segment, and the turn at the corner after it, as a length
    turn = np.mod(np.roll(seg.heading_rad, -1) - seg.heading_rad - seg.sweep_rad + 1.0, 2 * np.pi)
    features = np.column_stack([seg.length_mm, seg.sweep_rad, turn])
    middle = seg.start.mean(axis=0)
    sizes = [
        (abs(h.area_mm2) ** 0.5, float(np.hypot(*(h.segments.start.mean(axis=0) - middle))))
        for h in holes
    ]
    holes_by_size = np.array(sorted(sizes)).reshape(-1, 2)
    return _Part(features, holes_by_size, outline.length_mm, abs(outline.area_mm2) ** 0.5)
