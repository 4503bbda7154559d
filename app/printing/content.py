"""What a printed page says, as data: sections of texts, facts, tables, notes, checks and pictures.

PDF and HTML are made from the same data, so that a screen reader is told what the paper tells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from core.geometry.path import Path


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph."""

    text: str
    muted: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels with their values, side by side."""

    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its head, its share of the width, and whether it holds numbers."""

    head: str
    share: float
    number: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; `state` is "outside", "tight", "good" or empty, and marks the last cell.

    A row that begins a group has a rule above it.
    """

    cells: tuple[str, ...]
    state: str = ""
    begins: bool = True


@dataclass(frozen=True, slots=True)
class Table:
    """A table; `caption` says what it holds."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """A warning or remark: its state, the consequence, then cause and remedy."""

    state: str
    headline: str
    text: str


@dataclass(frozen=True, slots=True)
class Checks:
    """Boxes to tick."""

    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Blanks:
    """Lines to write on, with what belongs there."""

    labels: tuple[str, ...]


@dataclass(frozen=True, eq=False, slots=True)
class Trip:
    """One way of the cutter's centre, as it is drawn."""

    entry: Path
    cut: Path
    exit: Path
    diameter_mm: float
    finishing: bool
    state: str


@dataclass(frozen=True, eq=False, slots=True)
class PartPicture:
    """One drawing with its passes, at the largest scale that fits.

    Parameters
    ----------
    caption : str
        What is shown, in words.
    outlines : tuple of (tag, Path)
        Contours with their numbers. [mm]
    trips : tuple of Trip
        The passes over it.
    bounds_mm : (float, float, float, float)
        Box around the contours. [mm]
    unit : str
        Unit of the printed dimensions: "mm" or "in".
    """

    caption: str
    outlines: tuple[tuple[str, Path], ...]
    trips: tuple[Trip, ...]
    bounds_mm: tuple[float, float, float, float]
    unit: str


@dataclass(frozen=True, eq=False, slots=True)
class SheetPicture:
    """One sheet with its copies, its zero and where the cutter parks. [mm]."""

    caption: str
    size_mm: tuple[float, float]
    outlines: tuple[Path, ...]
    tags: tuple[tuple[str, tuple[float, float]], ...]
    unit: str


Item: TypeAlias = Text | Facts | Table | Note | Checks | Blanks | PartPicture | SheetPicture


@dataclass(frozen=True, eq=False, slots=True)
class Section:
    """A part of the page under one heading; `own_page` begins a new one."""

    title: str
    items: tuple[Item, ...]
    own_page: bool = False


@dataclass(frozen=True, eq=False, slots=True)
class Document:
    """Everything a printed document says.

    Parameters
    ----------
    kind, title, subtitle : str
        "Setup sheet", the job, and what it is cut from.
    code : str
        The short text that identifies it, printed at the top right.
    sections : tuple of Section
        In order.
    footer : str
        Stands at the foot of every page, beside the page number.
    """

    kind: str
    title: str
    subtitle: str
    code: str
    sections: tuple[Section, ...]
    footer: str
