"""All limits of all passes, judged at once; single ones are made when somebody asks."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from core.report.columns import OUTSIDE, TIGHT, Column
from core.report.cut_limits import cut_limits
from core.report.force_limits import force_limits
from core.report.heat_limit import heat_limit
from core.report.speed_limits import speed_limits

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from core.report.facts import Facts
    from core.report.records import Limit


@dataclass(frozen=True, eq=False)
class Judged:
    """The limits of p passes.

    Parameters
    ----------
    columns : tuple of Column
        One for each limit.
    accepted : mapping of str to str
        Names of the limits that the user accepted, with the reason.
    """

    columns: tuple[Column, ...]
    accepted: Mapping[str, str]

    def of_pass(self, index: int) -> tuple[Limit, ...]:
        """Return the limits of one pass, worst first."""
        rows = [c for c in self.columns if c.applies[index]]
        rows.sort(key=lambda c: (-int(c.state[index]), float(c.margin_ratio[index])))
        return tuple(c.at(index, self.accepted.get(c.name, "")) for c in rows)

    @cached_property
    def counts(self) -> Counter[int]:
        """How many limits of all passes are in each state, the accepted ones left out."""
        found: Counter[int] = Counter()
        for column in self.columns:
            if column.name not in self.accepted:
                for state in (TIGHT, OUTSIDE):
                    found[state] += int(np.count_nonzero(column.state == state))
        return found

    @cached_property
    def worst_state(self) -> NDArray[np.int8]:
        """Number of the worst state of each pass, shape (p,)."""
        return np.asarray(np.max([column.state for column in self.columns], axis=0))

    @property
    def is_hot(self) -> bool:
        """Whether the heat of any pass is tight or outside."""
        return any(column.state.any() for column in self.columns if column.name == "heat")

    @cached_property
    def worst(self) -> int | None:
        """Index of the pass whose limit stands worst; None where all are good."""
        ranks = []
        for c in self.columns:
            state = np.where(c.applies, c.state, -1)
            # equal but for rounding, the first is the worst
            margin = np.round(c.margin_ratio, 9)
            i = int(np.argmin(np.where(state == state.max(), margin, np.inf)))
            if c.applies[i]:
                ranks.append((-int(c.state[i]), float(margin[i]), i))
        best = min(ranks, default=(0, 0.0, 0))
        return best[2] if best[0] else None


def judge(facts: Facts, accepted: Mapping[str, str]) -> Judged:
    """Return the limits of all passes.

    Parameters
    ----------
    facts : Facts
        What was found out about the passes, at least one.
    accepted : mapping of str to str
        Names of the limits that the user accepted, with the reason.
    """
    heat = heat_limit(facts)
    columns = (
        *([heat] if heat is not None else []),
        *cut_limits(facts),
        *force_limits(facts),
        *speed_limits(facts),
    )
    return Judged(columns, accepted)
