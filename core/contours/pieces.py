"""Chained outlines on their way to becoming contours, with what happened to each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.contours.wires import paths_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.contours.wires import Run, Wires
    from core.errors import Finding
    from core.geometry.path import Path


@dataclass(frozen=True, eq=False)
class Piece:
    """An outline, closed or open.

    Parameters
    ----------
    path : Path
        Its lines and arcs. [mm]
    entity : int
        The first entity of the drawing in it: outlines are numbered by it.
    layer : int
        Layer of most of its length.
    told : tuple of Finding
        What was mended or is asked along it.
    free : (bool, bool)
        Whether its start and its end meet nothing; an end at a branch is not free.
    """

    path: Path
    entity: int
    layer: int
    told: tuple[Finding, ...] = ()
    free: tuple[bool, bool] = (True, True)


def pieces_of(
    wires: Wires, runs: Sequence[Run], closed: bool, kept: NDArray[np.bool_]
) -> list[Piece]:
    """Return runs of kept wires with their geometry, first entity and main layer."""
    length = wires.segments.length_mm
    degree = wires.degree(kept)
    out = []
    for run, path in zip(runs, paths_of(wires, runs, closed), strict=True):
        which = np.asarray(run, dtype=np.intp) >> 1
        layers = wires.layer[which]
        layer = int(layers[0])
        if (layers != layer).any():
            layer = int(np.bincount(layers, length[which]).argmax())
        free = (degree[wires.node[run[0]]] == 1, degree[wires.node[run[-1] ^ 1]] == 1)
        entity = int(wires.entity[which].min())
        out.append(Piece(path, entity, layer, free=(bool(free[0]), bool(free[1]))))
    return out
