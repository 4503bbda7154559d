"""What a ring is by its form: circle, slot, rectangle; and what it is called."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.contours.records import Kind, Shape

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.geometry.path import Path

ROUND_MM = 0.02
"""A ring within this of a circle, a slot or a rectangle is one: the router's own accuracy."""

SQUARE_RAD = 1e-3
"""Corners this close to a right angle are right: 0.1 mm on 100 mm."""

FEWEST_CORNERS_OF_A_CIRCLE = 12
"""A polygon with fewer corners is meant as a polygon."""


@dataclass(frozen=True, slots=True)
class Form:
    """What a ring looks like.

    Parameters
    ----------
    shape : Shape
        Circle, slot, rectangle or other.
    sides_mm : tuple of float
        Diameter of a circle; length and width of the others; empty for other shapes.
    """

    shape: Shape
    sides_mm: tuple[float, ...] = ()


def form_of(path: Path) -> Form:
    """Return the form of a closed path."""
    seg = path.segments
    lines, arcs = ~seg.is_arc, seg.is_arc
    if not lines.any() or (not arcs.any() and len(seg) >= FEWEST_CORNERS_OF_A_CIRCLE):
        return _round(path)
    if len(seg) > 24:
        return Form(Shape.OTHER)
    if lines.sum() == 2 and arcs.sum() >= 2:
        return _slot(path)
    return _rectangle(path)


def _round(path: Path) -> Form:
    seg = path.segments
    points = np.vstack([path.points, (seg.start + seg.end)[~seg.is_arc] / 2.0])
    middle = (
        seg.centre_mm.mean(axis=0)
        if seg.is_arc.all()
        else np.average(path.points, axis=0, weights=seg.length_mm + np.roll(seg.length_mm, 1))
    )
    reach = np.hypot(*(points - middle).T)
    radius = float(np.hypot(*(path.points - middle).T).mean())
    radii = seg.radius_mm[seg.is_arc] if seg.is_arc.any() else reach
    if np.abs(reach - radius).max() > ROUND_MM or np.abs(radii - radius).max() > ROUND_MM:
        return Form(Shape.OTHER)
    if path.length_mm < math.pi * radius * 1.9:
        return Form(Shape.OTHER)
    return Form(Shape.CIRCLE, (2.0 * radius,))


def _slot(path: Path) -> Form:
    """Two equal parallel sides joined by half circles."""
    seg = path.segments
    first, second = np.flatnonzero(~seg.is_arc)
    along = seg.end[first] - seg.start[first]
    back = seg.end[second] - seg.start[second]
    length = float(np.hypot(*along))
    normal = np.array([-along[1], along[0]]) / length
    width = abs(float((seg.start[second] - seg.start[first]) @ normal))
    parallel = float(np.hypot(*(along + back))) <= 2.0 * ROUND_MM
    even = np.abs(seg.radius_mm[seg.is_arc] - width / 2.0).max() <= ROUND_MM
    turns = abs(float(seg.sweep_rad.sum()) - math.tau) < 0.05
    return Form(Shape.SLOT, (length + width, width)) if parallel and even and turns else _OTHER


def _rectangle(path: Path) -> Form:
    """Four sides at right angles, with sharp or with rounded corners."""
    seg = path.segments
    lines = ~seg.is_arc
    headings = seg.heading_rad[lines]
    steps = np.mod(np.diff(np.append(headings, headings[0])) + math.pi, math.tau) - math.pi
    corners = np.abs(steps - math.pi / 2.0) < SQUARE_RAD
    straight = np.abs(steps) < SQUARE_RAD
    if corners.sum() != 4 or not (corners | straight).all() or (seg.sweep_rad < -1e-9).any():
        return _OTHER
    rounded = float(seg.sweep_rad.sum())
    if not (rounded < 1e-9 or abs(rounded - math.tau) < 4.0 * SQUARE_RAD):
        return _OTHER
    angle = -headings[0]
    turned = path.points @ np.array(
        [[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]]
    )
    sides = sorted(np.ptp(turned, axis=0).tolist(), reverse=True)
    return Form(Shape.RECTANGLE, (sides[0], sides[1]))


_OTHER = Form(Shape.OTHER)


def names_of(kinds: Sequence[Kind], forms: Sequence[Form]) -> list[str]:
    """Return a name for each contour; equal ones are counted ("Hole ø 8 mm (2 of 4)")."""
    plain = [_name(kind, form) for kind, form in zip(kinds, forms, strict=True)]
    total = Counter(plain)
    met: Counter[str] = Counter()
    out = []
    for name in plain:
        met[name] += 1
        if name == "Outline":
            out.append(f"Outline {met[name]}")
        else:
            out.append(name if total[name] == 1 else f"{name} ({met[name]} of {total[name]})")
    return out


def _name(kind: Kind, form: Form) -> str:
    if kind is Kind.OPEN:
        return "Open line"
    if kind is Kind.OUTER:
        return "Outline"
    sides = " × ".join(millimetres(side) for side in form.sides_mm)
    inside = {
        Shape.CIRCLE: f"Hole ø {sides} mm",
        Shape.SLOT: f"Slot {sides} mm",
        Shape.RECTANGLE: f"Cut-out {sides} mm",
        Shape.OTHER: "Cut-out",
    }[form.shape]
    if kind is Kind.HOLE:
        return inside
    return {
        Shape.CIRCLE: f"Ring ø {sides} mm in a hole",
        Shape.SLOT: f"Slot shape {sides} mm in a hole",
        Shape.RECTANGLE: f"Rectangle {sides} mm in a hole",
        Shape.OTHER: "Shape in a hole",
    }[form.shape]


def millimetres(value: float) -> str:
    """Return a length with two decimals at most, without trailing zeros."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
