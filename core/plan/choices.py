"""The job's choices, taken off the shelf.

`Choices` is what the stages read of a job: records instead of keys, overrides in place. It is split
by what depends on it: `Cutting` holds what toolpaths read, so that a spindle-speed lever leaves
toolpaths alone.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from core.errors import LibraryError, PlanError
from core.job import Task
from core.library.rate_records import Rates
from core.library.records import (
    Corner,
    CutterForm,
    Machine,
    Material,
    MountedCutter,
    Recipe,
    SheetStock,
)

if TYPE_CHECKING:
    from core.job import Air, Job
    from core.library.shelf import Shelf

TASK_RECIPES = {
    Task.POCKET: "pocket",
    Task.COUNTERBORE: "pocket",
    Task.BORE: "bore",
    Task.DRILL: "drill",
    Task.EDGE_BREAK: "edge_break",
    Task.COUNTERSINK: "countersink",
}
"""Tasks with a recipe of their own, by its key; the others take the job's."""

THICKEST_MM = 60.0
"""Above this a thickness is a slip of the pen, not a sheet."""

MOST_DIAMETERS_DEEP = 5.0
"""Above this a depth of pass is a slip of the pen, not a cut."""


WIDEST_EDGE_BREAK_MM = 3.0
"""Above this a broken edge is a bevel, which nobody cuts like this."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """What the toolpaths depend on.

    Parameters
    ----------
    thickness_mm : float
        Of the sheet, where it is thickest.
    recipes : tuple of (str, Recipe)
        By the name that the job gives them; its own first.
    rough, finish, hole : MountedCutter or None
        Cutters by their role; without one for holes the first two cut them.
    overcut_mm : float
        How deep a through cut goes into the board.
    drills : tuple of MountedCutter
        Drills that may be used.
    edge : MountedCutter or None
        V cutter of edge breaks and countersinks.
    edge_break_mm : float or None
        Width of the chamfer along the upper edge of everything that is cut through.
    top_error_mm : float
        How far the sheet's top may lie from where the plan has it.
    skin_error_mm : float
        By how much a skin may be thicker or thinner than planned: bed and depth errors.
    is_brittle : bool
        The sheet cracks where it is stressed.
    """

    thickness_mm: float
    recipes: tuple[tuple[str, Recipe], ...]
    rough: MountedCutter
    finish: MountedCutter
    hole: MountedCutter | None
    overcut_mm: float
    drills: tuple[MountedCutter, ...] = ()
    edge: MountedCutter | None = None
    edge_break_mm: float | None = None
    top_error_mm: float = 0.0
    skin_error_mm: float = 0.0
    is_brittle: bool = False

    @property
    def recipe(self) -> Recipe:
        """The recipe of outside and inside contours."""
        return self.recipes[0][1]

    def recipe_for(self, task: Task, by_hand: str | None) -> Recipe:
        """Return the recipe of a task, or the one that was chosen for a contour by hand."""
        named = dict(self.recipes)
        return named[by_hand or TASK_RECIPES.get(task, self.recipes[0][0])]

    def cutter(self, role: str, *, inside: bool) -> MountedCutter:
        """Return the cutter that takes a role on an inside or outside contour."""
        if inside and self.hole is not None:
            return self.hole
        return self.rough if role == "rough" else self.finish


@dataclass(frozen=True, slots=True)
class Feeding:
    """What spindle speeds and feeds depend on."""

    material: Material
    machine: Machine
    headroom_share: float
    feed_mark_limit_um: float
    spindle_speed_rpm: float | None
    feed_per_tooth_mm: float | None


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything chosen for a job, as records."""

    material: Material
    machine: Machine
    sheet: SheetStock
    rates: Rates
    air: Air
    cutting: Cutting
    feeding: Feeding


def choose(job: Job, shelf: Shelf) -> Choices:
    """Return the job's choices as records.

    Raises
    ------
    UnknownNameError, LibraryError
        If a choice is not on the shelf or its file is damaged.
    PlanError
        If the thickness or the quantity cannot be meant.
    """
    if not 0.0 < job.thickness_mm <= THICKEST_MM:
        raise PlanError(
            f"a sheet {job.thickness_mm:g} mm thick cannot be cut; "
            f"give a thickness above 0 and up to {THICKEST_MM:g} mm"
        )
    if job.quantity < 1:
        raise PlanError(f"a quantity of {job.quantity} cannot be cut; give 1 or more")
    material, machine = shelf.material(job.material), shelf.machine(job.machine)
    rates = shelf.rates(job.rates)
    cutting = Cutting(
        thickness_mm=_thickness(job),
        recipes=_recipes(job, shelf),
        rough=_mounted(job.rough_cutter, job, shelf),
        finish=_mounted(job.finish_cutter, job, shelf),
        hole=_mounted(job.hole_cutter, job, shelf) if job.hole_cutter else None,
        overcut_mm=machine.overcut_mm,
        drills=_drills(job, shelf),
        edge=_mounted(job.edge_cutter, job, shelf, CutterForm.V),
        edge_break_mm=_edge_break(job),
        top_error_mm=_top_error_mm(job, material),
        skin_error_mm=machine.bed_flatness_mm + machine.depth_error_mm,
        is_brittle=material.brittle,
    )
    feeding = Feeding(
        material=material,
        machine=machine,
        headroom_share=rates.headroom_share,
        feed_mark_limit_um=rates.feed_mark_limit_um,
        spindle_speed_rpm=job.spindle_speed_rpm,
        feed_per_tooth_mm=job.feed_per_tooth_mm,
    )
    return Choices(material, machine, shelf.sheet(job.sheet), rates, job.air, cutting, feeding)


def _recipes(job: Job, shelf: Shelf) -> tuple[tuple[str, Recipe], ...]:
    """Return the recipes that the job needs, by the name it gives them; its own first."""
    by_hand = {c.recipe for drawing in job.drawings for c in drawing.contours if c.recipe}
    for name in (job.recipe, *by_hand):
        if {step.cutter for step in shelf.recipe(name).steps} & {"drill", "edge"}:
            raise PlanError(
                f"the recipe {shelf.recipe(name).name!r} is for drills or V cutters, not for "
                "outlines; choose another recipe, or give the contour that task"
            )
    names = (job.recipe, *sorted({*by_hand, *TASK_RECIPES.values()} - {job.recipe}))
    return tuple((name, _decided(shelf.recipe(name), job)) for name in names)


def _thickness(job: Job) -> float:
    # cut for the thickest place that was measured: a thinner one is only cut in air
    return max(job.measured_thickness_mm, default=job.thickness_mm)


def _top_error_mm(job: Job, material: Material) -> float:
    """Return how far the sheet's top may lie from where the plan has it. [mm]."""
    measured = job.measured_thickness_mm
    # the plan is made for the thickest place: the thinnest lies that much deeper
    return max(measured) - min(measured) if measured else material.tolerance_mm(job.thickness_mm)


def _drills(job: Job, shelf: Shelf) -> tuple[MountedCutter, ...]:
    """Return the drills that may be used; one whose file is damaged stays in its rack."""
    if job.drills:
        return tuple(_mounted(name, job, shelf, CutterForm.DRILL) for name in job.drills)
    found = []
    for key in shelf.files("mounted"):
        with suppress(LibraryError):
            if shelf.mounted(key).cutter.form is CutterForm.DRILL:
                found.append(_mounted(key, job, shelf, CutterForm.DRILL))
    return tuple(found)


def _edge_break(job: Job) -> float | None:
    by_hand = (c.edge_break_mm for drawing in job.drawings for c in drawing.contours)
    for width in (job.edge_break_mm, *by_hand):
        if width is not None and not 0.0 <= width <= WIDEST_EDGE_BREAK_MM:
            raise PlanError(
                f"an edge break of {width:g} mm cannot be cut; give 0 (none) to "
                f"{WIDEST_EDGE_BREAK_MM:g} mm"
            )
    return job.edge_break_mm or None


_FORMS = {
    CutterForm.END_MILL: "an end mill",
    CutterForm.DRILL: "a drill",
    CutterForm.V: "a V cutter",
}


def _mounted(
    name: str, job: Job, shelf: Shelf, form: CutterForm = CutterForm.END_MILL
) -> MountedCutter:
    """Return a mounted cutter in the holder that the job puts in, with a fresh edge if it asks."""
    mounted = shelf.mounted(name)
    if mounted.cutter.form is not form:
        raise PlanError(
            f"{mounted.name} is {_FORMS[mounted.cutter.form]}, and {_FORMS[form]} is needed there; "
            "choose another cutter"
        )
    if mounted.key in job.fresh_edges:
        mounted = replace(mounted, metres_cut=0.0)
    return replace(mounted, holder=shelf.holder(job.holder)) if job.holder else mounted


def _decided(recipe: Recipe, job: Job) -> Recipe:
    """Return the recipe with the job's own depth, corners, and stock where a step leaves any."""
    deepest = job.depth_times_diameter
    if deepest is not None and not 0.0 <= deepest <= MOST_DIAMETERS_DEEP:
        raise PlanError(
            f"a pass {deepest:g} diameters deep cannot be cut; "
            f"give 0 (all at once) to {MOST_DIAMETERS_DEEP:g}"
        )
    steps = []
    for step in recipe.steps:
        wall, floor = step.wall_stock_mm, step.floor_stock_mm
        if wall > 0.0 and job.wall_stock_mm is not None:
            wall = _stock(job.wall_stock_mm, "wall", job)
        if floor > 0.0 and job.floor_stock_mm is not None:
            floor = _stock(job.floor_stock_mm, "floor", job)
        deep = step.depth_times_diameter
        steps.append(
            replace(
                step,
                wall_stock_mm=wall,
                floor_stock_mm=floor,
                depth_times_diameter=deep if deepest is None or deep <= 0.0 else deepest,
                corner=Corner.MITRE if job.mitred_corners else step.corner,
            )
        )
    return replace(recipe, steps=tuple(steps))


def _stock(value_mm: float, where: str, job: Job) -> float:
    if not 0.0 <= value_mm < job.thickness_mm:
        raise PlanError(
            f"{value_mm:g} mm left on the {where} does not fit a sheet of {job.thickness_mm:g} mm; "
            "give 0 or more, and less than the sheet"
        )
    return value_mm
