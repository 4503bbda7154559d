"""Coefficients fitted to test cuts by least squares, with the card as prior.

Terms: the *steps* are standard deviations away from the card, one for each of `DRAWN`; the prior is
a normal distribution of steps. An *observation* is one measured number: a power, a chip or a cutter
temperature, with how sure it is. The heat and force formulas are those that the plan uses, so what
is fitted is what is used.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.cutting.section import chip_packing, gullet_area_mm2
from core.heat.cutter_body import air_film_w_m2k, time_constant_s
from core.heat.pass_table import packed_share, wear_factor
from core.heat.risk import DRAWN, coefficients_at
from core.heat.steady import SteadyCut, steady_conditions
from core.heat.temperatures import contact_w_k, rises_k, taken
from core.library.fitted import FITTED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.heat.estimates import Estimates
    from core.heat.temperatures import Coefficients, Conditions
    from core.library.records import Material
    from core.shop.records import LoggedCut

POWER_SHARE, LEAST_POWER_W = 0.05, 3.0
"""How sure an idle-corrected power is: 5 %, at least 3 W; an estimate for a meter at the drive."""

CHIP_K, CUTTER_K = 8.0, 6.0
"""How sure the temperatures are; estimates for an infrared thermometer or a thermocouple in a heap
of chips, and for one held to the cutter. [K]"""

COOLED_SHARE = 0.3
"""How sure it is how far the cutter cooled until it was measured: this share of it; an estimate."""

STILL_AIR_W_M2K = 10.0
"""Film coefficient of a cutter that stands still; an estimate, as of one in the rack."""

ROUNDS = 12
"""Most rounds of the fit; it stops when no step moves by a thousandth."""

ROWS = np.array([DRAWN.index(name) for name in FITTED])
"""Rows of `DRAWN` that test cuts say something of; the others keep their prior."""


@dataclass(frozen=True, eq=False, slots=True)
class Observation:
    """One measured number of one cut.

    Parameters
    ----------
    cut : int
        Place of the cut in the sequence that was asked for.
    kind : str
        "power", "chip" or "cutter".
    value, sd : float
        What was measured and how sure it is: W, or K above the room.
    """

    cut: int
    kind: str
    value: float
    sd: float


@dataclass(frozen=True, eq=False, slots=True)
class Fitted:
    """Steps of the best fit and how sure they are.

    Parameters
    ----------
    steps : array of shape (9,)
        Standard deviations away from the card, in the order of `FITTED`.
    covariance : array of shape (9, 9)
        Of the steps; the prior's is 1.
    scatter_ratio : float
        Spread of the observations about the fit over what their own errors explain; at least 1.
    """

    steps: NDArray[np.float64]
    covariance: NDArray[np.float64]
    scatter_ratio: float


def observations(cuts: Sequence[LoggedCut]) -> tuple[Observation, ...]:
    """Return everything that was measured in some cuts."""
    found = []
    for place, cut in enumerate(cuts):
        power = cut.cutting_power_w
        if power is not None:
            found.append(
                Observation(place, "power", power, max(POWER_SHARE * power, LEAST_POWER_W))
            )
        if cut.chip_c is not None:
            found.append(Observation(place, "chip", cut.chip_c - cut.room_c, CHIP_K))
        if cut.cutter_c is not None:
            rise = cut.cutter_c - cut.room_c
            lost = abs(rise) * (1.0 / float(_cooled(cut)) - 1.0)
            found.append(
                Observation(place, "cutter", rise, float(np.hypot(CUTTER_K, COOLED_SHARE * lost)))
            )
    return tuple(found)


class Model:
    """What the force and heat formulas say of some cuts, for any steps away from the card.

    Parameters
    ----------
    material, estimates
        The card and the coefficients on no card: the prior.
    cuts : sequence of LoggedCut
        The cuts.
    """

    def __init__(self, material: Material, estimates: Estimates, cuts: Sequence[LoggedCut]) -> None:
        heat = material.heat
        assert heat is not None, "the caller leaves out what is not modelled"
        self._material, self._estimates = material, estimates
        cut = _steady(cuts, material, estimates)
        # room temperature falls out: only rises are compared
        self._conditions = taken(steady_conditions(cut, estimates, 0.0), (slice(None), None))
        self._removal_m3_s = np.array([c.removal_mm3_s for c in cuts])[:, None] * 1e-9
        self._fin_w_k = self._conditions.fin_w_k
        self._tau_s = np.array([_spinning_tau_s(c, estimates) for c in cuts])[:, None]
        self._cut_s = np.array([c.cut_s or 0.0 for c in cuts])[:, None]
        self._cooled = np.array([_cooled(c) for c in cuts])[:, None]

    def at(self, step: NDArray[np.float64]) -> tuple[Coefficients, Conditions]:
        """Return coefficients at steps of shape (9, k), and the conditions in a room of 0 C."""
        steps = np.zeros((len(DRAWN), step.shape[1]))
        steps[ROWS] = step
        return coefficients_at(self._material, self._estimates, steps), self._conditions

    def predict(
        self, seen: Sequence[Observation], step: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return what is expected of some observations, shape (o, k), for steps of shape (9, k)."""
        c, _ = self.at(step)
        chip, _, cutter = rises_k(c, self._conditions)
        edge = c.edge_j_m2 * (self._conditions.wear * self._conditions.edge_m2_s)
        power = c.cutting_pa * self._removal_m3_s + edge
        warmth = contact_w_k(c, self._conditions)
        tau = self._tau_s * self._fin_w_k / (self._fin_w_k * c.fin + warmth)
        warmed = cutter * (1.0 - np.exp(-self._cut_s / tau)) * self._cooled
        tables = {"power": power, "chip": chip, "cutter": warmed}
        return np.array([np.broadcast_to(tables[o.kind], power.shape)[o.cut] for o in seen])


def fit(model: Model, seen: Sequence[Observation]) -> Fitted:
    """Return the steps that explain some observations best, the card counted as one more.

    Equation: least of sum ((y - f(z)) / (s sd))^2 + |z|^2, by Gauss and Newton; s^2 is the mean
    square of the residuals over their own errors where that is above 1.

    Parameters
    ----------
    model : Model
        The formulas.
    seen : sequence of Observation
        What was measured; none gives the prior.
    """
    count = len(FITTED)
    if not seen:
        return Fitted(np.zeros(count), np.eye(count), 1.0)
    scatter = 1.0
    step, jacobian, residual = _solve(model, seen, scatter)
    freedom = len(seen) - _explained(jacobian)
    spread = float((residual**2).sum())
    if freedom > 0.5 and spread > freedom:
        scatter = float(np.sqrt(spread / freedom))
        step, jacobian, residual = _solve(model, seen, scatter)
    covariance = np.linalg.inv(jacobian.T @ jacobian + np.eye(count))
    return Fitted(step, np.asarray(covariance, np.float64), scatter)


def _solve(
    model: Model, seen: Sequence[Observation], scatter: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return steps, and Jacobian and residuals over the errors of the observations."""
    sd = scatter * np.array([o.sd for o in seen])
    value = np.array([o.value for o in seen])
    count, small = len(FITTED), 1e-4
    step = np.zeros(count)
    for _ in range(ROUNDS):
        around = step[:, None] + np.hstack([np.zeros((count, 1)), small * np.eye(count)])
        table = model.predict(seen, around)
        jacobian = (table[:, 1:] - table[:, :1]) / small / sd[:, None]
        residual = (value - table[:, 0]) / sd
        normal = jacobian.T @ jacobian + np.eye(count)
        better = np.linalg.solve(normal, jacobian.T @ (residual + jacobian @ step))
        moved = np.clip(better - step, -2.0, 2.0)
        step = step + moved
        if np.abs(moved).max() < 1e-3:
            break
    return step, jacobian, residual


def _explained(jacobian: NDArray[np.float64]) -> float:
    """Return how many coefficients the observations say more of than the card does."""
    information = jacobian.T @ jacobian
    return float(np.trace(np.linalg.solve(information + np.eye(len(information)), information)))


def _steady(cuts: Sequence[LoggedCut], material: Material, estimates: Estimates) -> SteadyCut:
    heat = material.heat
    assert heat is not None, "the caller leaves out what is not modelled"
    return SteadyCut(
        spindle_speed_rpm=np.array([c.spindle_speed_rpm for c in cuts]),
        teeth=np.array([float(c.tooth_count) for c in cuts]),
        feed_per_tooth_mm=np.array([c.feed_per_tooth_mm for c in cuts]),
        diameter_mm=np.array([c.diameter_mm for c in cuts]),
        stick_out_mm=np.array([c.stick_out_mm for c in cuts]),
        radial_width_mm=np.array([min(c.radial_width_mm, c.diameter_mm) for c in cuts]),
        depth_mm=np.array([c.axial_depth_mm for c in cuts]),
        recut_share=np.array([_recut(c, estimates) for c in cuts]),
        air_speed_m_s=np.array([estimates.air_speed_m_s(c.air) for c in cuts]),
        wear=np.array([float(wear_factor(heat, c.edge_radius_um, estimates)) for c in cuts]),
        edge_radius_um=np.array([c.edge_radius_um for c in cuts]),
    )


def _recut(cut: LoggedCut, estimates: Estimates) -> float:
    share = estimates.recut_share(cut.air) * estimates.helix_factor(cut.helix)
    over = max(cut.axial_depth_mm / cut.diameter_mm - 1.0, 0.0)
    gullet = gullet_area_mm2(cut.diameter_mm, cut.tooth_count)
    fill = chip_packing(cut.feed_per_tooth_mm, cut.radial_width_mm, gullet)
    return float(packed_share(share, over, fill, estimates))


def _spinning_tau_s(cut: LoggedCut, estimates: Estimates) -> float:
    diameter, turns = cut.diameter_mm * 1e-3, cut.spindle_speed_rpm / 60.0
    film = air_film_w_m2k(diameter, turns, estimates.air_speed_m_s(cut.air))
    return float(time_constant_s(diameter, cut.stick_out_mm * 1e-3, film))


def _cooled(cut: LoggedCut) -> float:
    """Return what is left of a cutter's rise when it is measured, the spindle standing still."""
    tau = time_constant_s(cut.diameter_mm * 1e-3, cut.stick_out_mm * 1e-3, STILL_AIR_W_M2K)
    return float(np.exp(-(cut.after_s or 0.0) / tau))
