"""How far one chain of moves strays from another: both ways, place by place along them.

Each is held against the stretch of the other that lies at the same share of the way, so that a
corner cut short, an arc run the other way round, or a lap left out shows as a distance. How the
moves are cut into blocks does not matter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from core.handover.nc_program import Moves

SHARES = (0.25, 0.5, 0.75, 1.0)
"""Places on each move that are looked at."""

SLACK_MM, SLACK_A_ROOT_MM, SLACK_A_RAD_MM = 0.03, 0.002, 0.001
"""How far places may be apart along the way. Rounding of ends adds up like a random walk; a radius
that is rounded up makes every turn about it longer."""


@dataclass(frozen=True, eq=False, slots=True)
class Strayed:
    """For each of n moves: how far it strays, and which move of the other lies at its middle.

    Parameters
    ----------
    distance_mm : array of shape (n,)
        Greatest distance of the places looked at. [mm]
    beside : int array of shape (n,)
        The nearest move of the other at the middle.
    """

    distance_mm: NDArray[np.float64]
    beside: NDArray[np.intp]


def strayed(one: Moves, other: Moves) -> Strayed:
    """Return how far moves stray from others that should run the same way.

    Parameters
    ----------
    one, other : Moves
        Chains, n and m moves, neither empty.
    """
    share = np.tile(np.array(SHARES), len(one))
    which = np.repeat(np.arange(len(one)), len(SHARES))
    length = one.length_mm
    begin = np.concatenate([[0.0], np.cumsum(length)])
    way = begin[which] + share * length[which]
    ends = np.concatenate([[0.0], np.cumsum(other.length_mm)])
    scaled = way * (ends[-1] / begin[-1]) if begin[-1] > 0.0 else way
    slack = slack_mm(one, other)
    # every move of the other that overlaps the stretch from scaled - slack to scaled + slack
    first = np.clip(np.searchsorted(ends, scaled - slack, side="right") - 1, 0, len(other) - 1)
    last = np.clip(np.searchsorted(ends, scaled + slack, side="left") - 1, 0, len(other) - 1)
    count = np.maximum(last - first, 0) + 1
    place = np.repeat(np.arange(len(scaled)), count)
    candidate = first[place] + np.arange(len(place)) - np.repeat(np.cumsum(count) - count, count)
    points = places(one, which, share)
    away = distance(points[place], other, candidate)
    begins = np.cumsum(count) - count
    least = np.minimum.reduceat(away, begins)
    nearest = candidate[_first_of_least(away, least, begins, count)]
    by_move = least.reshape(len(one), len(SHARES))
    middle = nearest.reshape(len(one), len(SHARES))[:, SHARES.index(0.5)]
    return Strayed(by_move.max(axis=1), middle)


def slack_mm(one: Moves, other: Moves) -> float:
    """Return by how much the ways of two chains may differ through rounding alone. [mm]."""
    turned = max(float(np.abs(part.sweep_rad).sum()) for part in (one, other))
    root = math.sqrt(max(len(one), len(other)))
    return SLACK_MM + SLACK_A_ROOT_MM * root + SLACK_A_RAD_MM * turned


def _first_of_least(
    value: NDArray[np.float64],
    least: NDArray[np.float64],
    begins: NDArray[np.intp],
    count: NDArray[np.intp],
) -> NDArray[np.intp]:
    hits = np.flatnonzero(value == np.repeat(least, count))
    return np.asarray(hits[np.searchsorted(hits, begins)])


def places(
    moves: Moves, which: NDArray[np.intp], share: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return places at a share of chosen moves, shape (k, 3). [mm]."""
    start, end = moves.start[which], moves.end[which]
    out = start + (end - start) * share[:, None]
    arc = np.flatnonzero(moves.sweep_rad[which])
    centre = moves.centre[which[arc]]
    turn = moves.sweep_rad[which[arc]] * share[arc]
    away = start[arc, :2] - centre
    cos, sin = np.cos(turn), np.sin(turn)
    turned = np.column_stack(
        [cos * away[:, 0] - sin * away[:, 1], sin * away[:, 0] + cos * away[:, 1]]
    )
    # the radius may differ by a digit from one end to the other: it changes evenly
    rest = end[arc, :2] - centre
    ratio = np.hypot(*rest.T) / np.maximum(np.hypot(*away.T), 1e-12)
    out[arc, :2] = centre + turned * (1.0 + (ratio - 1.0) * share[arc])[:, None]
    return out


def distance(
    points: NDArray[np.float64], moves: Moves, which: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Return the distance in space of points from chosen moves, pair by pair, shape (k,). [mm]."""
    start, end = moves.start[which], moves.end[which]
    delta, away = end - start, points - start
    square = np.maximum((delta**2).sum(axis=1), 1e-30)
    share = np.clip((away * delta).sum(axis=1) / square, 0.0, 1.0)
    arc = np.flatnonzero(moves.sweep_rad[which])
    share[arc] = _share_on_arc(points[arc], moves, which[arc])
    foot = places(moves, which, share)
    gap = points - foot
    return np.asarray(np.sqrt((gap**2).sum(axis=1)))


def _share_on_arc(
    points: NDArray[np.float64], moves: Moves, which: NDArray[np.intp]
) -> NDArray[np.float64]:
    """Return at which share of an arc the nearest place of it lies."""
    centre, sweep = moves.centre[which], moves.sweep_rad[which]
    out, away = moves.start[which, :2] - centre, points[:, :2] - centre
    turn = np.arctan2(away[:, 1], away[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    turn = np.mod(np.copysign(1.0, sweep) * turn, 2.0 * np.pi)
    size = np.abs(sweep)
    beyond = np.where(turn - size < 2.0 * np.pi - turn, 1.0, 0.0)
    return np.where(turn <= size, turn / size, beyond)
