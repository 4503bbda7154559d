"""The cycle time of programs as they were read: the machine's motion over the moves of the text.

The same physics as the plan's (acceleration along the way, stops in sharp corners, slower on arcs),
over moves that were found in the text and not in the plan.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from core.handover.nc_program import Did, Kind
from core.motion.profile import corner_speed_mm_s, speed_profile, travel_time_s
from core.motion.track import SHARP_RAD, TURN_RAD

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.handover.nc_program import Event, Moves, Program
    from core.library.records import Machine

UPRIGHT_MM = 1e-6
"""Moves shorter than this, seen from above, go straight up or down."""

SHORT_MM = 2.0
"""The direction of shorter moves is known to a two-thousandth of a radian at best."""

SLIGHT_RAD = math.radians(0.2)
"""Turns below this come from rounding to the digits of the text, not from the way."""


def cycle_time_s(programs: Sequence[Program], machine: Machine) -> float:
    """Return the time of programs that are run one after the other, without waiting for people.

    Cutting, rapid moves, spindle and cutter changes; a cutter that is in already is not changed.
    """
    total, cutter, speed = 0.0, math.nan, 0.0
    for program in programs:
        moves = program.moves
        total += _rapid_s(moves, machine) + _feed_s(moves, machine)
        last = max((k for k, e in enumerate(program.events) if e.did is Did.SPINDLE_ON), default=-1)
        for k, event in enumerate(program.events):
            seconds, cutter, speed, ramp = _event(event, cutter, speed, machine)
            # a spindle that runs down at the very end is waited for by the next program alone
            total += seconds if ramp == 0.0 or k <= last or program is not programs[-1] else 0.0
    return total


def _event(
    event: Event, cutter: float, speed_rpm: float, machine: Machine
) -> tuple[float, float, float, float]:
    """Return the time of an event, the cutter and speed after it, and how much of it is a ramp."""
    if event.did is Did.CUTTER and event.value != cutter:
        return machine.cutter_change_s, event.value, speed_rpm, 0.0
    if event.did in (Did.SPINDLE_ON, Did.SPINDLE_OFF):
        ramp = abs(event.value - speed_rpm) / machine.spindle_ramp_rpm_s
        return ramp, cutter, event.value, ramp
    return 0.0, cutter, speed_rpm, 0.0


def _rapid_s(moves: Moves, machine: Machine) -> float:
    """Return the time of the rapid moves, each from rest to rest; what is not known takes none."""
    which = moves.kind == Kind.RAPID
    start = np.where(np.isfinite(moves.start[which]), moves.start[which], moves.end[which])
    step = moves.end[which] - start
    first = np.flatnonzero(~np.isfinite(moves.start[which][:, :2]).all(axis=1))
    way = np.sqrt(np.nansum(step**2, axis=1))
    if len(first):
        # the program begins where the machine parks
        park, reached = np.array(machine.nc.park_mm), moves.end[which][first, :2]
        known = np.isfinite(reached).all(axis=1)
        way[first[known]] = np.hypot(*(reached[known] - park).T)
    speed = machine.rapid_mm_min / 60.0
    return float(travel_time_s(way, speed, machine.acceleration_mm_s2).sum())


def _feed_s(moves: Moves, machine: Machine) -> float:
    """Return the time of everything that is fed: runs of moves from rest to rest."""
    which = np.flatnonzero(moves.kind != Kind.RAPID)
    if not len(which):
        return 0.0
    part = moves.part(which)
    length = part.length_mm
    plane = part.plane_mm
    upright = plane < UPRIGHT_MM
    stops = np.concatenate([[True], np.diff(which) > 1, [True]])
    # straight up or down is a move of its own, from rest to rest
    stops[:-1] |= upright
    stops[1:] |= upright
    with np.errstate(divide="ignore", invalid="ignore"):
        radius = np.hypot(*(part.start[:, :2] - part.centre).T)
        slope = np.where(upright, 0.0, (part.end[:, 2] - part.start[:, 2]) / plane)
        curvature = np.where(part.sweep_rad != 0.0, 1.0 / radius, 0.0) / (1.0 + slope**2)
        bend = np.sqrt(machine.acceleration_mm_s2 / curvature)
    limit = np.minimum(part.feed_mm_min / 60.0, bend)
    turn = np.zeros(len(length) + 1)
    turn[1:-1] = _evened(_turns(part), length)
    turn[stops | (np.abs(turn) < TURN_RAD)] = 0.0
    node = np.where(stops, 0.0, np.inf)
    bent = np.flatnonzero(turn)
    node[bent] = _turn_limit(part, turn, stops, curvature, bent, machine)
    return float(speed_profile(length, limit, node, machine.acceleration_mm_s2).time_s.sum())


def _turns(part: Moves) -> NDArray[np.float64]:
    delta = part.end[:, :2] - part.start[:, :2]
    chord = np.arctan2(delta[:, 1], delta[:, 0])
    begin = chord - part.sweep_rad / 2.0
    whole = np.hypot(delta[:, 0], delta[:, 1]) < UPRIGHT_MM
    out = part.start[:, :2] - part.centre
    tangent = np.arctan2(out[:, 1], out[:, 0]) + np.copysign(math.pi / 2.0, part.sweep_rad)
    begin = np.where(whole & (part.sweep_rad != 0.0), tangent, begin)
    turn = begin[1:] - (begin[:-1] + part.sweep_rad[:-1])
    return np.asarray(np.mod(turn + math.pi, 2.0 * math.pi) - math.pi)


def _evened(turn: NDArray[np.float64], length_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return slight turns between short moves as the mean with their neighbours.

    Ends lie on the digits of the text: between short moves single turns are noise, and their sum
    is not.
    """
    short = np.minimum(length_mm[:-1], length_mm[1:]) < SHORT_MM
    slight = short & (np.abs(turn) <= SHARP_RAD)
    inner = np.flatnonzero(slight[1:-1] & slight[:-2] & slight[2:]) + 1
    out = turn.copy()
    out[inner] = (turn[inner - 1] + turn[inner] + turn[inner + 1]) / 3.0
    return out


def _turn_limit(
    part: Moves,
    turn: NDArray[np.float64],
    stops: NDArray[np.bool_],
    curvature: NDArray[np.float64],
    which: NDArray[np.intp],
    machine: Machine,
) -> NDArray[np.float64]:
    """Return the speed in some turns: a stop, a rounded corner, or the arc of facets."""
    size = np.abs(turn[which])
    run = _run_length_mm(part, turn, stops, curvature)
    half = np.minimum(run[which - 1], run[which]) / 2.0
    fit = half / np.tan(np.maximum(size, 1e-12) / 2.0)
    deviation = machine.corner_deviation_mm or 0.0
    allowed = np.where(size > SHARP_RAD, deviation, np.inf)
    speed = corner_speed_mm_s(size, allowed, fit, machine.acceleration_mm_s2)
    return np.where(size < SLIGHT_RAD, np.inf, speed)


def _run_length_mm(
    part: Moves,
    turn: NDArray[np.float64],
    stops: NDArray[np.bool_],
    curvature: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the length of the stretch of one curvature, without a turn, around each move. [mm]."""
    begins = stops[:-1] | (np.abs(turn[:-1]) >= SLIGHT_RAD)
    signed = curvature * np.sign(part.sweep_rad)
    begins[1:] |= np.abs(np.diff(signed)) > 0.02 * np.abs(signed[1:])
    first = np.flatnonzero(begins)
    total = np.add.reduceat(part.length_mm, first)
    return np.repeat(total, np.diff(np.append(first, len(begins))))
