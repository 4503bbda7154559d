"""From the bytes of a DXF to loose lines and arcs in mm.

The steps: load the file, put every block in its place, drop what the drawing hides, weigh the
unit, and turn ellipses and splines into lines and arcs. Nothing is chained or repaired here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.drawing.blocks import flatten
from core.drawing.curves import FLATTENING_TOLERANCE_MM, as_rows
from core.drawing.loading import load
from core.drawing.noticed import (
    damage_findings,
    flattening_findings,
    left_out_findings,
    nothing_findings,
)
from core.drawing.placing import Shapes, Spline
from core.drawing.records import Drawing, Layer
from core.drawing.unit_guess import Shown, unit_of
from core.errors import Cancelled, DrawingError
from core.geometry.path import Segments

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from core.drawing.curves import Flattened
    from core.drawing.loading import Loaded
    from core.drawing.placing import PlacedCurve
    from core.job.job import DrawingFile

FARTHEST = 1e7
"""Coordinates beyond this many units are damage; so is what is not a number."""

LOADING_SHARE = 0.9
"""Share of the whole that loading takes, for the progress shown."""


def read_drawing(
    file: DrawingFile,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Drawing:
    """Return what a drawing file holds.

    Parameters
    ----------
    file : DrawingFile
        The file's bytes, the unit given by the user if any, and the layers switched off.
    progress : callable, optional
        Told the share done, 0 to 1.
    cancelled : callable, optional
        Asked now and then whether to stop.

    Raises
    ------
    DrawingError
        The file cannot be read; one line with what, where, what to do.
    Cancelled
        The user asked to stop.
    """

    def check() -> None:
        if cancelled is not None and cancelled():
            raise Cancelled("reading the drawing was stopped")

    told = progress or (lambda _share: None)
    loaded = load(file.name, file.content, lambda s: told(s * LOADING_SHARE), cancelled)
    check()
    try:
        drawing = _drawing(file, loaded, check)
    except (RecursionError, MemoryError) as problem:
        raise DrawingError(
            f"{file.name}: is too large or too deeply nested to be read; "
            "save only what is to be cut"
        ) from problem
    told(1.0)
    return drawing


def _drawing(file: DrawingFile, loaded: Loaded, check: Callable[[], None]) -> Drawing:
    hidden, frozen = _hidden_layers(loaded)
    with np.errstate(all="ignore"):  # a damaged file may hold any number; it is sieved next
        flat = flatten(loaded.document, frozen)
        visible, lost = _without_nonsense(_without_layers(flat.shapes, hidden))
        unit, unit_findings = unit_of(_shown(visible, loaded), file.mm_per_unit)
        flattened = as_rows(visible.curves, FLATTENING_TOLERANCE_MM / unit.mm_per_unit, check)
    rows, entity = _all_rows(visible, flattened)
    scaled = rows[:, :4] * unit.mm_per_unit
    names, layer_of_entity = _numbered(flat.shapes.layers)
    return Drawing(
        name=file.name,
        dxf_version=str(loaded.document.loaded_dxfversion or loaded.document.dxfversion),
        unit=unit,
        segments=Segments(scaled[:, :2], scaled[:, 2:], rows[:, 4]),
        layer_index=layer_of_entity[entity],
        entity_index=entity,
        layers=_layers(names, layer_of_entity, hidden, file.layers_left_out),
        left_out=dict(sorted(flat.left_out.items())),
        frozen_layers=tuple(name for name in names if name.lower() in hidden),
        findings=(
            # where nothing is drawn there is no size to doubt
            *(unit_findings if len(rows) else ()),
            *damage_findings(loaded.damage, lost + flattened.damaged),
            *left_out_findings(flat, tuple(n for n in names if n.lower() in hidden)),
            *flattening_findings(visible, flattened.deviation, unit.mm_per_unit),
            *nothing_findings(len(rows), flat),
        ),
    )


def _hidden_layers(loaded: Loaded) -> tuple[frozenset[str], frozenset[str]]:
    """Return the lower-case names of layers not shown, and of those among them frozen."""
    layers = list(loaded.document.layers)
    frozen = frozenset(str(la.dxf.name).lower() for la in layers if la.is_frozen())
    off = frozenset(str(la.dxf.name).lower() for la in layers if la.is_off())
    return frozen | off, frozen


def _without_layers(shapes: Shapes, hidden: frozenset[str]) -> Shapes:
    """Return the shapes on layers that are shown; entities keep their numbers."""
    if not hidden:
        return shapes
    shown = np.array([layer.lower() not in hidden for layer in shapes.layers], dtype=bool)
    kept = shown[shapes.row_entity]
    curves = tuple(c for c in shapes.curves if shown[c.entity])
    return Shapes(shapes.rows[kept], shapes.row_entity[kept], curves, shapes.layers)


def _without_nonsense(shapes: Shapes) -> tuple[Shapes, int]:
    """Return the shapes whose numbers are finite and of this world, and how many were not."""
    usable = np.abs(shapes.rows).max(axis=1, initial=0.0) < FARTHEST
    curves = tuple(c for c in shapes.curves if np.abs(_frame(c)).max() < FARTHEST)
    lost = len(np.unique(shapes.row_entity[~usable])) + len(shapes.curves) - len(curves)
    return Shapes(shapes.rows[usable], shapes.row_entity[usable], curves, shapes.layers), lost


def _frame(placed: PlacedCurve) -> NDArray[np.float64]:
    """Return points that bound a curve: its control points, or the box around an ellipse."""
    curve = placed.curve
    if isinstance(curve, Spline):
        return placed.placement(curve.control)
    signs = np.array([[1, 1], [1, -1], [-1, 1], [-1, -1]])
    return placed.placement(curve.centre + signs @ np.vstack([curve.u, curve.v]))


def _shown(shapes: Shapes, loaded: Loaded) -> Shown:
    """Return what the unit can be guessed from."""
    corners = [_frame(c) for c in shapes.curves]
    if len(shapes.rows):
        left, low, right, high = _segments(shapes.rows).bounds_mm  # here: in drawing units
        corners.append(np.array([[left, low], [right, high]]))
    size = np.ptp(np.concatenate(corners), axis=0).tolist() if corners else [0.0, 0.0]
    header = loaded.document.header if loaded.states_header else {}
    return Shown(
        (size[0], size[1]),
        _circle_diameters(shapes),
        _whole(header.get("$INSUNITS")),
        _whole(header.get("$MEASUREMENT")),
    )


def _whole(value: object) -> int | None:
    return value if isinstance(value, int) else None


def _circle_diameters(shapes: Shapes) -> NDArray[np.float64]:
    """Return the diameters of entities that are two half turns back to back."""
    rows, entity = shapes.rows, shapes.row_entity
    if len(rows) < 2:
        return np.zeros(0)
    half = np.abs(np.abs(rows[:, 4]) - 1.0) < 1e-9
    back = np.all(np.abs(rows[:-1, :2] - rows[1:, 2:4]) < 1e-9, axis=1)
    pair = half[:-1] & half[1:] & (entity[:-1] == entity[1:]) & back
    chord = rows[:-1, 2:4] - rows[:-1, :2]
    return np.asarray(np.hypot(chord[:, 0], chord[:, 1])[pair])


def _segments(rows: NDArray[np.float64]) -> Segments:
    return Segments(rows[:, :2], rows[:, 2:4], rows[:, 4])


def _all_rows(shapes: Shapes, flattened: Flattened) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return all lines and arcs ordered by entity, and the entity of each."""
    entity = np.concatenate([shapes.row_entity, flattened.entity])
    order = np.argsort(entity, kind="stable")
    return np.concatenate([shapes.rows, flattened.rows])[order], entity[order]


def _numbered(layers: tuple[str, ...]) -> tuple[tuple[str, ...], NDArray[np.intp]]:
    """Return layer names in order of appearance, and the number of each entity's layer.

    Layer names differ by letters, not by case, as the DXF reference has it.
    """
    number: dict[str, int] = {}
    names: list[str] = []
    out = np.zeros(len(layers), dtype=np.intp)
    for k, layer in enumerate(layers):
        key = layer.lower()
        if key not in number:
            number[key] = len(names)
            names.append(layer)
        out[k] = number[key]
    return tuple(names), out


def _layers(
    names: tuple[str, ...],
    layer_of_entity: NDArray[np.intp],
    hidden: frozenset[str],
    switched_off: frozenset[str],
) -> tuple[Layer, ...]:
    counts = np.bincount(layer_of_entity, minlength=len(names)).tolist()
    off = {name.lower() for name in switched_off}
    return tuple(
        Layer(name, count, name.lower() in hidden, name.lower() in hidden | off)
        for name, count in zip(names, counts, strict=True)
    )
