"""The report: what a person, the window, the JSON and the pages are told about a plan.

All of it is frozen data; `None` means "not computed", never 0. Field names follow the JSON of
format 1 where they appear in it.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy as np
    from numpy.typing import NDArray

    from core.errors import Finding
    from core.explained import Explained
    from core.layout.records import SheetLayout
    from core.quote.price import Price
    from core.report.passes import ContourPasses


class State(enum.StrEnum):
    """State of a limit."""

    OUTSIDE = "outside"
    TIGHT = "tight"
    GOOD = "good"


@dataclass(frozen=True, slots=True)
class Spread:
    """5 %, mean and maximum along a pass, weighted by cut length, entries left out. [mm]."""

    p5: float
    mean: float
    max: float


@dataclass(frozen=True, slots=True)
class Thin:
    """Where the chip is thinner than `below_mm`, because the machine slows down."""

    below_mm: float
    length_mm: float
    revolutions: float
    at_mm: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Band:
    """A value with its 5 % and 95 % over the uncertainty of the coefficients."""

    low: float
    nominal: float
    high: float


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of a pass: actual against limit, with its state and its reason.

    `name` is the stable key ("heat", "rubbing", "chip_packing", ...), `label` the words shown.
    `reason` makes the explanation when somebody asks: a plan has thousands of limits, and a person
    reads a few.
    """

    name: str
    label: str
    actual: float
    limit: float
    unit: str
    margin_ratio: float
    state: State
    reason: Callable[[], Explained] = field(compare=False, repr=False)
    accepted: str = ""

    @property
    def explained(self) -> Explained:
        """The limit's actual value with its formula, values and source."""
        return self.reason()


@dataclass(frozen=True, eq=False, slots=True)
class Trace:
    """Values along a pass for drawing and charts; every array has n entries.

    Parameters
    ----------
    xy_mm : array of shape (n, 2)
        Cutter centre. [mm]
    time_s, speed_mm_min, feed_per_tooth_mm, chip_mm : array of shape (n,)
        Time since the pass began, speed, actual chip load, chip thickness.
    wall_c : array of shape (n,) or None
        Wall temperature; None where heat is not modelled.
    """

    xy_mm: NDArray[np.float64]
    time_s: NDArray[np.float64]
    speed_mm_min: NDArray[np.float64]
    feed_per_tooth_mm: NDArray[np.float64]
    chip_mm: NDArray[np.float64]
    wall_c: NDArray[np.float64] | None


@dataclass(frozen=True, slots=True)
class EngagementBand:
    """One band of the height that the cutter works in, and how wide it cuts there."""

    z_top_mm: float
    z_bottom_mm: float
    radial_width_mm: float


@dataclass(frozen=True, eq=False, slots=True)
class PassReport:
    """One pass. See the JSON of format 1 for the meaning of each field.

    A drill has no direction. `depth_from` says where its depth is taken from: "bed" or "top".
    """

    step: str
    cutter: str
    cutter_name: str
    z_top_mm: float
    z_bottom_mm: float
    wall_stock_mm: float
    floor_stock_mm: float
    engagement: tuple[EngagementBand, ...]
    direction: str | None
    spindle_speed_rpm: float
    feed_per_tooth_mm: float
    feed_speed_mm_min: float
    binding_limit: str
    path_length_mm: float
    time_s: float
    feed_per_tooth_reached_mm: Spread
    chip_thickness_mm: Spread
    thin: Thin
    power_w: float | None
    lateral_force_n: float | None
    wall_error_mm: float | None
    feed_mark_um: float | None
    chip_temperature_c: float | None
    wall_temperature_c: float | None
    wall_hottest_at_mm: tuple[float, float] | None
    cutter_temperature_c: float | None
    heat_margin_k: Band | None
    p_hot: float | None
    calibrated: bool
    heat_cause: str | None
    limits: tuple[Limit, ...]
    reasons: Callable[[], tuple[Explained, ...]]
    trace: Trace
    depth_from: str = "bed"

    @property
    def numbers(self) -> tuple[Explained, ...]:
        """The numbers of the pass that are no limits (feed, chip load, time), explained."""
        return self.reasons()

    @property
    def state(self) -> State:
        """The worst state among the limits."""
        return worst(limit.state for limit in self.limits)


@dataclass(frozen=True, eq=False, slots=True)
class ContourReport:
    """One contour with its passes."""

    id: int
    drawing: int
    name: str
    kind: str
    parent: int | None
    depth: int
    task: str
    length_mm: float
    area_mm2: float
    min_radius_mm: float | None
    unreached_mm2: float | None
    outline_mm: NDArray[np.float64]
    passes: ContourPasses
    hold_down_ratio: float | None
    findings: tuple[Finding, ...]

    @property
    def time_s(self) -> float:
        """Time of all its passes, entries included. [s]."""
        return self.passes.time_s

    @property
    def state(self) -> State:
        """The worst state among its passes."""
        return self.passes.state


@dataclass(frozen=True, slots=True)
class LayerReport:
    """A layer of a drawing: what it holds and whether it is used."""

    name: str
    entity_count: int
    frozen: bool
    left_out: bool


@dataclass(frozen=True, slots=True)
class DrawingReport:
    """One drawing as it was read."""

    file: str
    dxf_version: str
    mm_per_unit: float
    unit_origin: str
    unit_reason: str
    size_mm: tuple[float, float]
    bounds_mm: tuple[float, float, float, float]
    outer_contours: int
    holes: int
    open_chains: int
    area_mm2: float
    left_out: tuple[tuple[str, int], ...]
    frozen_layers: tuple[str, ...]
    layers: tuple[LayerReport, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class OrderEntry:
    """One line of the order of work."""

    sheet: int
    copy: int
    contour: int
    step: str
    cutter: str
    spindle_speed_rpm: float


@dataclass(frozen=True, slots=True)
class Totals:
    """Times and lengths of the whole job (all copies)."""

    cutting_s: float
    moving_s: float
    entering_s: float
    spindle_changes_s: float
    cutter_changes_s: float
    cycle_time_s: float
    rapid_mm: float
    cut_mm: float


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer to "will it cut cleanly?".

    Parameters
    ----------
    cleanly : str
        "yes", "tight" or "no".
    outside, tight : int
        Limits and findings in that state; accepted ones and mended ones are not counted.
    worst : (int, int) or None
        Place of the contour in the report and of the pass in it whose limit stands worst.
    """

    cleanly: str
    outside: int
    tight: int
    worst: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class SentencePart:
    """A piece of the job sentence; a piece with a `field` is a bracket that can be edited."""

    text: str
    field: str = ""


@dataclass(frozen=True, eq=False, slots=True)
class Report:
    """Everything there is to say about a job."""

    sentence_parts: tuple[SentencePart, ...]
    choices: tuple[tuple[str, str | float | None], ...]
    drawings: tuple[DrawingReport, ...]
    contours: tuple[ContourReport, ...]
    sheets: tuple[SheetLayout, ...]
    order: tuple[OrderEntry, ...]
    totals: Totals
    price: Price | None
    answer: Answer
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """The job in one sentence."""
        return "".join(part.text for part in self.sentence_parts)


_RANK = {State.GOOD: 0, State.TIGHT: 1, State.OUTSIDE: 2}


def worst(states: object) -> State:
    """Return the worst of some states; good if there is none."""
    return max(states, key=_RANK.__getitem__, default=State.GOOD)  # type: ignore[call-overload, no-any-return]


def worst_limit(report: Report) -> tuple[ContourReport, PassReport, Limit] | None:
    """Return the limit that stands worst, with its pass and contour; None where all are good."""
    if report.answer.worst is None:
        return None
    contour = report.contours[report.answer.worst[0]]
    one = contour.passes[report.answer.worst[1]]
    return contour, one, one.limits[0]
