"""Splines and ellipses turned back into lines and arcs within a stated tolerance.

A curve is sampled finely enough that its polyline strays a tenth of the tolerance from it, then
`core.drawing.fitting` finds the few lines and arcs through the samples. Most splines of real
drawings are straight lines or circular arcs and come out as one. Copies of one curve that are
equally large are fitted once.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import numpy as np

from core.drawing.fitting import Samples, fit
from core.drawing.placing import Conic, Placement, Spline, place_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from core.drawing.placing import PlacedCurve

FLATTENING_TOLERANCE_MM = 0.005
"""How far the lines and arcs may stray from the curve: a sixth of a fine finish pass's error."""

SAMPLING_SHARE = 0.1
"""Share of the tolerance that the sampling itself may use up."""

MOST_SAMPLES = 400_000
"""Bound of one curve."""


def as_rows(
    curves: Sequence[PlacedCurve], tolerance: float, check: Callable[[], None]
) -> tuple[NDArray[np.float64], NDArray[np.intp], float]:
    """Return lines and arcs in place of curves.

    Parameters
    ----------
    curves : sequence of PlacedCurve
        What to replace.
    tolerance : float
        Greatest deviation, in the unit of the curves.
    check : callable
        Called once a curve; raises when the user asks to stop.

    Returns
    -------
    rows : array of shape (n, 5)
    entity : array of int, shape (n,)
    deviation : float
        Greatest deviation found, in the unit of the curves.
    """
    known: dict[tuple[int, float], tuple[NDArray[np.float64], float]] = {}
    rows, entity, worst = [np.zeros((0, 5))], [np.zeros(0, dtype=np.intp)], 0.0
    for placed in curves:
        check()
        scale = placed.placement.scale
        if placed.placement.is_similar and scale > 0.0:
            key = (id(placed.curve), round(scale, 9))
            if key not in known:
                known[key] = _fitted(placed.curve, Placement(), tolerance / scale)
            own, deviation = known[key]
            deviation *= scale
            own, _ = place_rows(own, np.zeros(len(own), dtype=np.intp), placed.placement)
        else:
            own, deviation = _fitted(placed.curve, placed.placement, tolerance)
        rows.append(own)
        entity.append(np.full(len(own), placed.entity, dtype=np.intp))
        worst = max(worst, deviation)
    return np.concatenate(rows), np.concatenate(entity), worst


def _fitted(
    curve: Conic | Spline, placement: Placement, tolerance: float
) -> tuple[NDArray[np.float64], float]:
    if isinstance(curve, Conic):
        pieces = [conic_samples(curve, placement, tolerance * SAMPLING_SHARE)]
    else:
        pieces = spline_samples(curve, placement, tolerance * SAMPLING_SHARE)
    found = [fit(piece, tolerance * (1.0 - SAMPLING_SHARE)) for piece in pieces]
    rows = np.array([row for part, _ in found for row in part]).reshape(-1, 5)
    strayed = max((deviation for _, deviation in found), default=0.0)
    # what the samples do not show between themselves is part of what is reported
    return rows, strayed + (tolerance * SAMPLING_SHARE if strayed > 0.0 else 0.0)


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
    breaks = _breaks(spline)
    coarse = _parameters(breaks, 8)
    points, _ = evaluated(spline, control, coarse)
    middles = (points[:-2:2] + points[2::2]) / 2.0
    seen = float(np.hypot(*(points[1:-1:2] - middles).T).max(initial=0.0))
    # halving the step quarters the chord error: from the error of double steps to the one wanted
    count = 8.0 * math.sqrt(seen / max(4.0 * sagitta, 1e-300))
    per_span = int(min(max(count, 8.0), MOST_SAMPLES / max(len(breaks) - 1, 1)))
    corners = _corners(spline, breaks)
    out = []
    for first, last in itertools.pairwise(corners.tolist()):
        own = breaks[(breaks >= first) & (breaks <= last)]
        t = _parameters(own, max(per_span, 1))
        points, tangents = evaluated(spline, control, t)
        # at a corner the tangent belongs to the next piece: take it a hair before
        _, before = evaluated(spline, control, np.array([last - (last - own[-2]) * 1e-6]))
        tangents[-1] = before[0]
        out.append(Samples(points, tangents))
    return out


def _breaks(spline: Spline) -> NDArray[np.float64]:
    inner = spline.knots[spline.degree : len(spline.knots) - spline.degree]
    breaks = np.unique(inner)
    if len(breaks) < 2:
        raise ValueError("a spline without length")
    return breaks


def _corners(spline: Spline, breaks: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the parameters where a spline may kink, its two ends included."""
    inner = breaks[1:-1]
    repeats = np.searchsorted(spline.knots, inner, "right") - np.searchsorted(spline.knots, inner)
    return np.concatenate([breaks[:1], inner[repeats >= spline.degree], breaks[-1:]])


def _parameters(breaks: NDArray[np.float64], per_span: int) -> NDArray[np.float64]:
    share = np.arange(per_span) / per_span
    inner = breaks[:-1, None] + np.diff(breaks)[:, None] * share
    return np.append(inner.reshape(-1), breaks[-1])


def evaluated(
    spline: Spline, control: NDArray[np.float64], t: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points and first derivatives of a B-spline, each of shape (m, 2).

    Notes
    -----
    Basis functions by the triangular scheme of Cox and de Boor; rational splines in homogeneous
    coordinates.

    References
    ----------
    L. Piegl, W. Tiller, The NURBS Book, 2nd ed., algorithms A2.2 and A4.2 (from memory).
    """
    weights = np.ones(len(control)) if spline.weights is None else spline.weights
    lifted = np.column_stack([control * weights[:, None], weights])
    p, knots = spline.degree, spline.knots
    value = _sum(lifted, knots, p, t)
    span = np.maximum(knots[p + 1 : len(lifted) + p] - knots[1 : len(lifted)], 1e-300)
    slopes = p * np.diff(lifted, axis=0) / span[:, None]
    slope = _sum(slopes, knots[1:-1], p - 1, t)
    points = value[:, :2] / value[:, 2:]
    return points, (slope[:, :2] - points * slope[:, 2:]) / value[:, 2:]


def _sum(
    control: NDArray[np.float64], knots: NDArray[np.float64], p: int, t: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the B-spline of degree p at t."""
    span = np.clip(np.searchsorted(knots, t, "right") - 1, p, len(control) - 1)
    basis = [np.ones(len(t))]
    for k in range(1, p + 1):
        carried = np.zeros(len(t))
        following = []
        for j in range(k):
            right, left = knots[span + j + 1] - t, t - knots[span + 1 - k + j]
            share = basis[j] / np.maximum(right + left, 1e-300)
            following.append(carried + right * share)
            carried = left * share
        basis = [*following, carried]
    out = np.zeros((len(t), control.shape[1]))
    for j, weight in enumerate(basis):
        out += weight[:, None] * control[span - p + j]
    return out
