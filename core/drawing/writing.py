"""Writes paths as a DXF: lines, arcs and circles exactly, each on its layer, in millimetres.

A path becomes a light polyline with bulges, which hold every end point and every arc to the last
digit; ARC entities would hold them as angles, and ends that met would no longer meet. A circle
becomes a CIRCLE, so that other programs see a hole. The same paths always give the same bytes.
"""

from __future__ import annotations

import contextlib
import io
import re
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from ezdxf.document import Drawing as Document

    from core.geometry.path import Path

VERSION = "R2007"
"""The oldest form that holds letters of any alphabet: read by nearly everything."""

MILLIMETRES, METRIC = 4, 1
"""$INSUNITS and $MEASUREMENT, from the published DXF reference."""

COLOURS = (7, 1, 5, 3, 6, 4, 30, 8)
"""Colour numbers given to layers in turn, told apart on white and on black."""

FORBIDDEN = re.compile(r'[<>/\\":;?*|=`,\x00-\x1f]')
"""What a layer's name may not hold, from the published DXF reference; a comma for old readers."""

HALF_TURN = 1e-12
"""A bulge this close to 1 is half a circle."""

_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True, eq=False)
class Stroke:
    """A path and the layer that it is drawn on.

    Parameters
    ----------
    path : Path
        Lines and arcs. [mm]
    layer : str
        Name of the layer; what a name may not hold becomes "_".
    """

    path: Path
    layer: str = "0"


def dxf_bytes(strokes: Iterable[Stroke]) -> bytes:
    """Return a DXF that holds the strokes.

    Parameters
    ----------
    strokes : iterable of Stroke
        What is drawn, in order; a path without a segment draws nothing.

    Raises
    ------
    ValueError
        If a coordinate is not finite.

    Notes
    -----
    A closed circle loses its direction, for a CIRCLE has none; every other path keeps its own.
    """
    drawn = [s for s in strokes if len(s.path.bulges)]
    for stroke in drawn:
        if not (np.isfinite(stroke.path.points).all() and np.isfinite(stroke.path.bulges).all()):
            raise ValueError("a drawing holds finite coordinates only")
    out = io.StringIO()
    with _without_dates():
        document = _document([layer_name(s.layer) for s in drawn])
        for stroke in drawn:
            _add(document, stroke)
        document.write(out)
    content: bytes = document.encode(out.getvalue())
    return content


def layer_name(text: str) -> str:
    """Return a text as a layer's name.

    Examples
    --------
    >>> layer_name("1: rough / T1")
    '1_ rough _ T1'
    """
    return FORBIDDEN.sub("_", text).strip()[:255] or "0"


def circle_of(path: Path) -> tuple[tuple[float, float], float] | None:
    """Return centre and radius of a closed path that is a circle of two half turns, else None."""
    if not path.closed or len(path.points) != 2:
        return None
    first, second = path.bulges.tolist()
    if abs(abs(first) - 1.0) > HALF_TURN or abs(first - second) > HALF_TURN:
        return None
    x, y = path.points.mean(axis=0).tolist()
    return (x, y), float(np.hypot(*(path.points[1] - path.points[0]))) / 2.0


@contextlib.contextmanager
def _without_dates() -> Iterator[None]:
    """Keep dates and random identifiers out of what is written."""
    import ezdxf

    with _ONE_AT_A_TIME:
        before = ezdxf.options.write_fixed_meta_data_for_testing
        ezdxf.options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            ezdxf.options.write_fixed_meta_data_for_testing = before


def _document(layers: list[str]) -> Document:
    """Return an empty drawing in millimetres with its layers, in order of appearance."""
    import ezdxf

    document = ezdxf.new(VERSION)
    document.header["$INSUNITS"] = MILLIMETRES
    document.header["$MEASUREMENT"] = METRIC
    for layer in layers:
        if layer not in document.layers:
            document.layers.add(layer, color=COLOURS[len(document.layers) % len(COLOURS)])
    return document


def _add(document: Document, stroke: Stroke) -> None:
    space, on = document.modelspace(), {"layer": layer_name(stroke.layer)}
    circle = circle_of(stroke.path)
    if circle is not None:
        space.add_circle(*circle, dxfattribs=on)
        return
    path = stroke.path
    # the last point of an open path has no segment of its own
    bulges = path.bulges if path.closed else np.append(path.bulges, 0.0)
    corners = np.column_stack([path.points, bulges]).tolist()
    space.add_lwpolyline(corners, format="xyb", close=path.closed, dxfattribs=on)
