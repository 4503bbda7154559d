"""Recipes on the shelf: passes as data, an ordered list of steps."""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Direction(enum.StrEnum):
    """Climb has the part on the right of the travel (spindle clockwise seen from above)."""

    CLIMB = "climb"
    CONVENTIONAL = "conventional"


class Corner(enum.StrEnum):
    """How the cutter's centre goes round an outside corner of the part."""

    MITRE = "mitre"
    ROLL = "roll"


@dataclass(frozen=True, slots=True)
class RecipeStep:
    """One line of a recipe.

    Parameters
    ----------
    name : str
        "rough", "finish", "skim".
    cutter : str
        Role: "rough", "finish" or "hole"; "drill" and "edge" for the tasks of such cutters.
    wall_stock_mm, floor_stock_mm : float
        What the step leaves on the wall, and above the bed as a skin.
    depth_times_diameter : float
        Deepest pass, as a multiple of the cutter's diameter; 0: the whole depth at once.
    direction : Direction
        Climb or conventional.
    corner : Corner
        Style of outside corners.
    wall_relief_mm : float
        How far off the finished wall the step stays, to part a piece without touching its wall.
    tab_count, tab_length_mm : int, float
        Tabs that the step leaves standing at the height of the stock on the floor.
    peck_times_diameter : float
        How deep a drill goes before it is lifted clear, as a multiple of its diameter; 0: at once.
    break_through_mm, break_through_share : float
        From this height above the bed on, a drill's point is fed with this share of the feed.
    tip_below_mm : float
        How far below an edge break the end of a V cutter runs, so that its flank cuts.
    """

    name: str
    cutter: str
    wall_stock_mm: float
    floor_stock_mm: float
    depth_times_diameter: float
    direction: Direction
    corner: Corner
    ramp_angle_deg: float = 3.0
    lead_radius_mm: float = 3.0
    seam_overlap_mm: float = 2.0
    wall_relief_mm: float = 0.0
    tab_count: int = 0
    tab_length_mm: float = 0.0
    peck_times_diameter: float = 0.0
    break_through_mm: float = 0.0
    break_through_share: float = 1.0
    tip_below_mm: float = 0.0

    @property
    def standing_mm(self) -> float:
        """How far off the finished wall the cutter's edge stays. [mm]."""
        return self.wall_stock_mm + self.wall_relief_mm


@dataclass(frozen=True, slots=True)
class Recipe:
    """Passes as data: an ordered list of steps.

    Parameters
    ----------
    key, name, source : str
        Its key, what it is called, where it comes from.
    steps : tuple of RecipeStep
        What is cut, in this order.
    clear_times_diameter : float
        A piece of waste that would come loose inside a contour is cut to chips up to this width, as
        a multiple of the diameter; a wider one is taken out at a stop.
    warning : str
        What must be known before it is used; empty if nothing.
    """

    key: str
    name: str
    source: str
    steps: tuple[RecipeStep, ...]
    clear_times_diameter: float = 0.0
    warning: str = ""
