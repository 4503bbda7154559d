"""Machines, paths and passes that the motion tests cut with."""

from __future__ import annotations

import math

import numpy as np

from core.geometry.path import Path
from core.library.records import (
    Corner,
    Cutter,
    Direction,
    Helix,
    Holder,
    Machine,
    MountedCutter,
    RecipeStep,
)
from core.motion.jerk import cut_times_with_jerk_s
from core.motion.move import profile_of
from core.motion.track import Track
from core.plan.records import Engaged, Entry, Pass, Toolpath

FEED_MM_S = 99.0
"""18 000 rpm, one edge, 0.33 mm: 5.94 m/min."""


def router(acceleration_mm_s2=1000.0, **changes):
    """Return a machine of the tests."""
    values = {
        "key": "test",
        "name": "test router",
        "travel_mm": (3000.0, 2000.0),
        "highest_feed_mm_min": 20_000.0,
        "rapid_mm_min": 24_000.0,
        "plunge_mm_min": 1200.0,
        "acceleration_mm_s2": acceleration_mm_s2,
        "jerk_mm_s3": 50_000.0,
        "corner_deviation_mm": None,
        "lowest_spindle_speed_rpm": 6000.0,
        "highest_spindle_speed_rpm": 24_000.0,
        "spindle_power_w": 2200.0,
        "spindle_base_speed_rpm": 12_000.0,
        "spindle_ramp_rpm_s": 4000.0,
        "cutter_change_s": 12.0,
        "stiffness_n_um": 5.0,
        "vacuum_kpa": 60.0,
        "vacuum_share": 0.6,
        "bed_flatness_mm": 0.1,
        "depth_error_mm": 0.05,
        "overcut_mm": 0.2,
        "safe_height_mm": 5.0,
        "room_temperature_c": 22.0,
    }
    return Machine(**(values | changes))


def drawn(*moves, heading_rad=0.0):
    """Return an open path from lines ("line", length), arcs ("arc", radius, sweep), turns."""
    points, bulges = [np.zeros(2)], []
    for kind, *rest in moves:
        if kind == "turn":
            heading_rad += rest[0]
            continue
        sweep = rest[1] if kind == "arc" else 0.0
        parts = max(1, math.ceil(abs(sweep) / math.pi - 1e-9))
        for _ in range(parts):
            part = sweep / parts
            chord = 2.0 * rest[0] * math.sin(abs(part) / 2.0) if kind == "arc" else rest[0]
            along = heading_rad + part / 2.0
            points.append(points[-1] + chord * np.array([math.cos(along), math.sin(along)]))
            bulges.append(math.tan(part / 4.0))
            heading_rad += part
    return Path(np.array(points), np.array(bulges), closed=False)


def rounded_rectangle(width, height, radius):
    """Return a rounded rectangle from the middle of its lower side."""
    corner = ("arc", radius, math.pi / 2.0)
    across, up = ("line", width - 2.0 * radius), ("line", height - 2.0 * radius)
    half = ("line", width / 2.0 - radius)
    return drawn(half, corner, up, corner, across, corner, up, corner, half)


def obround(length, radius):
    """Return a slot outline from the middle of one side."""
    end = ("arc", radius, math.pi)
    return drawn(("line", length / 2.0), end, ("line", length), end, ("line", length / 2.0))


def ring(radius):
    """Return a full circle."""
    return drawn(("arc", radius, 2.0 * math.pi))


def square(side):
    """Return a square with sharp corners, from one of them."""
    return drawn(*[("line", side), ("turn", math.pi / 2.0)] * 4)


def star(fillet=None):
    """Return a five-pointed star of radii 30 and 12 mm, sharp or with filleted corners."""
    angle = np.arange(11) * math.pi / 5.0
    radius = np.where(np.arange(11) % 2 == 0, 30.0, 12.0)
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    delta = np.diff(points, axis=0)
    length, heading = np.hypot(*delta.T), np.arctan2(delta[:, 1], delta[:, 0])
    bend = (np.roll(heading, -1) - heading + math.pi) % (2.0 * math.pi) - math.pi
    cut = (fillet or 0.0) * np.tan(np.abs(bend) / 2.0)
    moves = []
    for i in range(10):
        moves.append(("line", length[i] - cut[i - 1] - cut[i]))
        moves.append(("arc", fillet, bend[i]) if fillet else ("turn", bend[i]))
    return drawn(*moves, heading_rad=heading[0])


def facetted_ring(radius, count):
    """Return a circle drawn in short lines."""
    angle = np.linspace(0.0, 2.0 * math.pi, count + 1)
    points = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    return Path(points, np.zeros(count), closed=False)


def track_of(path):
    """Return the track of one main cut without leads."""
    count = len(path.segments)
    zeros = np.zeros(count)
    is_cut = np.ones(count, bool)
    return Track(path.segments, zeros.astype(int), is_cut, zeros, np.zeros(1), zeros, zeros + 1.0)


def profile(path, machine, feed_mm_s=FEED_MM_S):
    """Return the speed profile of one main cut without leads."""
    return profile_of(track_of(path), np.array([feed_mm_s]), machine)


def time_s(path, machine, feed_mm_s=FEED_MM_S):
    """Return its time without jerk."""
    return float(profile(path, machine, feed_mm_s).time_s.sum())


def jerk_time_s(path, machine, feed_mm_s=FEED_MM_S):
    """Return its time with jerk."""
    track = track_of(path)
    found = cut_times_with_jerk_s(
        profile_of(track, np.array([feed_mm_s]), machine),
        track.is_cut,
        track.pass_index,
        machine.acceleration_mm_s2,
        machine.jerk_mm_s3,
    )
    return float(found[0])


def cut_pass(cut, entry=None, leave=None, kind=Entry.RAMP, drop_mm=6.0, feed_mm_s=FEED_MM_S):
    """Return a pass along a path, with leads where they are given."""
    cutter = Cutter("c", "6 mm", 6.0, 1, 22.0, 6.0, Helix.UPSHEAR, 25.0, 5.0, 20.0, 24_000.0, ())
    mounted = MountedCutter("m", "m", cutter, Holder("h", "h", 24_000.0, 2.5, 0.6), 32.0, 1)
    step = RecipeStep("rough", "rough", 0.5, 0.5, 0.0, Direction.CLIMB, Corner.MITRE)
    toolpath = Toolpath(
        drawing=0,
        contour_id=1,
        step=step,
        level=0,
        mounted=mounted,
        entry=entry or Path(cut.points[:1], np.zeros(0), closed=False),
        cut=cut,
        exit=leave or Path(cut.points[-1:], np.zeros(0), closed=False),
        entry_kind=kind,
        entry_from_mm=drop_mm,
        wall_side=1,
        wall_inside=False,
        bands=(Engaged(drop_mm, 0.0, 6.0),),
        z_top_mm=drop_mm,
        z_bottom_mm=0.0,
        wall_stock_mm=0.5,
        floor_stock_mm=0.5,
    )
    return Pass(toolpath, 18_000.0, feed_mm_s / 300.0, feed_mm_s * 60.0, (), ())
