"""Points and directions along B-splines, rational ones included.

Terms: the *order of knots* runs from the first to the last; a spline is defined between its inner
knots, and a *span* lies between two different ones. A *corner* is a knot repeated so often that
the spline may kink there.

References
----------
L. Piegl, W. Tiller, The NURBS Book, 2nd ed., algorithms A2.2 and A4.2 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.drawing.placing import Spline

SMALL = 64
"""Knot vectors up to this length keep their weights: a drawing repeats few of them."""


@dataclass(frozen=True, eq=False)
class _Weights:
    """Control points that act on each sample, and how much: both of shape (m, degree + 1)."""

    index: NDArray[np.intp]
    weight: NDArray[np.float64]

    def combined(self, control: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.einsum("mj,mjk->mk", self.weight, control[self.index]))


@dataclass(frozen=True, eq=False)
class _Sampling:
    """Where a knot vector is sampled, with the weights for points and for derivatives."""

    t: NDArray[np.float64]
    value: _Weights
    slope: _Weights


def span_bounds(spline: Spline) -> NDArray[np.float64]:
    """Return the different knots between which the spline is defined.

    Raises
    ------
    ValueError
        The spline has no length.
    """
    bounds = np.unique(spline.knots[spline.degree : len(spline.knots) - spline.degree])
    if len(bounds) < 2:
        raise ValueError("a spline without length")
    return bounds


def corner_spans(spline: Spline) -> list[int]:
    """Return the spans at which smooth pieces begin, and the number of spans at the end."""
    bounds = span_bounds(spline)
    inner = bounds[1:-1]
    repeats = np.searchsorted(spline.knots, inner, "right") - np.searchsorted(spline.knots, inner)
    kinks = 1 + np.flatnonzero(repeats >= spline.degree)
    return [0, *kinks.tolist(), len(bounds) - 1]


def sampled(
    spline: Spline, control: NDArray[np.float64], per_span: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points and derivatives at even parameters in each span and at the end.

    Parameters
    ----------
    spline : Spline
        Knots, degree and weights.
    control : array of shape (n, 2)
        Its control points where they are to lie.
    per_span : int
        Samples in each span, its start included.

    Returns
    -------
    points, derivatives : array of shape (spans * per_span + 1, 2)
    """
    bounds = span_bounds(spline)
    if len(spline.knots) <= SMALL:
        sampling = _kept_sampling(spline.knots.tobytes(), spline.degree, per_span)
    else:
        sampling = _sampling(spline.knots, spline.degree, _even(bounds, per_span))
    return _evaluated(spline, control, sampling)


def just_before(spline: Spline, control: NDArray[np.float64], span: int) -> NDArray[np.float64]:
    """Return the derivative with which a spline arrives at the end of a span, shape (2,)."""
    bounds = span_bounds(spline)
    t = bounds[span + 1] - (bounds[span + 1] - bounds[span]) * 1e-6
    _, slope = _evaluated(spline, control, _sampling(spline.knots, spline.degree, np.array([t])))
    return np.asarray(slope[0])


def _evaluated(
    spline: Spline, control: NDArray[np.float64], sampling: _Sampling
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points and derivatives; rational splines go through homogeneous coordinates."""
    p, knots = spline.degree, spline.knots
    span = np.maximum(knots[p + 1 : len(control) + p] - knots[1 : len(control)], 1e-300)
    if spline.weights is None:
        slopes = p * np.diff(control, axis=0) / span[:, None]
        return sampling.value.combined(control), sampling.slope.combined(slopes)
    lifted = np.column_stack([control * spline.weights[:, None], spline.weights])
    value = sampling.value.combined(lifted)
    slope = sampling.slope.combined(p * np.diff(lifted, axis=0) / span[:, None])
    points = value[:, :2] / value[:, 2:]
    return points, (slope[:, :2] - points * slope[:, 2:]) / value[:, 2:]


@lru_cache(maxsize=256)
def _kept_sampling(knot_bytes: bytes, degree: int, per_span: int) -> _Sampling:
    knots = np.frombuffer(knot_bytes)
    bounds = np.unique(knots[degree : len(knots) - degree])
    return _sampling(knots, degree, _even(bounds, per_span))


def _even(bounds: NDArray[np.float64], per_span: int) -> NDArray[np.float64]:
    inner = bounds[:-1, None] + np.diff(bounds)[:, None] * (np.arange(per_span) / per_span)
    return np.append(inner.reshape(-1), bounds[-1])


def _sampling(knots: NDArray[np.float64], degree: int, t: NDArray[np.float64]) -> _Sampling:
    return _Sampling(t, _weights(knots, degree, t), _weights(knots[1:-1], degree - 1, t))


def _weights(knots: NDArray[np.float64], p: int, t: NDArray[np.float64]) -> _Weights:
    """Return the basis functions of degree p at t, by the scheme of Cox and de Boor."""
    span = np.clip(np.searchsorted(knots, t, "right") - 1, p, len(knots) - p - 2)
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
    return _Weights(span[:, None] - p + np.arange(p + 1), np.stack(basis, axis=1))
