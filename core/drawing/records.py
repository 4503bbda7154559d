"""What a drawing holds after reading: loose lines and arcs in mm, layers, unit, what was noticed.

Terms: an *entity* is one object of the DXF; a *layer* is the DXF's own grouping of entities. An
entity gives one or more segments; every segment knows its layer and its entity.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import ArrayLike, NDArray

    from core.errors import Finding
    from core.geometry.path import Segments


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of the drawing.

    Parameters
    ----------
    name : str
        Its name as drawn.
    entity_count : int
        How many entities lie on it, those inside placed blocks included.
    frozen : bool
        Whether the drawing itself hides it (frozen, or switched off).
    left_out : bool
        Whether it is not cut: hidden by the drawing, or switched off by the user.
    """

    name: str
    entity_count: int
    frozen: bool
    left_out: bool


@dataclass(frozen=True, slots=True)
class DrawingUnit:
    """What one drawing unit is.

    Parameters
    ----------
    mm_per_unit : float
        Length of one drawing unit. [mm]
    origin : str
        "header" (the file says so), "guess" or "user".
    reason : str
        Why, in words.
    """

    mm_per_unit: float
    origin: str
    reason: str


@dataclass(frozen=True, eq=False)
class Drawing:
    """A drawing as read: nothing chained, nothing repaired yet.

    Parameters
    ----------
    name : str
        File name without folders.
    dxf_version : str
        As the file states it ("AC1027").
    unit : DrawingUnit
        What one drawing unit is.
    segments : Segments
        All lines and arcs of visible layers, loose. [mm]
    layer_index : array of int, shape (n,)
        For each segment its place in `layers`.
    entity_index : array of int, shape (n,)
        For each segment the running number of its entity; a placed copy has its own.
    layers : tuple of Layer
        All layers that hold something.
    left_out : mapping of str to int
        Entity types that are never cut, with their count.
    frozen_layers : tuple of str
        Names of layers that the drawing hides and that hold something.
    findings : tuple of Finding
        What was noticed while reading.
    """

    name: str
    dxf_version: str
    unit: DrawingUnit
    segments: Segments
    layer_index: NDArray[np.intp]
    entity_index: NDArray[np.intp]
    layers: tuple[Layer, ...]
    left_out: Mapping[str, int]
    frozen_layers: tuple[str, ...]
    findings: tuple[Finding, ...]

    def __post_init__(self) -> None:
        for name in ("layer_index", "entity_index"):
            object.__setattr__(self, name, _frozen_index(getattr(self, name)))


def _frozen_index(values: ArrayLike) -> NDArray[np.intp]:
    array = np.array(values, dtype=np.intp)
    array.flags.writeable = False
    return array
