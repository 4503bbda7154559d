"""Plane geometry under blocks: rows of lines and arcs, exact curves, and where copies lie.

Terms: a *row* is one line or arc (x0, y0, x1, y1, bulge). A *curve* is an ellipse or a spline kept
exact until its place and scale are known. A *placement* is an affine map of the plane. A
*similar* placement (equal scales, turned, mirrored) keeps arcs arcs; any other makes them
ellipses. All lengths here are in drawing units: the unit may not be known yet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Row = tuple[float, float, float, float, float]

SIMILAR = 1e-9
"""Relative difference of scales below which a placement keeps circles round."""


@dataclass(frozen=True, eq=False)
class Conic:
    """Part of an ellipse: centre + u cos t + v sin t, from t = `begin` to `end` (rad)."""

    centre: NDArray[np.float64]
    u: NDArray[np.float64]
    v: NDArray[np.float64]
    begin: float
    end: float


@dataclass(frozen=True, eq=False)
class Spline:
    """A B-spline, rational where `weights` is given; it is defined between its inner knots."""

    control: NDArray[np.float64]
    knots: NDArray[np.float64]
    degree: int
    weights: NDArray[np.float64] | None = None


@dataclass(frozen=True, eq=False)
class Placement:
    """An affine map of the plane: p -> matrix p + shift."""

    matrix: NDArray[np.float64] = field(default_factory=lambda: np.eye(2))
    shift: NDArray[np.float64] = field(default_factory=lambda: np.zeros(2))

    def __call__(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return mapped points of shape (..., 2)."""
        return points @ self.matrix.T + self.shift

    def after(self, inner: Placement) -> Placement:
        """Return the map that places with `inner` first, then with this one."""
        return Placement(self.matrix @ inner.matrix, self(inner.shift))

    @cached_property
    def is_similar(self) -> bool:
        """Whether circles stay circles."""
        a, b = self.matrix[:, 0], self.matrix[:, 1]
        size = float(a @ a + b @ b)
        return abs(float(a @ b)) <= SIMILAR * size and abs(float(a @ a - b @ b)) <= SIMILAR * size

    @property
    def mirrors(self) -> bool:
        """Whether left turns become right turns."""
        return float(self.matrix[0, 0] * self.matrix[1, 1]) < float(
            self.matrix[0, 1] * self.matrix[1, 0]
        )

    @property
    def scale(self) -> float:
        """Stretch of a length along the first axis; of any length where circles stay circles."""
        return math.hypot(float(self.matrix[0, 0]), float(self.matrix[1, 0]))


AS_DRAWN = Placement()
"""The map that changes nothing."""


@dataclass(frozen=True, eq=False)
class PlacedCurve:
    """A curve, where it lies, and the entity it belongs to."""

    curve: Conic | Spline
    placement: Placement
    entity: int


@dataclass(frozen=True, eq=False)
class Shapes:
    """What a block, or the whole drawing, shows.

    Parameters
    ----------
    rows : array of shape (n, 5)
        Lines and arcs.
    row_entity : array of int, shape (n,)
        Entity of each row, counted within these shapes.
    curves : tuple of PlacedCurve
        Ellipses and splines.
    layers : tuple of str
        Layer of each entity.
    """

    rows: NDArray[np.float64]
    row_entity: NDArray[np.intp]
    curves: tuple[PlacedCurve, ...]
    layers: tuple[str, ...]

    @property
    def weight(self) -> int:
        """How much there is to copy."""
        return len(self.rows) + len(self.curves)

    def placed(self, placement: Placement) -> Shapes:
        """Return the shapes moved to their place; arcs that cease to be arcs become curves."""
        rows, bent = place_rows(self.rows, self.row_entity, placement)
        kept = np.ones(len(rows), dtype=bool)
        kept[[index for index, _ in bent]] = False
        moved = [replace(c, placement=placement.after(c.placement)) for c in self.curves]
        curves = (*moved, *(curve for _, curve in bent))
        return Shapes(rows[kept], self.row_entity[kept], curves, self.layers)

    def repeated(self, offsets: NDArray[np.float64]) -> Shapes:
        """Return copies at offsets of shape (k, 2); each copy has its own entities."""
        copies, entities = len(offsets), len(self.layers)
        step = np.arange(copies) * entities
        by = np.concatenate([offsets, offsets, np.zeros((copies, 1))], axis=1)
        rows = (self.rows[None, :, :] + by[:, None, :]).reshape(-1, 5)
        row_entity = (self.row_entity[None, :] + step[:, None]).reshape(-1)
        curves = tuple(
            PlacedCurve(
                c.curve,
                Placement(c.placement.matrix, c.placement.shift + offset),
                c.entity + int(first),
            )
            for offset, first in zip(offsets, step, strict=True)
            for c in self.curves
        )
        return Shapes(rows, row_entity, curves, self.layers * copies)


def gathered(parts: list[Shapes]) -> Shapes:
    """Return several shapes as one, entities numbered on."""
    first = np.cumsum([0, *(len(p.layers) for p in parts)]).tolist()
    rows = [p.rows for p in parts]
    entities = [p.row_entity + k for p, k in zip(parts, first, strict=False)]
    return Shapes(
        np.concatenate(rows) if rows else np.zeros((0, 5)),
        np.concatenate(entities) if entities else np.zeros(0, dtype=np.intp),
        tuple(
            replace(c, entity=c.entity + k)
            for p, k in zip(parts, first, strict=False)
            for c in p.curves
        ),
        tuple(layer for p in parts for layer in p.layers),
    )


def place_rows(
    rows: NDArray[np.float64], entity: NDArray[np.intp], placement: Placement
) -> tuple[NDArray[np.float64], list[tuple[int, PlacedCurve]]]:
    """Return moved rows, and the arcs among them that become parts of ellipses, with their row."""
    moved = np.column_stack([placement(rows[:, :2]), placement(rows[:, 2:4]), rows[:, 4]])
    if placement.mirrors:
        moved[:, 4] = -moved[:, 4]
    bent = () if placement.is_similar else np.flatnonzero(rows[:, 4]).tolist()
    return moved, [
        (k, PlacedCurve(conic_of(tuple(rows[k])), placement, int(entity[k]))) for k in bent
    ]


def conic_of(row: Row) -> Conic:
    """Return an arc as a part of an ellipse."""
    x0, y0, x1, y1, bulge = row
    reach = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = np.array([(x0 + x1) / 2.0 - (y1 - y0) * reach, (y0 + y1) / 2.0 + (x1 - x0) * reach])
    u = np.array([x0, y0]) - centre
    turn = math.copysign(1.0, bulge)
    return Conic(centre, u, np.array([-u[1], u[0]]) * turn, 0.0, 4.0 * math.atan(abs(bulge)))


def arc_rows(
    x: float, y: float, radius: float, begin_rad: float, sweep_rad: float
) -> tuple[Row, ...]:
    """Return an arc as one row, or two where it sweeps more than half a turn."""
    count = 1 if abs(sweep_rad) <= math.pi + 1e-12 else 2
    angles = [begin_rad + sweep_rad * k / count for k in range(count + 1)]
    points = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
    bulge = math.tan(sweep_rad / count / 4.0)
    return tuple((*points[k], *points[k + 1], bulge) for k in range(count))


def circle_rows(x: float, y: float, radius: float) -> tuple[Row, Row]:
    """Return a circle as two half turns from its rightmost point."""
    return (x + radius, y, x - radius, y, 1.0), (x - radius, y, x + radius, y, 1.0)


def polyline_rows(corners: list[tuple[float, float, float]], closed: bool) -> list[Row]:
    """Return the rows between corners (x, y, bulge); sweeps above half a turn are halved."""
    rows: list[Row] = []
    pairs = zip(corners, corners[1:] + corners[:1] if closed else corners[1:], strict=False)
    for (x0, y0, bulge), (x1, y1, _) in pairs:
        if x0 == x1 and y0 == y1:
            continue
        if abs(bulge) <= 1.0 + 1e-9:
            rows.append((x0, y0, x1, y1, bulge))
        else:
            conic = conic_of((x0, y0, x1, y1, bulge))
            rows += arc_rows(
                float(conic.centre[0]),
                float(conic.centre[1]),
                float(np.hypot(*conic.u)),
                math.atan2(float(conic.u[1]), float(conic.u[0])),
                4.0 * math.atan(bulge),
            )
    return rows
