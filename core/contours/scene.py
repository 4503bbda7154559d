"""Everything that the questions about a drawing look at, and what stands in one middle."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.contours.records import Shape

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from core.contours.measures import Measures
    from core.contours.rings import Nesting
    from core.contours.shapes import Form
    from core.geometry.path import Path

ONE_MIDDLE_MM = 0.1
"""Circles whose middles lie closer are meant to share one."""


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything the questions are asked about.

    Parameters
    ----------
    rings : sequence of Path
        Closed outlines. [mm]
    opens : sequence of Path
        Open outlines. [mm]
    nest : Nesting
        How the rings lie in each other.
    forms : sequence of Form
        What each ring looks like.
    polygons : array of shapely polygons
        The rings with chords in place of arcs.
    measures : Measures
        What the rings measure.
    left_out : mapping of str to int
        What the drawing holds besides: text, dimensions.
    """

    rings: Sequence[Path]
    opens: Sequence[Path]
    nest: Nesting
    forms: Sequence[Form]
    polygons: NDArray[np.object_]
    measures: Measures
    left_out: Mapping[str, int]

    def children(self, ring: int) -> NDArray[np.intp]:
        """Return the rings right inside a ring."""
        return np.flatnonzero(self.nest.parent == ring)


def concentric(scene: Scene, ring: int, inner: int) -> bool:
    """Return whether two rings are circles about one middle."""
    if not (scene.forms[ring].shape is scene.forms[inner].shape is Shape.CIRCLE):
        return False
    a, b = scene.measures.box[ring], scene.measures.box[inner]
    return bool(np.abs((a[:2] + a[2:]) - (b[:2] + b[2:])).max() / 2.0 <= ONE_MIDDLE_MM)


def stepped_holes(scene: Scene) -> list[tuple[int, int]]:
    """Return (hole, circle in it) where a hole holds one circle about the same middle."""
    holes = np.flatnonzero(scene.nest.depth % 2 == 1).tolist()
    return [(hole, int(scene.children(hole)[0])) for hole in holes if is_stepped(scene, hole)]


def is_stepped(scene: Scene, ring: int) -> bool:
    """Return whether a ring and what is in it are circles about one middle."""
    inside = scene.children(ring)
    return len(inside) == 1 and concentric(scene, ring, int(inside[0]))
