"""What the plan consists of: toolpaths (geometry) and passes (toolpaths with their feeds).

A *toolpath* is one trip of the cutter round a contour at one depth: entry on the waste side, the
main cut, exit. It does not depend on the spindle speed, so a speed lever leaves it alone. A *pass*
adds spindle speed, chip load and feed, and says which limit bound them. Heights are measured
upwards from the bed of the machine: z = 0 is the bed, z = thickness the top of the sheet.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.library.records import CutterForm

if TYPE_CHECKING:
    from core.errors import Finding
    from core.geometry.path import Path
    from core.library.records import MountedCutter, RecipeStep


class Entry(enum.StrEnum):
    """How the cutter goes down into the sheet."""

    RAMP = "ramp"
    HELIX = "helix"
    PLUNGE = "plunge"


@dataclass(frozen=True, slots=True)
class Engaged:
    """One band of the height: from `z_bottom_mm` to `z_top_mm` it cuts `radial_width_mm` wide."""

    z_top_mm: float
    z_bottom_mm: float
    radial_width_mm: float

    @property
    def axial_depth_mm(self) -> float:
        """Height of the band. [mm]."""
        return self.z_top_mm - self.z_bottom_mm


@dataclass(frozen=True, slots=True)
class Peck:
    """One stretch straight down in the sheet; after it the cutter is lifted clear of the sheet.

    Parameters
    ----------
    from_mm, bottom_mm : float
        Heights of the cutter's end where it is fed from and to; a later peck begins a little above
        where the one before ended.
    feed_share : float
        Share of the pass's feed.
    """

    from_mm: float
    bottom_mm: float
    feed_share: float = 1.0

    @property
    def way_mm(self) -> float:
        """How far it is fed. [mm]."""
        return self.from_mm - self.bottom_mm


@dataclass(frozen=True, eq=False, slots=True)
class Toolpath:
    """One trip of the cutter round a contour at one depth, or straight down into it.

    Parameters
    ----------
    drawing, contour_id : int
        Which contour it belongs to.
    step : RecipeStep
        The line of the recipe that it comes from.
    level : int
        Counts the depths of a step from the top, from 0.
    mounted : MountedCutter
        The cutter.
    entry, cut, exit : Path
        Cutter centre: way in; main cut, once round, from where it is met to its own beginning; way
        out, which first runs over that beginning by the seam overlap, where all is cut already.
        Entry and exit lie in the waste, but for that overlap.
    entry_kind : Entry
        How the depth is reached along `entry`.
    entry_from_mm : float
        Height at which the entry begins to cut.
    wall_side : int
        +1: the wall lies left of the travel, -1: right, 0: on both sides (cut on the line).
    wall_inside : bool
        True where the cutter runs inside the contour (a hole), False outside (a part).
    bands : tuple of Engaged
        Bands of engagement, from the top.
    z_top_mm, z_bottom_mm : float
        Height where this trip begins and ends to cut.
    wall_stock_mm, floor_stock_mm : float
        What is left on the wall, and above the bed, after this trip.
    flagged : bool
        The centre line came from the fallback of the offset kernel.
    clearing : bool
        It only clears waste, away from every wall.
    stage : int
        0: the first step of a contour; 1: a later one; 2: it frees a part or a piece of waste.
        Earlier stages are cut first, all over the sheet.
    stop_after : str
        What a person does at a programmed stop after this trip; empty for no stop.
    pecks : tuple of Peck
        Stretches straight down, from the top, where it cuts like that; then entry, cut and exit
        stand still in one place, the cut with a segment a peck.
    beyond_mm : float
        How far it may cut beyond the drawn wall, seen from above: the width of an edge break, half
        of what a drill is wider than its hole.
    from_top : bool
        Its depth is taken from the top of the sheet; else its height from the bed.
    """

    drawing: int
    contour_id: int
    step: RecipeStep
    level: int
    mounted: MountedCutter
    entry: Path
    cut: Path
    exit: Path
    entry_kind: Entry
    entry_from_mm: float
    wall_side: int
    wall_inside: bool
    bands: tuple[Engaged, ...]
    z_top_mm: float
    z_bottom_mm: float
    wall_stock_mm: float
    floor_stock_mm: float
    flagged: bool = False
    clearing: bool = False
    stage: int = 0
    stop_after: str = ""
    pecks: tuple[Peck, ...] = ()
    beyond_mm: float = 0.0
    from_top: bool = False

    @property
    def is_milled(self) -> bool:
        """Whether the cutter's flank makes the cut: force and heat are modelled for that alone."""
        return self.mounted.cutter.form is CutterForm.END_MILL

    @property
    def length_mm(self) -> float:
        """Way of the main cut: round, or down. [mm]."""
        return sum(p.way_mm for p in self.pecks) if self.pecks else self.cut.length_mm

    @property
    def cutting_diameter_mm(self) -> float:
        """Greatest diameter that cuts: on a cone that at the top of the cut. [mm]."""
        return self.diameter_at_mm(self.z_bottom_mm, self.z_top_mm)

    def diameter_at_mm(self, end_mm: float, height_mm: float) -> float:
        """Return how wide the cutter is at a height, with its end at another. [mm]."""
        cutter, whole = self.mounted.cutter, self.mounted.diameter_mm
        if cutter.form is CutterForm.END_MILL:
            return whole
        cone = cutter.tip_flat_mm + 2.0 * cutter.tip_slope * max(height_mm - end_mm, 0.0)
        return min(cone, whole)

    @property
    def reach_mm(self) -> float:
        """How near to a wall its centre must not come: what it cuts, less what it may. [mm]."""
        return self.cutting_diameter_mm / 2.0 - self.beyond_mm

    @property
    def axial_depth_mm(self) -> float:
        """Height of everything cut in this trip. [mm]."""
        return self.z_top_mm - self.z_bottom_mm

    @property
    def tightest_per_mm(self) -> float:
        """Curvature of the tightest concave wall, negative, or 0; the highest marks. [1/mm]."""
        return round(
            float(min((self.cut.segments.curvature_per_mm * self.wall_side).min(), 0.0)), 6
        )

    @property
    def kind(self) -> object:
        """What its feed depends on besides speed, material and bend: cutter, wall stock, bands."""
        wall = (self.wall_stock_mm, self.wall_side != 0)
        return self.mounted.key, wall, self.bands, bool(self.pecks)


@dataclass(frozen=True, slots=True)
class Bound:
    """One candidate for a feed or a spindle speed; the least one binds."""

    name: str
    label: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, eq=False, slots=True)
class Pass:
    """A toolpath with its feeds.

    `bounds_on_speed` and `bounds_on_feed` hold every candidate, the binding one first.
    """

    toolpath: Toolpath
    spindle_speed_rpm: float
    feed_per_tooth_mm: float
    feed_speed_mm_min: float
    bounds_on_speed: tuple[Bound, ...]
    bounds_on_feed: tuple[Bound, ...]

    @property
    def binding_limit(self) -> str:
        """Name of the limit that the feed speed is bound by."""
        return self.bounds_on_feed[0].name


@dataclass(frozen=True, eq=False, slots=True)
class Plan:
    """All passes in the order of the contours and recipe, and what was noticed."""

    passes: tuple[Pass, ...]
    findings: tuple[Finding, ...]
