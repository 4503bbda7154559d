"""The job: every decision of the user as one frozen value.

None means "as the library or the house rule says"; a value here overrides it. Library choices are
keys on the shelf, which is the shipped library, the user's own files, and the files carried here.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, field

from core.job.keep_out import KeepOut
from core.job.offer import Offer


class Air(enum.StrEnum):
    """What clears the chip from the slot."""

    NONE = "none"
    SUCTION = "suction"
    BLAST = "blast"


class Task(enum.StrEnum):
    """What is done along a contour."""

    OUTSIDE = "outside"
    INSIDE = "inside"
    ON_LINE = "on_line"
    POCKET = "pocket"
    BORE = "bore"
    DRILL = "drill"
    EDGE_BREAK = "edge_break"
    COUNTERSINK = "countersink"
    COUNTERBORE = "counterbore"
    NONE = "none"


FROM_THE_TOP = frozenset({Task.POCKET, Task.EDGE_BREAK, Task.COUNTERSINK, Task.COUNTERBORE})
"""Tasks that leave a floor: their depth is taken from the top of the sheet."""


@dataclass(frozen=True, slots=True)
class ContourChoice:
    """What the user decided for one contour by hand.

    Parameters
    ----------
    contour_id : int
        Counts from 1 as the drawing's contours do.
    task : Task or None
        What is done along it; None: what its place or a layer rule says.
    spindle_speed_rpm : float or None
        Spindle speed for this contour alone.
    depth_mm : float or None
        Depth of a pocket or counterbore from the top of the sheet.
    recipe : str or None
        Recipe for this contour alone.
    edge_break_mm : float or None
        Width of the chamfer along its upper edge; 0: none, whatever the job says.
    """

    contour_id: int
    task: Task | None = None
    spindle_speed_rpm: float | None = None
    depth_mm: float | None = None
    recipe: str | None = None
    edge_break_mm: float | None = None
    keep_outs: tuple[KeepOut, ...] = ()


@dataclass(frozen=True, slots=True)
class DrawingFile:
    """A drawing as it came, and how it is to be read.

    Parameters
    ----------
    name : str
        File name without folders.
    content : bytes
        The file itself: a job carries its drawings.
    mm_per_unit : float or None
        Unit given by the user; None: header, or a guess with its reason.
    layers_left_out : frozenset of str
        Layers switched off by the user.
    refused_repairs : frozenset of str
        Codes of repairs the user does not want.
    contours : tuple of ContourChoice
        What was decided by hand, one entry a contour at most.
    layers_kept : frozenset of str
        Layers that the user wants cut although a layer rule leaves them out.
    """

    name: str
    content: bytes
    mm_per_unit: float | None = None
    layers_left_out: frozenset[str] = frozenset()
    refused_repairs: frozenset[str] = frozenset()
    contours: tuple[ContourChoice, ...] = ()
    layers_kept: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class LibraryFile:
    """A library entry that the job carries: its kind, its key, the TOML text."""

    kind: str
    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A limit that the user accepted as it is, with the reason."""

    limit: str
    reason: str


@dataclass(frozen=True, slots=True)
class Job:
    """One job.

    Parameters
    ----------
    name : str
        What the job is called ("guard panel, dough divider").
    drawings : tuple of DrawingFile
        The drawings, in order.
    quantity : int
        How many of everything drawn.
    material, sheet, machine, recipe, rates, layer_rules : str
        Keys on the shelf.
    thickness_mm : float
        Nominal sheet thickness.
    measured_thickness_mm : tuple of float
        Thicknesses measured on the sheet, if any.
    rough_cutter, finish_cutter : str
        Keys of mounted cutters.
    hole_cutter : str or None
        Mounted cutter for holes; None: the two above.
    holder : str or None
        Holder put in place of the one each mounted cutter names.
    spindle_speed_rpm, feed_per_tooth_mm : float or None
        Overrides of the house rule and of the middle of the maker's range.
    wall_stock_mm, floor_stock_mm : float or None
        Overrides of the recipe.
    depth_times_diameter : float or None
        Deepest pass in fresh sheet, as a multiple of the diameter; overrides the recipe.
    mitred_corners : bool
        Every step goes round outside corners in a mitre, whatever the recipe says.
    fresh_edges : tuple of str
        Keys of mounted cutters that get a fresh edge before this job.
    drill_holes : bool
        Holes as wide as a drill are drilled, unless their task was set by hand.
    drills : tuple of str
        Mounted drills that may be used; none named: all on the shelf.
    edge_cutter : str
        Mounted V cutter of edge breaks and countersinks.
    edge_break_mm : float or None
        Width of the chamfer along the upper edge of everything that is cut through.
    keep_outs : tuple of KeepOut
        Clamps and screws that stand on every sheet.
    air : Air
        What clears the chip.
    accepted : tuple of Acceptance
        Limits accepted with a reason.
    library : tuple of LibraryFile
        Library entries that came with the job.
    offer : Offer
        Nesting and price.
    """

    name: str = ""
    drawings: tuple[DrawingFile, ...] = ()
    quantity: int = 1
    material: str = "polycarbonate"
    thickness_mm: float = 6.0
    sheet: str = "full_2050x1250"
    measured_thickness_mm: tuple[float, ...] = ()
    rough_cutter: str = "t1_rougher_6"
    finish_cutter: str = "t2_finisher_6"
    hole_cutter: str | None = None
    holder: str | None = None
    machine: str = "light_gantry"
    recipe: str = "rough_and_skim"
    rates: str = "kiln_lane"
    layer_rules: str = "kiln_lane"
    spindle_speed_rpm: float | None = None
    feed_per_tooth_mm: float | None = None
    wall_stock_mm: float | None = None
    floor_stock_mm: float | None = None
    air: Air = Air.BLAST
    accepted: tuple[Acceptance, ...] = ()
    library: tuple[LibraryFile, ...] = ()
    offer: Offer = field(default_factory=Offer)
    depth_times_diameter: float | None = None
    mitred_corners: bool = False
    fresh_edges: tuple[str, ...] = ()
    drill_holes: bool = False
    drills: tuple[str, ...] = ()
    edge_cutter: str = "t16_v_90"
    edge_break_mm: float | None = None
    keep_outs: tuple[KeepOut, ...] = ()
