"""Splines and ellipses turned back into lines and arcs within a stated tolerance.

A curve is sampled finely enough that its polyline strays a tenth of the tolerance from it, then
`core.drawing.fitting` finds the few lines and arcs through the samples. Most splines of real
drawings are straight lines or circular arcs and come out as one. Copies of one curve that are
equally large are fitted once.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.bspline import corner_spans, just_before, sampled, span_bounds
from core.drawing.fitting import Samples, fit, fit_line, fit_simply
from core.drawing.placing import AS_DRAWN, Conic, Spline, place_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from core.drawing.placing import PlacedCurve, Placement

FLATTENING_TOLERANCE_MM = 0.005
"""How far the lines and arcs may stray from the curve: a sixth of a fine finish pass's error."""

SAMPLING_SHARE = 0.1
"""Share of the tolerance that the sampling itself may use up."""

BETWEEN_SAMPLES = 20.0
"""Bound of a polynomial of degree 8 between 9 even samples, against its values at them.

The Lebesgue constant for 9 even nodes is 10.9 (computed by hand); higher degrees take more samples.
"""

COARSE = 8
"""Samples a span at first."""

MOST_SAMPLES = 400_000
"""Bound of one curve."""


@dataclass(frozen=True, eq=False)
class Flattened:
    """Lines and arcs in place of curves.

    Parameters
    ----------
    rows : array of shape (n, 5)
        Lines and arcs.
    entity : array of int, shape (n,)
        Entity of each.
    deviation : float
        How far they stray from the curves, in the unit of the curves.
    damaged : int
        Curves that make no sense and were left out.
    """

    rows: NDArray[np.float64]
    entity: NDArray[np.intp]
    deviation: float
    damaged: int


def as_rows(
    curves: Sequence[PlacedCurve], tolerance: float, check: Callable[[], None]
) -> Flattened:
    """Return lines and arcs in place of curves.

    Parameters
    ----------
    curves : sequence of PlacedCurve
        What to replace.
    tolerance : float
        Greatest deviation, in the unit of the curves.
    check : callable
        Called once a curve; raises when the user asks to stop.
    """
    known: dict[tuple[int, float], tuple[NDArray[np.float64], float]] = {}
    rows, entity = [np.zeros((0, 5))], [np.zeros(0, dtype=np.intp)]
    worst, damaged = 0.0, 0
    for placed in curves:
        check()
        try:
            own, deviation = _placed_rows(placed, tolerance, known)
        except (ArithmeticError, LookupError, ValueError):  # numbers that make no curve
            damaged += 1
            continue
        rows.append(own)
        entity.append(np.full(len(own), placed.entity, dtype=np.intp))
        worst = max(worst, deviation)
    return Flattened(np.concatenate(rows), np.concatenate(entity), worst, damaged)


def _placed_rows(
    placed: PlacedCurve,
    tolerance: float,
    known: dict[tuple[int, float], tuple[NDArray[np.float64], float]],
) -> tuple[NDArray[np.float64], float]:
    """Return the rows of one curve; copies of a size seen before are only moved."""
    scale = placed.placement.scale
    if not placed.placement.is_similar or scale <= 0.0:
        return _fitted(placed.curve, placed.placement, tolerance)
    key = (id(placed.curve), round(scale, 9))
    if key not in known:
        known[key] = _fitted(placed.curve, AS_DRAWN, tolerance / scale)
    own, deviation = known[key]
    if placed.placement is AS_DRAWN:
        return own, deviation
    moved, _ = place_rows(own, np.zeros(len(own), dtype=np.intp), placed.placement)
    return moved, deviation * scale


def _fitted(
    curve: Conic | Spline, placement: Placement, tolerance: float
) -> tuple[NDArray[np.float64], float]:
    if isinstance(curve, Conic):
        pieces = [conic_samples(curve, placement, tolerance * SAMPLING_SHARE)]
    else:
        simple = _as_one(curve, placement, tolerance)
        if simple is not None:
            return simple
        pieces = spline_samples(curve, placement, tolerance * SAMPLING_SHARE)
    found = [fit(piece, tolerance * (1.0 - SAMPLING_SHARE)) for piece in pieces]
    rows = np.array([row for part, _ in found for row in part]).reshape(-1, 5)
    strayed = max((deviation for _, deviation in found), default=0.0)
    # what the samples do not show between themselves is part of what is reported
    return rows, strayed + (tolerance * SAMPLING_SHARE if strayed > 0.0 else 0.0)


def _as_one(
    spline: Spline, placement: Placement, tolerance: float
) -> tuple[NDArray[np.float64], float] | None:
    """Return a spline as one line or arc if a few samples a span show that it is one.

    The squared distance from a centre is a polynomial of twice the degree over a span, so more
    samples than that settle it: between them it cannot grow beyond a small multiple.
    """
    straight = _as_line(spline, placement, tolerance / BETWEEN_SAMPLES)
    if straight is not None:
        return straight
    per_span = max(COARSE, 2 * spline.degree + 2)
    points, _ = sampled(spline, placement(spline.control), per_span)
    found = fit_simply(points, tolerance / BETWEEN_SAMPLES)
    if found is None:
        return None
    rows, deviation = found
    return np.array(rows), deviation * BETWEEN_SAMPLES


def _as_line(
    spline: Spline, placement: Placement, tolerance: float
) -> tuple[NDArray[np.float64], float] | None:
    """Return a spline as a line where its control points lie on one, from end to end.

    A spline with positive weights stays in the hull of its control points; with repeated end knots
    it runs from the first of them to the last.
    """
    control, knots, p = placement(spline.control), spline.knots, spline.degree
    clamped = knots[0] == knots[p] and knots[-1] == knots[-p - 1]
    if not clamped or (spline.weights is not None and spline.weights.min() <= 0.0):
        return None
    found = fit_line(control)
    if found is None or found[1] > tolerance:
        return None
    return np.array(found[0]), found[1]


def conic_samples(conic: Conic, placement: Placement, sagitta: float) -> Samples:
    """Return points and tangents along a part of an ellipse, chords within `sagitta` of it."""
    u, v = placement.matrix @ conic.u, placement.matrix @ conic.v
    size = max(float(np.hypot(*u)), float(np.hypot(*v)), 1e-300)
    # chord error of size (1 - cos(step / 2)), the worst that an affine image of a circle shows
    step = 2.0 * math.acos(max(1.0 - sagitta / size, 0.0))
    count = int(min(max(math.ceil((conic.end - conic.begin) / step), 8), MOST_SAMPLES))
    t = np.linspace(conic.begin, conic.end, count + 1)
    cos, sin = np.cos(t)[:, None], np.sin(t)[:, None]
    points = placement(conic.centre) + cos * u + sin * v
    if conic.end - conic.begin > math.tau - 1e-9:
        points[-1] = points[0]
    return Samples(points, cos * v - sin * u)


def spline_samples(spline: Spline, placement: Placement, sagitta: float) -> list[Samples]:
    """Return points and tangents along a spline, one piece between two of its corners."""
    control = placement(spline.control)
    spans = len(span_bounds(spline)) - 1
    coarse, _ = sampled(spline, control, COARSE)
    middles = (coarse[:-2:2] + coarse[2::2]) / 2.0
    seen = float(np.hypot(*(coarse[1:-1:2] - middles).T).max(initial=0.0))
    # halving the step quarters the chord error: from the error of double steps to the one wanted
    wanted = COARSE * math.sqrt(seen / max(4.0 * sagitta, 1e-300))
    # powers of two, so that splines alike share their weights
    doublings = math.ceil(math.log2(max(wanted / COARSE, 1.0)))
    per_span = int(max(min(COARSE * 2.0**doublings, MOST_SAMPLES / spans), 1.0))
    points, directions = sampled(spline, control, per_span)
    out = []
    for first, last in itertools.pairwise(corner_spans(spline)):
        own = slice(first * per_span, last * per_span + 1)
        piece = directions[own].copy()
        if last < spans:  # there the direction sampled is the one in which the next piece leaves
            piece[-1] = just_before(spline, control, last - 1)
        out.append(Samples(points[own], piece))
    return out
