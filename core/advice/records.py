"""What advice consists of: edits of a job, and what the chain computed when they were made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.report.records import State

if TYPE_CHECKING:
    from collections.abc import Callable
    from decimal import Decimal

    from core.job import Job

RANK = {State.GOOD: 0, State.TIGHT: 1, State.OUTSIDE: 2}
"""How bad a state is."""


@dataclass(frozen=True, slots=True)
class Edit:
    """A change of a job, with the words of its button.

    Parameters
    ----------
    kind : str
        What is changed: "spindle", "cutter", "depth" ...; of one kind one remedy is offered.
    name : str
        What to do, with the value: "Run the spindle at 9 000 rpm here".
    change : callable
        The job as it then is.
    needs : str
        What the shop must have or do for it; empty for nothing.
    only_told : bool
        True for information that is no button: another machine.
    """

    kind: str
    name: str
    change: Callable[[Job], Job]
    needs: str = ""
    only_told: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """How a limit stands on a contour: the worst of the passes that are asked for.

    Parameters
    ----------
    actual, limit, margin_ratio, unit
        As in the report; `actual` of heat is the nominal margin in K and its limit 0.
    state : State
        Its state.
    hot_share : float or None
        Share of the uncertainty in which the pass is hot, for heat.
    """

    actual: float
    limit: float
    margin_ratio: float
    unit: str
    state: State
    hot_share: float | None = None

    @property
    def score(self) -> float:
        """What two standings of one limit are compared by, more is better.

        Heat is judged by the share of its uncertainty that is hot, all else by its margin.
        """
        return self.margin_ratio if self.hot_share is None else -self.hot_share


@dataclass(frozen=True, slots=True)
class Cost:
    """What an edit costs in the whole job; negative is gained.

    Parameters
    ----------
    time_s, spindle_changes_s : float
        More time on the machine, all copies, and the part of it that is spindle ramps. [s]
    price : Decimal or None
        More price a copy; None where there is none.
    currency : str
        Of the price.
    """

    time_s: float
    spindle_changes_s: float
    price: Decimal | None
    currency: str


@dataclass(frozen=True, slots=True)
class Worsened:
    """A limit or a warning that stands worse somewhere after an edit than before."""

    name: str
    label: str
    state: State
    places: int


@dataclass(frozen=True, slots=True)
class Remedy:
    """An edit and what it does to one limit of one contour.

    Parameters
    ----------
    edit : Edit
        What to do.
    before : Standing
        How the limit stands.
    after : Standing or None
        How it would stand; None where it would be no more (a skin frees nothing to hold).
    cost : Cost
        What it costs in the whole job.
    worse : tuple of Worsened
        What else got worse anywhere in the job.
    """

    edit: Edit
    before: Standing
    after: Standing | None
    cost: Cost
    worse: tuple[Worsened, ...]

    @property
    def state(self) -> State:
        """State of the limit afterwards."""
        return self.after.state if self.after else State.GOOD

    @property
    def better(self) -> float:
        """How much better the limit stands, by its score; 1 where it is no more."""
        return self.after.score - self.before.score if self.after else 1.0

    @property
    def clears(self) -> bool:
        """Whether the limit is good afterwards."""
        return self.state is State.GOOD

    @property
    def gain(self) -> float | None:
        """How much the limit's value moves, in its unit; None where it is no more."""
        return self.after.actual - self.before.actual if self.after else None


@dataclass(frozen=True, slots=True)
class Advice:
    """Remedies for one limit of one contour.

    Parameters
    ----------
    drawing, contour_id, step, limit : int, int, str, str
        Which limit.
    label : str
        The limit in words.
    standing : Standing
        How it stands.
    remedies : tuple of Remedy
        Up to three, the best first.
    told : tuple of Remedy
        Information that is no button: what another machine would do.
    said : tuple of str
        What the search found besides: that no speed on this cutter clears it, that nothing helps.
    tried : int
        Changed jobs that were computed.
    """

    drawing: int
    contour_id: int
    step: str
    limit: str
    label: str
    standing: Standing
    remedies: tuple[Remedy, ...]
    told: tuple[Remedy, ...]
    said: tuple[str, ...]
    tried: int


@dataclass(frozen=True, slots=True)
class FasterWay:
    """A way to go faster.

    Parameters
    ----------
    edit : Edit
        What to do, and what it needs.
    gain_s : float
        Less time on the machine, all copies. [s]
    gain_share : float
        The same as a share of the time now.
    cost : Cost
        Time and price.
    stops_at : str
        What binds the slowest kind of pass after the change, in words.
    worse : tuple of Worsened
        What stands worse.
    """

    edit: Edit
    gain_s: float
    gain_share: float
    cost: Cost
    stops_at: str
    worse: tuple[Worsened, ...]

    @property
    def is_blocked(self) -> bool:
        """Whether something is outside that was not before."""
        return any(one.state is State.OUTSIDE for one in self.worse)
