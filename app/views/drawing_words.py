"""What findings of a drawing are called in a list and beside their mark on the sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.drawing_commands import REPAIRS
from app.numbers import amount, shown_unit

if TYPE_CHECKING:
    from core.errors import Finding
    from core.units import UnitSystem

_TITLES = {
    "unit-missing": "no unit stated",
    "unit-doubtful": "unit in doubt",
    "size-doubtful": "size in doubt",
    "open-contour": "open outline",
    "meant-gap": "gap that may be meant",
    "outline-lost": "outline lost",
    "branch-point": "lines meet in a branch",
    "self-crossing": "outline crosses itself",
    "crossing-contours": "outlines cross",
    "retraced-outline": "outline drawn over again",
    "stroke-outline": "lines drawn as ribbons",
    "frame-or-dimension": "frame or dimension lines",
    "flattened-spline": "curves turned into arcs",
    "frozen-layer": "layer hidden in the drawing",
    "unknown-entity": "unknown entity",
    "block-bound": "block left out",
    "damaged-file": "damaged file",
    "nothing-to-cut": "nothing to cut",
    "countersink": "countersink or counterbore",
    "island": "ring in a hole",
    "layer-rule": "layer rule",
}

GRADES = {"outside": "outside", "tight": "asked", "note": "told"}
"""What a grade is called where a drawing is looked at: what is tight there is a question."""


def title_of(code: str) -> str:
    """Return the short words for a code.

    Examples
    --------
    >>> title_of("gap-closed"), title_of("open-contour"), title_of("some-thing-else")
    ('gaps closed', 'open outline', 'some thing else')
    """
    if code in REPAIRS:
        return REPAIRS[code].title
    return _TITLES.get(code, code.replace("-", " "))


def short_title(finding: Finding) -> str:
    """Return the short words for a finding that stand after its grade ("repaired: gaps")."""
    if finding.repaired and finding.code in REPAIRS:
        return REPAIRS[finding.code].what
    return title_of(finding.code)


def grade_of(finding: Finding) -> str:
    """Return whether something was repaired, is asked, told, or stands outside."""
    return "repaired" if finding.repaired else GRADES[finding.severity.value]


def place_words(at_mm: tuple[float, float] | None, system: UnitSystem) -> str:
    """Return a place in the user's units ("at 120.5, 30 mm"), empty where there is none."""
    if at_mm is None:
        return ""
    x, y = (amount(round(value, 2), "mm", system) for value in at_mm)
    return f"at {x}, {y} {shown_unit('mm', system)}"
