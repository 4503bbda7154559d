"""What each type of entity shows: one small registered function a type.

Arcs stay arcs with their exact radius and bulges stay bulges. Entities drawn in their own
coordinate system (OCS, given by an extrusion direction) are brought into the drawing's plane: an
extrusion of (0, 0, -1) mirrors them, any other but (0, 0, 1) tilts them and they are taken as seen
from above. What is never cut (text, dimensions, hatches) is counted; what is not known is told.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from core.drawing.placing import (
    AS_DRAWN,
    Conic,
    Placement,
    Shapes,
    Spline,
    arc_rows,
    circle_rows,
    polyline_rows,
)
from core.drawing.sketch import Insert, Sketch

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from core.drawing.placing import Row

    Entity = Any
    Reader = Callable[[Sketch, Entity], None]

READERS: dict[str, Reader] = {}

NEVER_CUT = frozenset(
    (
        *("TEXT", "MTEXT", "RTEXT", "ARCALIGNEDTEXT", "ATTDEF", "ATTRIB", "SHAPE", "ACAD_TABLE"),
        *("DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "TOLERANCE"),
        *("LEADER", "MLEADER", "MULTILEADER", "HATCH", "MPOLYGON", "SOLID", "TRACE", "WIPEOUT"),
        *("POINT", "XLINE", "RAY", "VIEWPORT", "LIGHT", "SUN", "GEODATA", "SEQEND"),
        *("IMAGE", "OLEFRAME", "OLE2FRAME", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY"),
    )
)
"""Types that say something about the part but are no outline."""

MOST_CONTROL_POINTS = 200_000
"""Bound of one spline: far above any outline, low enough to evaluate in a second."""

UNREADABLE = (ArithmeticError, LookupError, TypeError, ValueError, AttributeError)
"""What a single damaged entity makes its reader raise; its own fault, not the drawing's."""


def reads(*types: str) -> Callable[[Reader], Reader]:
    """Register the reader of one or more entity types."""

    def register(reader: Reader) -> Reader:
        READERS.update(dict.fromkeys(types, reader))
        return reader

    return register


def read_entities(entities: Iterable[Entity], sketch: Sketch) -> None:
    """Read entities into a sketch; a damaged one is counted and left out."""
    from ezdxf.lldxf.const import DXFError

    for entity in entities:
        kind = entity.dxftype()
        reader = READERS.get(kind)
        if reader is None:
            (sketch.left_out if kind in NEVER_CUT else sketch.unknown)[kind] += 1
        elif entity.dxf.get("invisible", 0):
            sketch.left_out[f"{kind} (invisible)"] += 1
        else:
            try:
                reader(sketch, entity)
            except (DXFError, *UNREADABLE):
                sketch.unknown[f"{kind} (damaged)"] += 1


def _own_plane(sketch: Sketch, entity: Entity) -> Placement | None:
    """Return the map from the entity's own coordinates to the plane, None where they agree."""
    x, y, z = entity.dxf.extrusion if entity.dxf.hasattr("extrusion") else (0.0, 0.0, 1.0)
    if x == 0.0 and y == 0.0:
        return None if z >= 0.0 else Placement(np.array([[-1.0, 0.0], [0.0, 1.0]]))
    from ezdxf.math import OCS

    axes = OCS((x, y, z))
    sketch.notes["tilted"] += abs(x) + abs(y) > 1e-6 * abs(z)
    return Placement(np.array([[axes.ux.x, axes.uy.x], [axes.ux.y, axes.uy.y]]))


def _show(sketch: Sketch, entity: Entity, rows: tuple[Row, ...] | list[Row]) -> None:
    """Add rows given in the entity's own coordinates."""
    layer = entity.dxf.layer
    plane = _own_plane(sketch, entity)
    if plane is None:
        sketch.add_rows(layer, rows)
    elif rows:
        own = Shapes(np.array(rows), np.zeros(len(rows), dtype=np.intp), (), (layer,))
        sketch.add_shapes(own.placed(plane))


@reads("LINE")
def _line(sketch: Sketch, entity: Entity) -> None:
    start, end = entity.dxf.start, entity.dxf.end
    if start.x != end.x or start.y != end.y:
        sketch.add_rows(entity.dxf.layer, ((start.x, start.y, end.x, end.y, 0.0),))


@reads("CIRCLE")
def _circle(sketch: Sketch, entity: Entity) -> None:
    centre, radius = entity.dxf.center, abs(entity.dxf.radius)
    if radius > 0.0:
        _show(sketch, entity, circle_rows(centre.x, centre.y, radius))


@reads("ARC")
def _arc(sketch: Sketch, entity: Entity) -> None:
    dxf = entity.dxf
    centre, radius = dxf.center, abs(dxf.radius)
    sweep = (dxf.end_angle - dxf.start_angle) % 360.0 or 360.0
    if radius > 0.0:
        begin = math.radians(math.fmod(dxf.start_angle, 360.0))
        _show(sketch, entity, arc_rows(centre.x, centre.y, radius, begin, math.radians(sweep)))


@reads("LWPOLYLINE")
def _light_polyline(sketch: Sketch, entity: Entity) -> None:
    # x, y, start width, end width, bulge: read as one array, vertex by vertex is five times slower
    values = np.asarray(entity.lwpoints.values, dtype=np.float64).reshape(-1, 5)
    corners = [(x, y, bulge) for x, y, _, _, bulge in values.tolist()]
    _show(sketch, entity, polyline_rows(corners, bool(entity.closed)))


@reads("POLYLINE")
def _polyline(sketch: Sketch, entity: Entity) -> None:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        sketch.unknown["POLYLINE (mesh)"] += 1
        return
    frame = 16  # flag of a vertex that only controls a smoothed polyline
    corners = [
        (v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0))
        for v in entity.vertices
        if not v.dxf.flags & frame
    ]
    rows = polyline_rows(corners, bool(entity.is_closed))
    if entity.is_2d_polyline:
        _show(sketch, entity, rows)
    else:
        sketch.add_rows(entity.dxf.layer, rows)


@reads("ELLIPSE")
def _ellipse(sketch: Sketch, entity: Entity) -> None:
    dxf = entity.dxf
    minor = entity.minor_axis
    sweep = (dxf.end_param - dxf.start_param) % math.tau
    if sweep < 1e-9:
        sweep = math.tau
    conic = Conic(
        np.array([dxf.center.x, dxf.center.y]),
        np.array([dxf.major_axis.x, dxf.major_axis.y]),
        np.array([minor.x, minor.y]),
        dxf.start_param,
        dxf.start_param + sweep,
    )
    sketch.add_curves(dxf.layer, [conic])


@reads("SPLINE", "HELIX")
def _spline(sketch: Sketch, entity: Entity) -> None:
    if entity.control_point_count() > MOST_CONTROL_POINTS:
        raise ValueError("too many control points")
    tool = entity.construction_tool()
    control = np.array([(p.x, p.y) for p in tool.control_points])
    weights = np.array(tool.weights()) if tool.is_rational else None
    knots = np.array(tool.knots())
    degree = int(tool.degree)
    if len(knots) != len(control) + degree + 1 or np.any(np.diff(knots) < 0.0):
        raise ValueError("knots do not fit the control points")
    sketch.add_curves(entity.dxf.layer, [Spline(control, knots, degree, weights)])


@reads("INSERT")
def _insert(sketch: Sketch, entity: Entity) -> None:
    dxf = entity.dxf
    base = entity.doc.blocks.get(dxf.name).base_point if entity.doc.blocks.get(dxf.name) else None
    if base is None:
        raise ValueError("names a block that is not there")
    turn = math.radians(dxf.rotation)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = np.array([[cos, -sin], [sin, cos]])
    matrix = turned * np.array([dxf.xscale, dxf.yscale])
    at = np.array([dxf.insert.x, dxf.insert.y])
    inner = Placement(matrix, at - matrix @ np.array([base[0], base[1]]))
    plane = _own_plane(sketch, entity) or AS_DRAWN
    steps = plane.matrix @ turned * np.array([dxf.column_spacing, dxf.row_spacing])
    sketch.inserts.append(
        Insert(
            dxf.name,
            dxf.layer,
            plane.after(inner),
            max(int(dxf.column_count), 1),
            max(int(dxf.row_count), 1),
            (float(steps[0, 0]), float(steps[1, 0])),
            (float(steps[0, 1]), float(steps[1, 1])),
        )
    )
