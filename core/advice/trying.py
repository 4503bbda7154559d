"""Trying a changed job: the chain is run, and what matters for advice is kept.

Terms: a *trial* is what is kept of one computed job. The pipeline remembers its stages and the
bench remembers its trials, so that the same change asked for twice costs nothing.
"""

from __future__ import annotations

from collections import Counter, OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.advice.records import RANK, Cost, Standing, Worsened
from core.advice.stops import stops_at
from core.errors import Cancelled, Severity, WorkbenchError
from core.heat.records import OUTSIDE_ABOVE
from core.library.shelf import Shelf
from core.pipeline import Pipeline
from core.report.columns import OUTSIDE, TIGHT
from core.report.records import State

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from decimal import Decimal
    from pathlib import Path

    from core.advice.edits import ContourKey
    from core.job import Job
    from core.pipeline import Results
    from core.report.records import ContourReport, Limit, PassReport, Report

HOT = "hot"
"""A place that is hot in more of its band than a calibrated shop would accept. Where heat is not
calibrated its limit is tight at most, and this tells a little tight from far too hot."""

REMEMBERED = 96
"""Trials that are remembered; each is a few kilobytes."""

Stands = tuple[tuple[str, str, Standing], ...]
"""Step, limit and how it stands, for every pass of a contour."""


@dataclass(frozen=True, eq=False, slots=True)
class Trial:
    """What is kept of a computed job.

    Parameters
    ----------
    time_s, spindle_changes_s : float
        Time on the machine, all copies, and spindle ramps in it. [s]
    price : Decimal or None
        Of one copy.
    currency : str
        Of the price.
    places : mapping of str to (int, int)
        By limit or code of warning: contours where it is tight, and where it is outside.
    labels : mapping of str to str
        Those names in words.
    stands : tuple
        The limits of the contour that was asked for.
    stops_at : str
        What binds the slowest kind of pass.
    """

    time_s: float
    spindle_changes_s: float
    price: Decimal | None
    currency: str
    places: Mapping[str, tuple[int, int]]
    labels: Mapping[str, str]
    stands: Stands
    stops_at: str

    def standing(self, step: str, limit: str) -> Standing | None:
        """Return the worst of a limit on the passes of a step; on all, where there is no such."""
        of_step = [s for name, key, s in self.stands if name == step and key == limit]
        every = of_step or [s for _, key, s in self.stands if key == limit]
        return min(every, key=lambda s: (-RANK[s.state], s.score), default=None)


class Bench:
    """Runs changed jobs and remembers what came of them.

    Parameters
    ----------
    folder : Path or None
        The user's own library files.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._pipeline = Pipeline(folder)
        self._folder = folder
        self._trials: OrderedDict[tuple[Job, ContourKey | None], Trial | None] = OrderedDict()
        self.tried = 0

    def shelf(self, job: Job) -> Shelf:
        """Return the shelf that a job chooses from."""
        return Shelf(job.library, self._folder)

    def results(self, job: Job, cancelled: Callable[[], bool] | None = None) -> Results:
        """Return what follows from a job; see `Pipeline.results`."""
        return self._pipeline.results(job, cancelled=cancelled)

    def trial(
        self,
        job: Job,
        where: ContourKey | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Trial | None:
        """Return what came of a job, with the limits of one contour; None if it cannot be planned.

        Raises
        ------
        Cancelled
            If `cancelled` says so.
        """
        key = (job, where)
        if key not in self._trials:
            self.tried += 1
            try:
                self._trials[key] = trial_of(self.results(job, cancelled), where)
            except Cancelled:
                raise
            except WorkbenchError:
                self._trials[key] = None
            if len(self._trials) > REMEMBERED:
                self._trials.popitem(last=False)
        self._trials.move_to_end(key)
        return self._trials[key]


def trial_of(results: Results, where: ContourKey | None) -> Trial:
    """Return what is kept of results, with the limits of one contour."""
    report = results.report
    places, labels = _places(results)
    price = report.price
    return Trial(
        time_s=report.totals.cycle_time_s,
        spindle_changes_s=report.totals.spindle_changes_s,
        price=price.per_part if price else None,
        currency=price.currency if price else "",
        places=places,
        labels=labels,
        stands=_stands(contour_at(report, where)) if where else (),
        stops_at=stops_at(results),
    )


def contour_at(report: Report, where: ContourKey) -> ContourReport:
    """Return a contour by drawing and id."""
    return next(c for c in report.contours if (c.drawing, c.id) == where)


def _stands(contour: ContourReport) -> Stands:
    return tuple(
        (one.step, limit.name, standing_of(one, limit))
        for one in contour.passes
        for limit in one.limits
    )


def standing_of(one: PassReport, limit: Limit) -> Standing:
    """Return how a limit of a pass stands."""
    if limit.name == "heat" and one.heat_margin_k is not None:
        nominal = one.heat_margin_k.nominal
        return Standing(nominal, 0.0, limit.margin_ratio, "K", limit.state, one.p_hot)
    return Standing(limit.actual, limit.limit, limit.margin_ratio, limit.unit, limit.state)


def _places(results: Results) -> tuple[dict[str, tuple[int, int]], dict[str, str]]:
    """Return on how many contours each limit and warning is tight and outside, and its words."""
    report = results.report
    places: dict[str, tuple[int, int]] = {}
    labels: dict[str, str] = {}
    judged = next((c.passes.judged for c in report.contours if c.passes.judged), None)
    if judged is not None:
        numbers: dict[ContourKey, int] = {}
        paths = [one.toolpath for one in results.plan.passes]
        contour = np.array(
            [numbers.setdefault((p.drawing, p.contour_id), len(numbers)) for p in paths]
        )
        for column in judged.columns:
            if column.name in judged.accepted:
                continue
            outside = set(contour[column.state == OUTSIDE].tolist())
            tight = set(contour[column.state == TIGHT].tolist()) - outside
            places[column.name] = (len(tight), len(outside))
            labels[column.name] = (
                column.labels if isinstance(column.labels, str) else column.name.replace("_", " ")
            )
    hot = {
        (path.drawing, path.contour_id)
        for path, heat in zip(
            (one.toolpath for one in results.plan.passes), results.heat, strict=True
        )
        if heat is not None and heat.p_hot > OUTSIDE_ABOVE
    }
    places[HOT], labels[HOT] = (
        (len(hot), 0),
        f"heat in over {100.0 * OUTSIDE_ABOVE:.0f} % of the band",
    )
    noticed = [*report.findings, *(f for c in report.contours for f in c.findings)]
    weights = Counter((f.code, f.severity) for f in noticed if not f.repaired)
    for code in {code for code, _ in weights}:
        places[code] = (weights[code, Severity.TIGHT], weights[code, Severity.OUTSIDE])
        labels[code] = code.replace("-", " ")
    return places, labels


def cost_between(before: Trial, after: Trial) -> Cost:
    """Return what the second job costs more than the first."""
    known = before.price is not None and after.price is not None
    return Cost(
        time_s=after.time_s - before.time_s,
        spindle_changes_s=after.spindle_changes_s - before.spindle_changes_s,
        price=after.price - before.price if known else None,  # type: ignore[operator]
        currency=after.currency,
    )


def worsened(before: Trial, after: Trial, but: str = "") -> tuple[Worsened, ...]:
    """Return what stands worse in more places in the second job; `but` one limit is left out."""
    found = []
    for name, (tight, outside) in sorted(after.places.items()):
        tight_before, outside_before = before.places.get(name, (0, 0))
        more_outside = outside - outside_before
        more = tight + outside - tight_before - outside_before
        if name == but:
            continue
        if more_outside > 0:
            found.append(Worsened(name, after.labels[name], State.OUTSIDE, more_outside))
        elif more > 0:
            found.append(Worsened(name, after.labels[name], State.TIGHT, more))
    return tuple(found)
