"""Remedies: for a limit that is outside or tight, what clears it and what that costs.

Every change is computed by running the chain on the changed job; nothing is guessed. Of one kind of
change the best is kept: the one that clears the limit at the least cost, else the one that gains
the most.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.advice.candidates import BY_LIMIT, candidates, slower_spindle, speeds_to_try_rpm
from core.advice.records import RANK, Advice, Remedy
from core.advice.target import Target
from core.advice.trying import Bench, contour_at, cost_between, standing_of, worsened
from core.report.records import State
from core.units import show

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from core.advice.edits import ContourKey
    from core.pipeline import Results

MOST = 3
"""Remedies offered."""

MOST_TRIED = 32
"""Changed jobs computed for one limit."""

LEAST_GAIN = 0.01
"""A remedy that does not clear the limit must move its score by this much to be offered: 1 % of the
margin, or of the uncertainty of heat."""


def advise(
    bench: Bench,
    results: Results,
    where: ContourKey,
    place: int,
    limit: str,
    cancelled: Callable[[], bool] | None = None,
) -> Advice:
    """Return up to three remedies for one limit of one pass.

    Parameters
    ----------
    bench : Bench
        Runs the changed jobs; keep it, it remembers them.
    results : Results
        The job as it is.
    where : (int, int)
        Drawing and contour.
    place : int
        The pass, counted in the contour.
    limit : str
        Name of the limit.
    cancelled : callable or None
        Asked before each changed job and during it.

    Raises
    ------
    Cancelled
        If `cancelled` says so.
    """
    contour = contour_at(results.report, where)
    one = contour.passes[place]
    found = next(x for x in one.limits if x.name == limit)
    target = Target(results, bench.shelf(results.job), contour, place, found)
    before = standing_of(one, found)
    begun = bench.tried
    tried = list(_tried(bench, target, one.step, cancelled))
    offered = [r for r in tried if not r.edit.only_told]
    return Advice(
        drawing=where[0],
        contour_id=where[1],
        step=one.step,
        limit=limit,
        label=found.label,
        standing=before,
        remedies=_best(offered),
        told=_best([r for r in tried if r.edit.only_told]),
        said=tuple(_said(target, tried)),
        tried=bench.tried - begun,
    )


def all_advice(
    bench: Bench,
    results: Results,
    where: ContourKey,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[Advice, ...]:
    """Return remedies for every limit of a contour that is not good, once a step, the worst first.

    Raises as `advise`.
    """
    contour = contour_at(results.report, where)
    worst: dict[tuple[str, str], tuple[int, float, int]] = {}
    for place, one in enumerate(contour.passes):
        for limit in one.limits:
            key, rank = (one.step, limit.name), (-RANK[limit.state], limit.margin_ratio, place)
            if limit.state is not State.GOOD and rank < worst.get(key, (1, 0.0, 0)):
                worst[key] = rank
    order = sorted(worst.items(), key=lambda item: item[1])
    return tuple(
        advise(bench, results, where, rank[2], limit, cancelled) for (_, limit), rank in order
    )


def _tried(
    bench: Bench, target: Target, step: str, cancelled: Callable[[], bool] | None
) -> Iterator[Remedy]:
    """Yield what each change does, as far as it can be planned."""
    job, limit = target.results.job, target.limit.name
    now = bench.trial(job, target.where, cancelled)
    assert now is not None, "a job that has results can be planned"
    before = now.standing(step, limit)
    assert before is not None, "the limit was just read from these results"
    seen = {job}
    for edit in candidates(target):
        changed = edit.change(job)
        if changed in seen or len(seen) > MOST_TRIED:
            continue
        seen.add(changed)
        after = bench.trial(changed, target.where, cancelled)
        if after is None or not after.stands:
            continue
        yield Remedy(
            edit=edit,
            before=before,
            after=after.standing(step, limit),
            cost=cost_between(now, after),
            worse=worsened(now, after, limit),
        )


def _order(remedy: Remedy) -> tuple[float, ...]:
    """Return what remedies are ranked by, the best least."""
    outside = sum(w.places for w in remedy.worse if w.state is State.OUTSIDE)
    tight = sum(w.places for w in remedy.worse if w.state is State.TIGHT)
    gained = 0.0 if remedy.clears else -remedy.better
    price = float(remedy.cost.price) if remedy.cost.price is not None else 0.0
    state = RANK[remedy.state]
    return (float(outside > 0), state, gained, tight, remedy.cost.time_s, price)


def _helps(remedy: Remedy) -> bool:
    better = RANK[remedy.state] < RANK[remedy.before.state]
    worse = RANK[remedy.state] > RANK[remedy.before.state]
    return better or (not worse and remedy.better > LEAST_GAIN)


def _best(remedies: list[Remedy]) -> tuple[Remedy, ...]:
    """Return the best of each kind that helps, the best kinds first."""
    kinds: dict[str, Remedy] = {}
    for remedy in sorted(filter(_helps, remedies), key=_order):
        kinds.setdefault(remedy.edit.kind, remedy)
    return tuple(kinds.values())[:MOST]


def _said(target: Target, tried: list[Remedy]) -> Iterator[str]:
    """Yield what the search found besides remedies."""
    speeds = [r for r in tried if r.edit.kind == "spindle"]
    rpm = speeds_to_try_rpm(target)
    slower = slower_spindle in BY_LIMIT.get(target.limit.name, ())
    if slower and rpm and speeds and not any(r.clears for r in speeds):
        yield (
            f"No spindle speed on this cutter clears it: {show(rpm[-1], 'rpm')} to "
            f"{show(target.one.spindle_speed_rpm, 'rpm')} were tried."
        )
    if not any(r.clears for r in tried if not r.edit.only_told):
        yield f"Nothing on the shelf clears it alone; {len(tried)} changes were tried."
