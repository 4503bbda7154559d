"""What the user decided about nesting and price; everything else stands in the shop's rates.

Money is text here ("12.50"), and Decimal where it is computed with.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Per(enum.StrEnum):
    """What a line of the price is counted by."""

    PIECE = "piece"
    METRE = "metre"
    HOLE = "hole"
    SHEET = "sheet"
    JOB = "job"


@dataclass(frozen=True, slots=True)
class FreeLine:
    """A line of the price that the user wrote: a bend, an insert, a courier.

    Parameters
    ----------
    name : str
        As shown.
    per : Per
        What it is counted by.
    amount : str
        Money for each.
    count : float
        How many on each piece, metre, hole, sheet or job.
    """

    name: str
    per: Per
    amount: str
    count: float = 1.0


@dataclass(frozen=True, slots=True)
class LineChange:
    """A line whose amount was set by hand, and why."""

    name: str
    amount: str
    reason: str


@dataclass(frozen=True, slots=True)
class PinnedPart:
    """A part that was placed or turned by hand: on which sheet, and how it lies there."""

    sheet: int
    drawing: int
    contour_id: int
    at_mm: tuple[float, float]
    turn_deg: float = 0.0
    mirrored: bool = False


@dataclass(frozen=True, slots=True)
class Offer:
    """The user's decisions about nesting and price.

    Parameters
    ----------
    customer : str
        Whom the quote is for.
    rack : tuple of str
        Keys of the sheets to cut from; empty: the job's sheet.
    turns : str
        Which turns parts may take: "none", "half", "quarter" or "free".
    may_mirror, in_holes : bool
        Whether parts may be turned over, and lie in the waste inside others.
    zones_mm : tuple of (x_min, y_min, x_max, y_max)
        Zones of every sheet that stay free. [mm]
    pinned : tuple of PinnedPart
        Parts placed by hand.
    services, without : tuple of str
        Services of the rates that are asked for besides, and that are left out.
    free_lines : tuple of FreeLine
        Lines of the user's own.
    changes : tuple of LineChange
        Lines set by hand.
    markup_share : float or None
        Mark-up in place of the shop's.
    """

    customer: str = ""
    rack: tuple[str, ...] = ()
    turns: str = "quarter"
    may_mirror: bool = False
    in_holes: bool = False
    zones_mm: tuple[tuple[float, float, float, float], ...] = ()
    pinned: tuple[PinnedPart, ...] = ()
    services: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    free_lines: tuple[FreeLine, ...] = ()
    changes: tuple[LineChange, ...] = ()
    markup_share: float | None = None
