"""What can be cut out of a panel, as a table: the fields of each kind, and what they make."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from core.drawing.panel import (
    HAND_HOLE_MM,
    BoltCircle,
    CutOut,
    Edge,
    Grid,
    Holes,
    InCorners,
    Notch,
    Row,
    Single,
    Slot,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Feature = Holes | Slot | CutOut | Notch


class Of(enum.Enum):
    """What a field holds."""

    SIZE = enum.auto()
    PLACE = enum.auto()
    ANGLE = enum.auto()
    COUNT = enum.auto()
    EDGE = enum.auto()


@dataclass(frozen=True, slots=True)
class Asked:
    """One field: its key, its words, what it holds, what it begins with."""

    key: str
    words: str
    of: Of
    begins: float = 0.0


@dataclass(frozen=True, slots=True)
class FeatureKind:
    """One kind of feature: what it is called, what is asked, what comes of it."""

    key: str
    title: str
    asked: tuple[Asked, ...]
    make: Callable[[Mapping[str, Any], str], Feature]


def _size(key: str, words: str, begins: float) -> Asked:
    return Asked(key, words, Of.SIZE, begins)


def _at(words: str, x: float, y: float, key: str = "") -> tuple[Asked, Asked]:
    return (
        Asked(f"{key}x", f"{words} x".strip(), Of.PLACE, x),
        Asked(f"{key}y", f"{words} y".strip(), Of.PLACE, y),
    )


def _point(v: Mapping[str, Any], key: str = "") -> tuple[float, float]:
    return v[f"{key}x"], v[f"{key}y"]


def _in_corners(v: Mapping[str, Any], label: str) -> Feature:
    return Holes(v["diameter"], InCorners(_point(v)), label)


def _row(v: Mapping[str, Any], label: str) -> Feature:
    row = Row(_point(v, "first_"), _point(v, "last_"), v["count"])
    return Holes(v["diameter"], row, label)


def _grid(v: Mapping[str, Any], label: str) -> Feature:
    grid = Grid(_point(v, "first_"), _point(v, "last_"), v["columns"], v["rows"])
    return Holes(v["diameter"], grid, label)


def _circle(v: Mapping[str, Any], label: str) -> Feature:
    circle = BoltCircle(_point(v), v["round"], v["count"], v["angle"])
    return Holes(v["diameter"], circle, label)


def _hole(v: Mapping[str, Any], label: str) -> Feature:
    return Holes(v["diameter"], Single(_point(v)), label)


def _slot(v: Mapping[str, Any], label: str) -> Feature:
    return Slot(v["length"], v["width"], _point(v), v["angle"], False, label)


def _hand_hole(v: Mapping[str, Any], label: str) -> Feature:
    return Slot(v["length"], v["width"], _point(v), v["angle"], True, label)


def _cut_out(v: Mapping[str, Any], label: str) -> Feature:
    size = v["width"], v["height"]
    return CutOut(size, _point(v), v["radius"], v["angle"], label)


def _notch(v: Mapping[str, Any], label: str) -> Feature:
    return Notch(Edge(v["edge"]), v["place"], v["width"], v["depth"], v["radius"], label)


_DIAMETER = _size("diameter", "hole \u00f8", 8.0)
_ANGLE = Asked("angle", "turned by", Of.ANGLE)
_COUNT = Asked("count", "how many", Of.COUNT, 4)
_RADIUS = _size("radius", "corner radius", 0.0)

KINDS = (
    FeatureKind("corners", "Corner holes", (_DIAMETER, *_at("inset", 20.0, 20.0)), _in_corners),
    FeatureKind(
        "row",
        "Row of holes",
        (_DIAMETER, *_at("first", 50, 50, "first_"), *_at("last", 250, 50, "last_"), _COUNT),
        _row,
    ),
    FeatureKind(
        "grid",
        "Grid of holes",
        (
            _DIAMETER,
            *_at("first", 50, 50, "first_"),
            *_at("last", 250, 150, "last_"),
            Asked("columns", "columns", Of.COUNT, 4),
            Asked("rows", "rows", Of.COUNT, 3),
        ),
        _grid,
    ),
    FeatureKind(
        "circle",
        "Circle of holes",
        (
            _DIAMETER,
            *_at("middle", 150, 150),
            _size("round", "circle \u00f8", 100.0),
            _COUNT,
            Asked("angle", "first at", Of.ANGLE),
        ),
        _circle,
    ),
    FeatureKind("hole", "Hole", (_DIAMETER, *_at("", 100.0, 100.0)), _hole),
    FeatureKind(
        "slot",
        "Slot",
        (
            _size("length", "length", 60),
            _size("width", "width", 8),
            *_at("middle", 150, 100),
            _ANGLE,
        ),
        _slot,
    ),
    FeatureKind(
        "hand_hole",
        "Hand hole",
        (
            _size("length", "length", HAND_HOLE_MM[0]),
            _size("width", "width", HAND_HOLE_MM[1]),
            *_at("middle", 150, 150),
            _ANGLE,
        ),
        _hand_hole,
    ),
    FeatureKind(
        "cut_out",
        "Cut-out",
        (
            _size("width", "width", 100),
            _size("height", "height", 60),
            *_at("middle", 150, 150),
            _RADIUS,
            _ANGLE,
        ),
        _cut_out,
    ),
    FeatureKind(
        "notch",
        "Notch",
        (
            Asked("edge", "edge", Of.EDGE),
            Asked("place", "place along it", Of.PLACE, 150.0),
            _size("width", "width", 40),
            _size("depth", "depth", 20),
            _RADIUS,
        ),
        _notch,
    ),
)
BY_KEY = {kind.key: kind for kind in KINDS}
