"""Advice in words: what a remedy does to its limit, what it costs, what gets worse."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.report.pass_text import bare_name
from core.units import UnitSystem, duration, number, show
from core.units.showing import MINUS

if TYPE_CHECKING:
    from collections.abc import Iterator
    from decimal import Decimal

    from core.advice.finding_remedies import FindingRemedy
    from core.advice.records import Advice, Cost, FasterWay, Remedy, Standing, Worsened
    from core.advice.spindle_follows import FollowedContour, SpindleFollows

LEAST_TIME_S = 0.05
"""Shorter times are not told."""


def remedy_text(remedy: Remedy, system: UnitSystem = UnitSystem.METRIC) -> str:
    """Return a remedy in one line: what to do, what it does, what it costs, what gets worse."""
    parts = [effect_text(remedy, system), *_costs(remedy.cost)]
    if remedy.edit.needs:
        parts.append(f"needs {_small(remedy.edit.needs)}")
    worse = worse_text(remedy.worse)
    return f"{remedy.edit.name}: {', '.join(parts)}{f'; {worse}' if worse else ''}"


def finding_remedy_text(remedy: FindingRemedy) -> str:
    """Return a remedy for a warning in one line."""
    gone = "the warning is gone" if not remedy.left else f"it stays in {remedy.left} places"
    parts = [gone, *_costs(remedy.cost)]
    if remedy.edit.needs:
        parts.append(f"needs {_small(remedy.edit.needs)}")
    worse = worse_text(remedy.worse)
    return f"{remedy.edit.name}: {', '.join(parts)}{f'; {worse}' if worse else ''}"


def effect_text(remedy: Remedy, system: UnitSystem = UnitSystem.METRIC) -> str:
    """Return what a remedy does to its limit."""
    before, after = remedy.before, remedy.after
    if after is None:
        return "the limit is no more"
    if before.hot_share is not None and after.hot_share is not None:
        hot = f"{_percent(after.hot_share)} of the model's band is hot"
        gain = _signed(after.actual - before.actual)
        return f"{gain} K of margin, {hot} instead of {_percent(before.hot_share)}, {after.state}"
    shown = f"{show(before.actual, before.unit, system)} → {show(after.actual, after.unit, system)}"
    return f"{shown} of {show(after.limit, after.unit, system)}, {after.state}"


def cost_text(cost: Cost) -> str:
    """Return what an edit costs, in words."""
    return ", ".join(_costs(cost)) or "costs nothing"


def _costs(cost: Cost) -> Iterator[str]:
    ramps = cost.spindle_changes_s
    if abs(cost.time_s) >= LEAST_TIME_S:
        words = "longer" if cost.time_s > 0.0 else "shorter"
        part = f", {duration(ramps)} of it spindle ramps" if ramps > LEAST_TIME_S else ""
        yield f"{duration(abs(cost.time_s))} {words}{part}"
    if cost.price:
        yield f"{cost.currency} {_money(cost.price)} a copy"


def worse_text(worse: tuple[Worsened, ...]) -> str:
    """Return what gets worse, in words; empty if nothing."""
    told = [f"{w.label} {w.state} on {w.places} more" for w in worse]
    return f"worse: {', '.join(told)}" if told else ""


def advice_lines(advice: Advice, system: UnitSystem = UnitSystem.METRIC) -> Iterator[str]:
    """Yield the advice for one limit as lines of text."""
    yield f"{advice.label}, {advice.step}: {_stands(advice.standing, system)}"
    for remedy in advice.remedies:
        yield f"  - {remedy_text(remedy, system)}"
    for remedy in advice.told:
        yield f"  To know: {remedy_text(remedy, system)}"
    for said in advice.said:
        yield f"  {said}"


def faster_text(way: FasterWay) -> str:
    """Return a way to go faster in one line: gain, what it needs, what stops it."""
    parts = [f"{duration(way.gain_s)} shorter ({_percent(way.gain_share)})"]
    if way.cost.price:
        parts.append(f"{way.cost.currency} {_money(way.cost.price)} a copy")
    if way.edit.needs:
        parts.append(f"needs {_small(way.edit.needs)}")
    parts.append(f"then bound by {way.stops_at}")
    worse = worse_text(way.worse)
    return f"{way.edit.name}: {', '.join(parts)}{f'; {worse}' if worse else ''}"


def follows_lines(offer: SpindleFollows) -> Iterator[str]:
    """Yield the offer to let the spindle follow, as lines of text, with what it is worth."""
    worse = worse_text(offer.worse)
    yield f"{offer.edit.name}: {cost_text(offer.cost)}{f'; {worse}' if worse else ''}"
    alike: dict[str, list[str]] = {}
    for one in offer.contours:
        alike.setdefault(_followed(one), []).append(one.name)
    for what, names in alike.items():
        many = f", {len(names)} alike" if len(names) > 1 else ""
        yield f"  {bare_name(names[0])}{many}, {what}"


def _followed(one: FollowedContour) -> str:
    parts = [f"chip load {_change(one.reached_before_mm, one.reached_after_mm, 'mm')}"]
    if one.margin_before_k is not None and one.margin_after_k is not None:
        parts.append(f"heat margin {_change(one.margin_before_k, one.margin_after_k, 'K')}")
    if one.feed_mark_before_um is not None and one.feed_mark_after_um is not None:
        marks = _change(one.feed_mark_before_um, one.feed_mark_after_um, "µm")
        parts.append(f"marks on the wall {marks}")
    if one.power_share is not None:
        parts.append(f"{_percent(one.power_share)} of the spindle's power")
    if one.longer_s >= LEAST_TIME_S:
        parts.append(f"{duration(one.longer_s)} longer in the cut")
    low = ", the machine's lowest speed" if one.at_lowest else ""
    return f"at {show(one.spindle_speed_rpm, 'rpm')}{low}: {', '.join(parts)}"


def _change(before: float, after: float, unit: str) -> str:
    return f"{show(before, unit).removesuffix(f' {unit}')} → {show(after, unit)}"


def _stands(standing: Standing, system: UnitSystem) -> str:
    if standing.hot_share is not None:
        hot = f"{_percent(standing.hot_share)} of the model's band is hot"
        return f"margin {_signed(standing.actual)} K, {hot}, {standing.state}"
    shown = show(standing.actual, standing.unit, system)
    return f"{shown} of {show(standing.limit, standing.unit, system)}, {standing.state}"


def _signed(value: float) -> str:
    whole = round(value)
    return f"{'+' if whole >= 0 else ''}{number(float(whole))}"


def _percent(share: float) -> str:
    return f"{number(100.0 * share, 0)} %"


def _money(amount: Decimal) -> str:
    return f"{amount:+}".replace("-", MINUS)


def _small(text: str) -> str:
    return text[:1].lower() + text[1:].rstrip(".") if text[1:2].islower() else text.rstrip(".")
