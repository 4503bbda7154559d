"""What the brackets of the job sentence edit, as a table of data.

A field is one decision of the job. Quantities may be left to the house rule or the recipe (None in
the job); choices come from the shelf and show what their makers print, with the source.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from core.errors import WorkbenchError
from core.job.job import Air
from core.library.records import CutterForm

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from core.job.job import Job
    from core.library.records import Sourced
    from core.library.shelf import Shelf


class Kind(enum.Enum):
    """How a field is edited."""

    QUANTITY = enum.auto()
    COUNT = enum.auto()
    TEXT = enum.auto()
    CHOICE = enum.auto()


@dataclass(frozen=True, slots=True)
class Option:
    """One choice: its key, its name, and what is worth knowing about it."""

    key: str
    name: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One decision of the job.

    Parameters
    ----------
    key : str
        Name of the job's field, and of the bracket in the sentence.
    label : str
        What it is called.
    kind : Kind
        How it is edited.
    unit : str
        Unit of a quantity.
    low, high, step : float
        Bounds and step of a quantity.
    shelf : str
        Which kind of entry a choice comes from.
    left_to : str
        What decides when the user does not; empty where the user must.
    """

    key: str
    label: str
    kind: Kind
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    step: float = 0.1
    shelf: str = ""
    left_to: str = ""


FIELDS = (
    Field("quantity", "quantity", Kind.COUNT, low=1, high=100_000, step=1),
    Field("name", "name of the job", Kind.TEXT),
    Field("material", "material", Kind.CHOICE, shelf="material"),
    Field("thickness_mm", "sheet thickness", Kind.QUANTITY, "mm", 0.2, 60.0, 0.5),
    Field("sheet", "sheet", Kind.CHOICE, shelf="sheet"),
    Field("rough_cutter", "roughing cutter", Kind.CHOICE, shelf="mounted"),
    Field("wall_stock_mm", "stock on the wall", Kind.QUANTITY, "mm", 0, 5, 0.1, left_to="recipe"),
    Field("floor_stock_mm", "stock on the floor", Kind.QUANTITY, "mm", 0, 5, 0.1, left_to="recipe"),
    Field("finish_cutter", "finishing cutter", Kind.CHOICE, shelf="mounted"),
    Field("hole_cutter", "cutter for holes", Kind.CHOICE, shelf="mounted", left_to="the two above"),
    Field(
        "spindle_speed_rpm",
        "spindle speed",
        Kind.QUANTITY,
        "rpm",
        500.0,
        60_000.0,
        500.0,
        left_to="house rule",
    ),
    Field("holder", "holder", Kind.CHOICE, shelf="holder", left_to="as the cutter is mounted"),
    Field("machine", "machine", Kind.CHOICE, shelf="machine"),
    Field("air", "air", Kind.CHOICE, shelf="air"),
)
BY_KEY = {field.key: field for field in FIELDS}

_AIR = (
    Option(Air.NONE.value, "no air on the cutter", "The chip stays in the slot and is cut again."),
    Option(Air.SUCTION.value, "suction", "Chips are drawn off above the sheet."),
    Option(Air.BLAST.value, "air blast and suction", "Air clears the slot behind the cutter."),
)
_FACTS: dict[str, tuple[tuple[str, str], ...]] = {
    "material": (("softening_temperature_c", "softens"), ("density_kg_m3", "density")),
    "holder": (("balanced_speed_rpm", "balanced to"), ("balance_grade_mm_s", "grade")),
    "machine": (("acceleration_mm_s2", "accelerates"), ("spindle_power_w", "spindle")),
}


def with_value(job: Job, key: str, value: object) -> Job:
    """Return the job with one decision changed."""
    changes: dict[str, Any] = {key: Air(str(value)) if key == "air" else value}
    return replace(job, **changes)


def value_of(job: Job, key: str) -> Any:
    """Return one decision of the job."""
    value = getattr(job, key)
    return value.value if isinstance(value, Air) else value


def options(shelf: Shelf, field: Field, job: Job) -> list[Option]:
    """Return what can be chosen for a field, each with values and their sources."""
    if field.shelf == "air":
        return list(_AIR)
    return [
        Option(key, name, _note(shelf, field.shelf, key, job))
        for key, name in shelf.names(field.shelf)
        if field.shelf != "mounted" or _mills(shelf, key)
    ]


def _mills(shelf: Shelf, key: str) -> bool:
    """Tell whether a mounted cutter can cut along outlines, or cannot be used and says so."""
    try:
        return shelf.mounted(key).cutter.form is CutterForm.END_MILL
    except WorkbenchError:
        return True


def _note(shelf: Shelf, kind: str, key: str, job: Job) -> str:
    """Return what is worth knowing about an entry; why it cannot be used, if it cannot."""
    try:
        if kind == "mounted":
            return _cutter_note(shelf, key, job)
        if kind == "sheet":
            sheet = shelf.sheet(key)
            return f"{sheet.size_mm[0]:g} x {sheet.size_mm[1]:g} mm"
        record: Any = getattr(shelf, kind)(key)
    except WorkbenchError as error:
        return f"cannot be used: {error}"
    return " \u00b7 ".join(_facts(record.sources, _FACTS.get(kind, ())))


def _facts(sources: Mapping[str, Sourced], wanted: Iterable[tuple[str, str]]) -> list[str]:
    """Return values as their source prints them, with the source."""
    return [f"{word} {_printed(sources[name])}" for name, word in wanted if name in sources]


def _printed(value: Sourced) -> str:
    where = f"{value.source}, {value.place}" if value.place else value.source
    return f"{value.value:g} {value.unit} ({where or value.basis.value})"


def _cutter_note(shelf: Shelf, key: str, job: Job) -> str:
    mounted = shelf.mounted(key)
    cutter = mounted.cutter
    edges = "one edge" if cutter.tooth_count == 1 else f"{cutter.tooth_count} edges"
    facts = [f"{cutter.diameter_mm:g} mm, {edges}, {cutter.helix.value}, in {mounted.holder.name}"]
    for loads in cutter.chip_loads:
        if loads.material in job.material or job.material in loads.material:
            facts.append(f"chip load {loads.source}")
    if mounted.finish_only:
        facts.append("finishes only")
    return " \u00b7 ".join(facts)
