"""Openings in a guard: how far the danger must be behind each, as notes, never as a verdict.

The distances stand in resources/guard_openings.toml. An opening that is neither round nor square
counts as a slot of its narrowest width, the strictest column. Whether the guard is safe is for a
qualified person to say: where it stands, what is behind it and who comes near is not known here.
"""

from __future__ import annotations

import enum
import math
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

import shapely

from core.contours.records import Kind, Shape
from core.errors import Finding, Severity
from core.job import FROM_THE_TOP, Task
from core.library.files import cited, structured

if TYPE_CHECKING:
    from core.contours.records import Contour, Contours

SHORT_SLOT_MM = 65.0
"""A slot up to this long stops the hand at the thumb (ISO 13857, table 4, as quoted)."""

EQUAL_SHARE = 0.01
"""A rectangle whose sides differ by less is a square."""

OUTLINE_MM = 0.01
"""Chord error of an outline whose width is measured: rounding of the note covers it."""

SHALLOW = {Task.NONE} | FROM_THE_TOP
"""Tasks that leave no opening."""


class Form(enum.StrEnum):
    """What an opening counts as."""

    ROUND = "round opening"
    SQUARE = "square opening"
    SLOT = "slot-like opening"


@dataclass(frozen=True, slots=True)
class Row:
    """Distances for openings up to a size, above the row before. [mm]."""

    up_to_mm: float
    slot_mm: float
    square_mm: float
    round_mm: float
    short_slot_mm: float | None = None
    square_variant_mm: float | None = None
    round_variant_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """The rows in rising order, and where they come from."""

    source: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Opening:
    """What an opening counts as, its smallest side or diameter, and its length. [mm]."""

    form: Form
    width_mm: float
    length_mm: float


@lru_cache(maxsize=1)
def table() -> Table:
    """Return the shipped table."""
    text = (resources.files("resources") / "guard_openings.toml").read_text("utf-8")
    return structured(tomllib.loads(text), Table, "guard_openings.toml")


def safety_distances_mm(opening: Opening) -> tuple[float, ...]:
    """Return the distance that an opening asks for, and a stricter one where it is printed. [mm].

    Empty above the table, where an arm goes through.

    Examples
    --------
    >>> safety_distances_mm(Opening(Form.ROUND, 8.0, 8.0))
    (5.0, 15.0)
    """
    row = next((r for r in table().rows if opening.width_mm <= r.up_to_mm), None)
    if row is None:
        return ()
    if opening.form is Form.SLOT:
        short = row.short_slot_mm if opening.length_mm <= SHORT_SLOT_MM else None
        return (row.slot_mm if short is None else short,)
    square = opening.form is Form.SQUARE
    plain, variant = (
        (row.square_mm, row.square_variant_mm) if square else (row.round_mm, row.round_variant_mm)
    )
    return (plain,) if variant is None else (plain, variant)


def opening_of(contour: Contour) -> Opening:
    """Return what a closed contour counts as."""
    if contour.circle_diameter_mm is not None:
        return Opening(Form.ROUND, contour.circle_diameter_mm, contour.circle_diameter_mm)
    around = shapely.minimum_rotated_rectangle(shapely.polygons(contour.path.flattened(OUTLINE_MM)))
    corners = shapely.get_coordinates(around)
    sides = sorted(
        float(shapely.Point(corners[k]).distance(shapely.Point(corners[k + 1]))) for k in (0, 1)
    )
    is_square = contour.shape is Shape.RECTANGLE and sides[1] - sides[0] < EQUAL_SHARE * sides[1]
    return Opening(Form.SQUARE if is_square else Form.SLOT, sides[0], sides[1])


def opening_findings(contours: Contours, drawing: int = 0) -> tuple[Finding, ...]:
    """Return a note for each kind of opening of a guard, at the first of its kind.

    Parameters
    ----------
    contours : Contours
        The contours of a drawing that is a guard.
    drawing : int
        Its number in the job.
    """
    kinds: dict[Opening, list[Contour]] = {}
    for contour in contours.contours:
        if contour.kind is Kind.HOLE and contour.task not in SHALLOW:
            kinds.setdefault(_rounded(opening_of(contour)), []).append(contour)
    return tuple(_note(opening, alike, drawing) for opening, alike in kinds.items())


def _rounded(opening: Opening) -> Opening:
    # never down: a width just above a row's bound belongs to the next row
    return Opening(opening.form, _up(opening.width_mm), round(opening.length_mm, 1))


def _up(width_mm: float) -> float:
    return math.ceil(round(width_mm * 100.0, 3)) / 100.0


def _note(opening: Opening, alike: list[Contour], drawing: int) -> Finding:
    first = alike[0]
    low_x, low_y, high_x, high_y = first.path.bounds_mm
    return Finding(
        "guard-opening",
        Severity.NOTE,
        f"{_openings(opening, len(alike))}: {_distance(opening)} ({cited(table().source)}.) Ask a "
        "qualified person before it is used as a guard.",
        ((low_x + high_x) / 2.0, (low_y + high_y) / 2.0),
        contour_id=first.id,
        drawing=drawing,
    )


def _openings(opening: Opening, count: int) -> str:
    size = f"{opening.width_mm:g}"
    if opening.form is Form.SLOT:
        size = f"{opening.length_mm:g} x {size}"
    return f"{count} {opening.form}{'' if count == 1 else 's'} of {size} mm in a guard"


def _distance(opening: Opening) -> str:
    distances = safety_distances_mm(opening)
    if not distances:
        return (
            f"wider than {table().rows[-1].up_to_mm:g} mm an arm goes through, and the distances "
            "for reaching over hold."
        )
    stricter = f" (a national edition prints {distances[1]:g} mm)" if len(distances) > 1 else ""
    return f"the danger must be at least {distances[0]:g} mm behind{stricter}."
