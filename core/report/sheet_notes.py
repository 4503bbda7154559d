"""Notes on the sheet: its thickness against stock and skin, its film, annealing, finished edges.

Notes say what a person should know besides the plan; none of them is a verdict, and none moves the
answer of a plan.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.cutting.skin import measured_half_band_mm, skin_band
from core.errors import Finding, Severity
from core.library.finishing import finishing_route
from core.units import number, show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.job import Job
    from core.plan.choices import Choices

PROBE_ERROR_MM = 0.05
"""Error of a calliper at the rim of a sheet: common practice, no source."""

ENOUGH_PLACES = 5
"""Fewer measured places miss the thinnest one: house rule."""

ANNEALED = ("acrylic_cast", "acrylic_extruded")
"""Materials that are annealed before flame, solvent or cement touches them."""

OVEN_C, OUT_BELOW_C = 80.0, 50.0
"""Oven, and what the part must have cooled to when it is taken out: a supplier's page of tips."""

SOAK_H_MM, SOAK_OTHER_H_MM, LEAST_SOAK_H = 1.0, 1.0 / 3.0, 2.0
"""Hours of soak for each mm, by two rules a factor of three apart, and at least: a supplier's page
of tips, and from memory."""

COOLING_H_MM, COOLING_ABOVE_MM = 0.25, 8.0
"""Hours of cooling for each mm of sheets above 8 mm: a supplier's page of tips."""

FILM_MM, FILM_FRICTION = (0.05, 0.1), (0.25, 0.30)
"""Thickness of protective film (from memory), and friction of a face that carries it (film pair of
the CTU Code, scaled)."""


def sheet_notes(job: Job, chosen: Choices) -> tuple[Finding, ...]:
    """Return the notes on the sheet of a job.

    Parameters
    ----------
    job, chosen : Job, Choices
        What was decided.
    """
    if not job.drawings:
        return ()
    told = (*_thickness(job, chosen), *_film(chosen), *_annealing(chosen), *_edges(chosen))
    return tuple(Finding(code, Severity.NOTE, message) for code, message in (*told, *_cuts(chosen)))


def annealing_hours(thickness_mm: float) -> tuple[float, float, float | None]:
    """Return hours of soak by both rules, and hours of cooling where a rule gives them.

    Equation: max(t 1 h/mm, 2 h); max(t / 3 h/mm, 2 h); t / 4 h/mm above 8 mm.

    Parameters
    ----------
    thickness_mm : float
        Of the sheet. [mm]

    Returns
    -------
    (float, float, float or None)
        Soak, soak by the other rule, cooling. [h]

    Examples
    --------
    >>> annealing_hours(12.0), annealing_hours(3.0)
    ((12.0, 4.0, 3.0), (3.0, 2.0, None))

    References
    ----------
    Common practice: a supplier's page of tips; the shorter rule from memory.
    """
    soak = max(SOAK_H_MM * thickness_mm, LEAST_SOAK_H)
    other = max(SOAK_OTHER_H_MM * thickness_mm, LEAST_SOAK_H)
    cooling = COOLING_H_MM * thickness_mm if thickness_mm > COOLING_ABOVE_MM else None
    return soak, other, cooling


def _thickness(job: Job, chosen: Choices) -> Iterator[tuple[str, str]]:
    """Yield what thickness may do to the skin: by the standard, or as it was measured."""
    material, nominal = chosen.material, job.thickness_mm
    band = material.tolerance_mm(nominal)
    skin = max(step.floor_stock_mm for step in chosen.cutting.recipe.steps)
    measured = job.measured_thickness_mm
    if measured:
        yield from _measured(job, chosen, band)
        if len(measured) >= ENOUGH_PLACES:
            return
    if band > skin:
        yield "sheet-tolerance", _by_standard(chosen, nominal, band, skin)


def _by_standard(chosen: Choices, nominal: float, band: float, skin: float) -> str:
    material, machine = chosen.material, chosen.machine
    top = skin_band(skin, machine.bed_flatness_mm, machine.depth_error_mm, band)
    bed = skin_band(skin, machine.bed_flatness_mm, machine.depth_error_mm)
    message = (
        f"{material.name} of {show(nominal, 'mm')} may be {number(nominal - band)} to "
        f"{show(nominal + band, 'mm')} thick by {material.tolerance_source}: the first pass may "
        f"cut up to {show(band, 'mm')} deeper than planned. "
    )
    if skin > 0.0:
        message += (
            f"Heights are taken from the bed, so that of the {show(skin, 'mm')} on the floor "
            f"{number(bed.thinnest_mm)} to {show(bed.thickest_mm, 'mm')} are left; taken from the "
            f"top of the sheet it would be {number(top.thinnest_mm)} to "
            f"{show(top.thickest_mm, 'mm')}, and below zero the cutter is through. "
        )
    return message + f"Measure the sheet at {ENOUGH_PLACES} places and more, and give the readings."


def _measured(job: Job, chosen: Choices, band: float) -> Iterator[tuple[str, str]]:
    measured, nominal = job.measured_thickness_mm, job.thickness_mm
    low, high = min(measured), max(measured)
    half = measured_half_band_mm(measured, PROBE_ERROR_MM)
    few = len(measured) < ENOUGH_PLACES
    places = f"{len(measured)} place{'' if len(measured) == 1 else 's'}"
    message = (
        f"The sheet was measured at {places}: {number(low)} to {show(high, 'mm')}, so that it is "
        f"known to ± {show(half, 'mm')}; the plan cuts for the thickest."
    )
    if few:
        message += f" Fewer than {ENOUGH_PLACES} places miss the thinnest one."
    yield "sheet-measured", message
    if low < nominal - band or high > nominal + band:
        yield (
            "sheet-beyond-tolerance",
            f"A measured {number(low)} to {show(high, 'mm')} is outside of {show(nominal, 'mm')} ± "
            f"{show(band, 'mm')}: is it this sheet, and was film measured along? The band is that "
            f"of {chosen.material.tolerance_source}.",
        )


def _film(chosen: Choices) -> Iterator[tuple[str, str]]:
    friction, (low, high) = chosen.material.friction_coefficient, FILM_FRICTION
    yield (
        "sheet-film",
        "Protective film is not in the plan. It makes a sheet that is measured with it "
        f"{FILM_MM[0]:g} to {FILM_MM[1]:g} mm thicker a face (from memory), a loose edge of it "
        "winds round the cutter, and the face that lies on the board then holds with a friction "
        f"of {low:g} to {high:g} (film pair of the CTU Code, scaled) in place of the {friction:g} "
        "that the grip is reckoned with.",
    )


def _annealing(chosen: Choices) -> Iterator[tuple[str, str]]:
    if chosen.material.key not in ANNEALED:
        return
    thickness = chosen.cutting.thickness_mm
    soak, other, cooling = annealing_hours(thickness)
    slow = f"; then cool over {number(cooling, 1)} h (t / 4 h)" if cooling else "; then cool slowly"
    yield (
        "annealing",
        f"Anneal after all machining, at {OVEN_C:g} °C: {number(soak, 1)} h by one published rule "
        f"(1 h a mm, at least 2 h), {number(other, 1)} h by another (a third of that, at least "
        f"2 h; from memory){slow}, and take it out below {OUT_BELOW_C:g} °C. The shop chooses; "
        "the sheet's maker comes first (common practice: a supplier's page of tips).",
    )


def _edges(chosen: Choices) -> Iterator[tuple[str, str]]:
    route = finishing_route(chosen.material.key)
    if route is not None:
        yield "finishing", str(route)


def _cuts(chosen: Choices) -> Iterator[tuple[str, str]]:
    """Yield from which of the shop's own cuts the coefficients come."""
    heat = chosen.material.heat
    if heat is not None and heat.shop is not None:
        state = "calibrated" if heat.shop.calibrated else "not fully calibrated"
        yield (
            "shop-coefficients",
            f"Force and heat coefficients of {chosen.material.name} come from this shop's own "
            f"{heat.shop.said}; heat is {state}.",
        )
