"""Arcs in pieces, and what lies under a pointer."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from app.views.strokes import Strokes
    from core.report.traces import Traces

_FINE_MM = 0.05
"""How far the pieces that are hit may be off an arc. [mm]."""


class Reach:
    """Finds the stroke nearest to a place.

    Parameters
    ----------
    strokes : Strokes
        All passes of a drawing, at least one stroke.
    """

    def __init__(self, strokes: Strokes) -> None:
        self._strokes = strokes
        self._lines, self._of = arc_pieces(strokes.traces, strokes.sample, _FINE_MM)
        owner = strokes.owner[self._of]
        count = len(strokes.traces.first) - 1
        self._first = np.searchsorted(owner, np.arange(count + 1))
        some = np.flatnonzero(np.diff(self._first))
        self._boxes = np.full((count, 4), np.nan)
        begins = self._first[some]
        low = np.minimum(self._lines[:, :2], self._lines[:, 2:])
        high = np.maximum(self._lines[:, :2], self._lines[:, 2:])
        self._boxes[some, :2] = np.minimum.reduceat(low, begins)
        self._boxes[some, 2:] = np.maximum.reduceat(high, begins)

    def nearest(self, x_mm: float, y_mm: float, within_mm: float) -> tuple[int, int] | None:
        """Return the pass and the sample within it that lie nearest, if any is near enough."""
        best, found = within_mm, None
        low, high = self._boxes[:, :2], self._boxes[:, 2:]
        at = np.array([x_mm, y_mm])
        near = np.all((low - within_mm <= at) & (at <= high + within_mm), axis=1)
        strokes = self._strokes
        for index in np.flatnonzero(near).tolist():
            begin, end = self._first[index], self._first[index + 1]
            distance, share = _distance(self._lines[begin:end], at)
            place = int(np.argmin(distance))
            if distance[place] <= best:
                best = float(distance[place])
                sample = int(strokes.sample[self._of[begin + place]])
                sample -= int(strokes.traces.first[index])
                found = index, sample + int(share[place] > 0.5)
        return found


def _distance(
    lines: NDArray[np.float64], at: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the distance of a place from each line, and the share of the line where it is."""
    delta = lines[:, 2:] - lines[:, :2]
    to = at - lines[:, :2]
    square = np.maximum((delta**2).sum(axis=1), 1e-12)
    share = np.clip((to * delta).sum(axis=1) / square, 0.0, 1.0)
    off = to - delta * share[:, None]
    return np.hypot(off[:, 0], off[:, 1]), share


def arc_pieces(
    traces: Traces, sample: NDArray[np.intp], tolerance_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return the strokes that begin at samples as straight lines, arcs in pieces.

    Parameters
    ----------
    traces : Traces
        The samples, with the curvature of the way at each.
    sample : int array of shape (n,)
        Where each stroke begins.
    tolerance_mm : float
        How far a piece may be off its arc. [mm]

    Returns
    -------
    array of shape (k, 4), int array of shape (k,)
        Both ends of every piece, and the stroke that it is of.
    """
    start, end = traces.xy_mm[sample], traces.xy_mm[sample + 1]
    delta = end - start
    bend = np.abs(traces.curvature_per_mm[sample]) * np.hypot(delta[:, 0], delta[:, 1]) / 2.0
    half = np.arcsin(np.minimum(bend, 1.0))
    # a piece of half-angle a is r (1 - cos a) off its arc
    flat = 1.0 - tolerance_mm * np.abs(traces.curvature_per_mm[sample])
    allowed = np.arccos(np.clip(flat, -1.0, 1.0 - 1e-9))
    pieces = np.maximum(np.ceil(half / allowed), 1.0).astype(np.intp)
    if len(pieces) == 0 or pieces.max() == 1:
        return np.concatenate([start, end], axis=1), np.arange(len(sample))
    of = np.repeat(np.arange(len(sample)), pieces)
    number = np.arange(len(of)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    lines = np.concatenate([start[of], end[of]], axis=1)
    bent = np.flatnonzero(pieces[of] > 1)
    sweep = 2.0 * half * np.sign(traces.curvature_per_mm[sample])
    for side in (0, 1):
        share = (number[bent] + side) / pieces[of[bent]]
        lines[bent, 2 * side : 2 * side + 2] = _on_arcs(start, delta, sweep, of[bent], share)
    return lines, of


def _on_arcs(
    start: NDArray[np.float64],
    delta: NDArray[np.float64],
    sweep: NDArray[np.float64],
    of: NDArray[np.intp],
    share: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the places at shares of the way along arcs given by chord and sweep."""
    turn = sweep[of]
    chord = np.hypot(delta[of, 0], delta[of, 1])
    heading = np.arctan2(delta[of, 1], delta[of, 0]) - turn / 2.0
    radius = chord / (2.0 * np.sin(turn / 2.0))
    there = heading + turn * share
    x = start[of, 0] + (np.sin(there) - np.sin(heading)) * radius
    y = start[of, 1] - (np.cos(there) - np.cos(heading)) * radius
    return np.column_stack([x, y])
