"""From the cut log to coefficients: which cuts count, whether the fit is worth having, what lacks.

Every cut is predicted from the others. One that lies far off is refused with the reason; and if the
others predict worse than the card does, the fit is worse than none and that is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.errors import CutLogError
from core.heat.estimates import ESTIMATES
from core.library.fitted import FITTED
from core.shop.fit import Fitted, Model, Observation, fit, observations
from core.units import number

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.heat.estimates import Estimates
    from core.library.records import Material
    from core.shop.records import LoggedCut

WILD_SD = 4.0
"""A number this many standard deviations from what the other cuts predict is refused; one in
16 000 would be so by chance; tests/studies/cut_log_fit.py prints what other bounds do."""

MOST_REFUSED_SHARE = 1.0 / 3.0
"""If more than this share of the cuts would be refused, it is the rest that cannot be trusted."""

WORSE_BY = 1.05
"""The fit is worse than none where its errors are above the card's by this."""

CHIP_LOADS, LOADS_APART = 3, 1.25
"""Chip loads at which the power must be measured, and how much each must be above the last."""

MOST_SCATTER = 2.0
"""Cuts that scatter more than this over their own errors measure something that is not modelled."""

CARD = Fitted(np.zeros(len(FITTED)), np.eye(len(FITTED)), 1.0)
"""The card itself: no step away from it."""

_UNITS = {"power": "W", "chip": "K above the room", "cutter": "K above the room"}
_WORDS = {"power": "power", "chip": "chips", "cutter": "cutter"}


@dataclass(frozen=True, slots=True)
class Refused:
    """A cut that was not used, and why."""

    number: int
    reason: str


@dataclass(frozen=True, eq=False, slots=True)
class Calibration:
    """What the cuts of one material come to.

    Parameters
    ----------
    material, estimates
        The card and the coefficients on no card, before the fit.
    cuts : tuple of LoggedCut
        The cuts that were used.
    refused : tuple of Refused
        The others.
    fitted : Fitted
        Steps away from the card.
    fit_error_ratio, card_error_ratio : float
        Root mean square of the errors with which each cut is predicted, from the other cuts and
        from the card, over the errors of the measurement.
    missing : tuple of str
        What the log lacks for heat to be called calibrated.
    """

    material: Material
    estimates: Estimates
    cuts: tuple[LoggedCut, ...]
    refused: tuple[Refused, ...]
    fitted: Fitted
    fit_error_ratio: float
    card_error_ratio: float
    missing: tuple[str, ...]

    @property
    def is_worse_than_none(self) -> bool:
        """Whether the card explains the cuts better than the fit does."""
        return self.fit_error_ratio > max(1.0, WORSE_BY * self.card_error_ratio)

    @property
    def is_calibrated(self) -> bool:
        """Whether heat may be called calibrated."""
        return not self.missing and not self.is_worse_than_none

    @property
    def said(self) -> str:
        """From which cuts it comes, in words."""
        numbers = ", ".join(map(str, _runs([cut.number for cut in self.cuts])))
        days = sorted({cut.made_on for cut in self.cuts})
        when = days[0] if len(days) == 1 else f"{days[0]} to {days[-1]}"
        cutters = " and ".join(sorted({cut.cutter for cut in self.cuts}))
        return f"cuts {numbers} of the cut log, {when}, with {cutters}"


def calibrate(
    material: Material, cuts: Sequence[LoggedCut], estimates: Estimates = ESTIMATES
) -> Calibration:
    """Return what the cuts of a material come to.

    Parameters
    ----------
    material : Material
        The card that is the prior: one that was not fitted already.
    cuts : sequence of LoggedCut
        Of this material.
    estimates : Estimates
        The coefficients on no card.

    Raises
    ------
    CutLogError
        If the material has no coefficients to begin with, or no cut has anything measured.
    """
    if material.heat is None:
        raise CutLogError(
            f"{material.name} has no heat coefficients to begin with, so none can be fitted"
        )
    measured = [cut for cut in cuts if observations([cut])]
    if not measured:
        raise CutLogError(
            f"no cut in {material.name} has a power or a temperature; 'log sheet' says what to cut"
        )
    kept, refused = _without_wild(material, estimates, measured)
    errors = [_errors(material, estimates, kept, place) for place in range(len(kept))]
    by_fit, by_card = (
        float(np.sqrt(np.mean(np.concatenate(of_cuts) ** 2)))
        for of_cuts in zip(*errors, strict=True)
    )
    fitted = fit(Model(material, estimates, kept), observations(kept))
    return Calibration(
        material=material,
        estimates=estimates,
        cuts=tuple(kept),
        refused=tuple(refused),
        fitted=fitted,
        fit_error_ratio=by_fit,
        card_error_ratio=by_card,
        missing=tuple(_missing(kept, fitted.scatter_ratio)),
    )


def _without_wild(
    material: Material, estimates: Estimates, cuts: list[LoggedCut]
) -> tuple[list[LoggedCut], list[Refused]]:
    """Return the cuts that agree with each other, and those that do not: the worst goes first."""
    kept = list(cuts)
    refused: list[Refused] = []
    while len(refused) < MOST_REFUSED_SHARE * len(cuts):
        offs = [_farthest(material, estimates, kept, place) for place in range(len(kept))]
        worst = max(range(len(kept)), key=lambda place: offs[place][0])
        if offs[worst][0] <= WILD_SD or len(kept) == 1:
            return kept, refused
        refused.append(Refused(kept[worst].number, offs[worst][1]))
        del kept[worst]
    if len(cuts) > 1:
        raise CutLogError(
            "the cuts contradict each other: "
            + "; ".join(f"cut {one.number}: {one.reason}" for one in refused)
            + ". Look at what was measured, and remove the wrong ones"
        )
    return kept, refused


def _others(
    material: Material, estimates: Estimates, cuts: list[LoggedCut], place: int
) -> tuple[Fitted, Model, tuple[Observation, ...]]:
    """Return the fit without one cut, and the model and observations of that one."""
    rest = cuts[:place] + cuts[place + 1 :]
    without = fit(Model(material, estimates, rest), observations(rest)) if rest else CARD
    mine = [cuts[place]]
    return without, Model(material, estimates, mine), observations(mine)


def _farthest(
    material: Material, estimates: Estimates, cuts: list[LoggedCut], place: int
) -> tuple[float, str]:
    """Return how many standard deviations a cut is off what the others predict, and the words."""
    without, model, seen = _others(material, estimates, cuts, place)
    expected, spread = predicted(model, seen, without)
    worst = (0.0, "")
    for one, middle, sd in zip(seen, expected, spread, strict=True):
        off = abs(one.value - middle) / sd
        if off > worst[0]:
            unit = _UNITS[one.kind]
            worst = (
                off,
                f"{_WORDS[one.kind]}: {number(one.value, 0)} {unit} measured, "
                f"{number(middle, 0)} ± {number(2.0 * sd, 0)} expected from the other cuts",
            )
    return worst


def predicted(
    model: Model, seen: Sequence[Observation], fitted: Fitted
) -> tuple[list[float], list[float]]:
    """Return what is expected of observations, and how sure that is with their own errors."""
    count, small = len(fitted.steps), 1e-4
    around = fitted.steps[:, None] + np.hstack([np.zeros((count, 1)), small * np.eye(count)])
    table = model.predict(seen, around)
    slope = (table[:, 1:] - table[:, :1]) / small
    own = np.array([one.sd for one in seen]) * fitted.scatter_ratio
    spread = np.sqrt(np.einsum("oi,ij,oj->o", slope, fitted.covariance, slope) + own**2)
    return table[:, 0].tolist(), spread.tolist()


def _errors(
    material: Material, estimates: Estimates, cuts: list[LoggedCut], place: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the errors of the other cuts' fit and of the card on one cut, over its own errors."""
    without, model, seen = _others(material, estimates, cuts, place)
    value = np.array([one.value for one in seen])
    sd = np.array([one.sd for one in seen])
    both = np.column_stack([without.steps, np.zeros(len(without.steps))])
    errors = (value[:, None] - model.predict(seen, both)) / sd[:, None]
    return errors[:, 0], errors[:, 1]


def _missing(cuts: Sequence[LoggedCut], scatter_ratio: float) -> Iterator[str]:
    """Yield what the cuts lack for heat to be called calibrated."""
    loads = sorted(c.feed_per_tooth_mm for c in cuts if c.cutting_power_w is not None)
    apart: list[float] = []
    for load in loads:
        if not apart or load >= LOADS_APART * apart[-1]:
            apart.append(load)
    if len(apart) < CHIP_LOADS:
        yield f"the spindle's power at {CHIP_LOADS} chip loads, each {LOADS_APART:g} times the last"
    if all(c.cutter_c is None for c in cuts):
        yield "the cutter's temperature after a slot"
    if all(c.chip_c is None for c in cuts):
        yield "the temperature of the chips"
    if scatter_ratio > MOST_SCATTER:
        yield (
            f"cuts that agree: these scatter {number(scatter_ratio, 1)} times as much as their own "
            "errors explain"
        )


def _runs(numbers: Sequence[int]) -> Iterator[str]:
    """Yield numbers with neighbours drawn together: 1 to 3, 7."""
    ordered = sorted(numbers)
    begin = 0
    for place in range(1, len(ordered) + 1):
        if place == len(ordered) or ordered[place] != ordered[place - 1] + 1:
            first, last = ordered[begin], ordered[place - 1]
            yield str(first) if first == last else f"{first} to {last}"
            begin = place
