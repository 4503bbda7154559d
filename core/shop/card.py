"""The fitted material card: the card as it was, with what the shop's cuts made of it.

It has the key of the card that it came from, so that it lies over it on the shelf, as a file in the
user's library or carried by a job.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from core.job import LibraryFile
from core.library.fitted import FITTED
from core.library.records import Basis

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from core.heat.estimates import Estimate
    from core.library.files import EntryFile
    from core.shop.calibration import Calibration

_SPREADS = 1.6449
"""Standard deviations from the middle of a normal distribution to its 95 % point."""

LABELS = {
    "specific_cutting_force": ("specific cutting force K_tc", "N/mm2"),
    "edge_force": ("edge force K_te", "N/mm"),
    "heat_capacity": ("heat capacity, as a factor", ""),
    "wall_share": ("share of the edge work in the wall", ""),
    "chip_share": ("share of the edge work in a thick chip", ""),
    "cutter_share": ("share of the edge work in the cutter", ""),
    "fin": ("conductance of the cutter's body, as a factor", ""),
    "contact": ("conductance between chips and cutter, as a factor", ""),
    "recut": ("share of chips cut again, as a factor", ""),
}
"""Fitted coefficients in words, and their units."""


@dataclass(frozen=True, slots=True)
class Coefficient:
    """One coefficient before and after the fit, each as 5 %, middle and 95 %.

    Parameters
    ----------
    name, label, unit : str
        Name in `FITTED`, words, unit of the numbers.
    before, after : (float, float, float)
        Low, middle and high.
    """

    name: str
    label: str
    unit: str
    before: tuple[float, float, float]
    after: tuple[float, float, float]

    @property
    def narrower(self) -> float:
        """Width of the band after the fit over the width before, on a logarithmic scale."""
        return math.log(self.after[2] / self.after[0]) / math.log(self.before[2] / self.before[0])


def coefficients(calibration: Calibration) -> tuple[Coefficient, ...]:
    """Return every fitted coefficient before and after."""
    fitted = calibration.fitted
    spreads = np.sqrt(np.diag(fitted.covariance))
    return tuple(
        Coefficient(
            name,
            *LABELS[name],
            _band(value, spread),
            _band(value * math.exp(spread * step), spread * left),
        )
        for (name, value, spread), step, left in zip(
            _prior(calibration), fitted.steps.tolist(), spreads.tolist(), strict=True
        )
    )


def fitted_card(before: EntryFile, calibration: Calibration) -> LibraryFile:
    """Return the fitted card as a file that the shelf can carry.

    Parameters
    ----------
    before : EntryFile
        The card that was the prior, as it lies on the shelf.
    calibration : Calibration
        The fit.
    """
    table = before.table()
    found = {one.name: one for one in coefficients(calibration)}
    heat = table["heat"]
    for name in FITTED[:2]:
        low, middle, high = _four(found[name])
        heat[name] = {
            "value": middle,
            "low": low,
            "high": high,
            "unit": found[name].unit,
            "source": calibration.said,
            "basis": Basis.MEASURED.value,
            "note": "least squares with the card before as prior",
        }
    _keep_fracture_below(heat, heat["edge_force"]["value"])
    heat["shop"] = {
        "cuts": [cut.number for cut in calibration.cuts],
        "said": calibration.said,
        "calibrated": calibration.is_calibrated,
        "correlation_factor": _triangle(calibration),
        "estimates": [
            {"name": name, **dict(zip(("low", "value", "high"), _four(found[name]), strict=True))}
            for name in FITTED[2:]
        ],
    }
    header = f"# Fitted from {calibration.said}; 'log fit' writes it anew.\n"
    return LibraryFile("material", before.key, header + "\n".join(_toml(table)) + "\n")


def _prior(calibration: Calibration) -> Iterator[tuple[str, float, float]]:
    """Yield name, value and log-sd of what is fitted, as the card has it."""
    heat, estimates = calibration.material.heat, calibration.estimates
    assert heat is not None, "only a material with coefficients is calibrated"
    yield FITTED[0], heat.specific_cutting_force_n_mm2, heat.specific_cutting_force_log_sd
    yield FITTED[1], heat.edge_force_n_mm, heat.edge_force_log_sd
    for name in FITTED[2:]:
        estimate: Estimate = getattr(estimates, name)
        yield name, estimate.value, estimate.spread


def _band(value: float, spread: float) -> tuple[float, float, float]:
    return value * math.exp(-_SPREADS * spread), value, value * math.exp(_SPREADS * spread)


def _four(one: Coefficient) -> tuple[float, ...]:
    """Return low, middle and high after the fit, with four digits that count."""
    return tuple(float(f"{value:.4g}") for value in one.after)


def _keep_fracture_below(heat: dict[str, Any], edge_force_n_mm: float) -> None:
    """Bring the fracture energy, a part of K_te, below a K_te that came out small."""
    fracture = heat["fracture_energy"]
    most = 0.9 * edge_force_n_mm
    if fracture["unit"] == "N/mm" and fracture["value"] > most:
        fracture.update(value=most, low=min(fracture["low"], most), high=most)
        fracture["note"] = "brought below the fitted edge force, of which it is a part"


def _triangle(calibration: Calibration) -> list[list[float]]:
    covariance = calibration.fitted.covariance
    sd = np.sqrt(np.diag(covariance))
    factor = np.linalg.cholesky(covariance / np.outer(sd, sd))
    return [[round(x, 6) for x in row[: n + 1].tolist()] for n, row in enumerate(factor)]


def _toml(table: Mapping[str, Any], path: tuple[str, ...] = ()) -> Iterator[str]:
    """Yield the lines of a table of TOML: plain values first, then tables, then lists of tables."""
    plain: dict[str, Any] = {}
    tables: dict[str, Any] = {}
    rows: dict[str, Any] = {}
    for name, value in table.items():
        is_rows = isinstance(value, list) and bool(value) and isinstance(value[0], dict)
        (tables if isinstance(value, dict) else rows if is_rows else plain)[name] = value
    for name, value in plain.items():
        yield f"{name} = {_value(value)}"
    for name, inner in tables.items():
        yield from ("", f"[{'.'.join((*path, name))}]", *_toml(inner, (*path, name)))
    for name, inner in rows.items():
        for row in inner:
            yield from ("", f"[[{'.'.join((*path, name))}]]", *_toml(row, (*path, name)))


def _value(value: object) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    # texts, numbers and truth are written in TOML as they are in JSON
    return json.dumps(value, ensure_ascii=False)
