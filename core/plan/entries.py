"""The ways into cuts and out of them, for all rings of a job at once.

A first cut goes down along its own line, on a ramp or helix: the stock on the wall keeps its mark
off the part. A later cut goes down in the slot that was cleared before it, as far off the wall as
that slot's own line, and meets the wall on an arc.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.bundle import Bundle
from core.geometry.distance import bounded_distance
from core.geometry.leads import lead_arcs
from core.geometry.path import Path, Segments, points_on
from core.geometry.rings import rings_of
from core.plan.records import Entry

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from core.geometry.bundle import Places

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

STEEPEST_TURN_SHARE = 0.1
"""A helix goes down at most this share of the diameter a turn (common practice, no source)."""

_HALVINGS = 5
_TOUCH_MM = 1e-6
_LOOKS = np.linspace(0.0, 1.0, 9)


@dataclass(frozen=True, eq=False, slots=True)
class Wanted:
    """How r rings are to be entered and left; arrays of shape (r,).

    Parameters
    ----------
    off_mm : array
        How far off its line the slot runs in which the cutter goes down; 0 for none. [mm]
    drop_mm : array
        How far it goes down along its own line where there is no such slot; 0 for straight down.
        [mm]
    side : array
        Side of the wall, +1 left of the travel.
    keep_mm : array
        How near to the wall the cutter's centre may come. [mm]
    diameter_mm, ramp_angle_deg, lead_radius_mm, seam_mm : array
        Cutter; slope and radius that are wanted; overlap behind the cut. [mm], [deg], [mm], [mm]
    """

    off_mm: Array
    drop_mm: Array
    side: Array
    keep_mm: Array
    diameter_mm: Array
    ramp_angle_deg: Array
    lead_radius_mm: Array
    seam_mm: Array

    @property
    def ramps(self) -> Index:
        """Rings that are entered on a ramp."""
        return np.flatnonzero((self.off_mm <= 0.0) & (self.drop_mm > 0.0))


@dataclass(frozen=True, eq=False, slots=True)
class Ways:
    """The way into a cut, the cut once round, and the way out of it."""

    entry: Path
    entry_kind: Entry
    cut: Path
    exit: Path


def nowhere(point_mm: Array) -> Path:
    """Return a path of no length: the cutter goes down or lifts where it stands."""
    return Path(np.vstack([point_mm, point_mm]), np.zeros(1), closed=False)


def is_nowhere(path: Path) -> bool:
    """Whether a path has no length."""
    return bool((path.points == path.points[0]).all())


def ends_on_wall(way_out: Path) -> bool:
    """Whether a way out found no room for its lead, and lifts where the seam overlap ends."""
    return bool((way_out.points[-1] == way_out.points[-2:-1]).all())


def ways_of(
    rings: Bundle, start_mm: Array, walls: Sequence[Path], wanted: Wanted
) -> tuple[Ways, ...]:
    """Return the ways of rings that are started at some places.

    Parameters
    ----------
    rings : Bundle
        r closed lines of the cutter's centre, run as they are cut.
    start_mm : array of shape (r,)
        Where on its ring each cut begins. [mm]
    walls : sequence of Path, r in number
        What each ring runs along.
    wanted : Wanted
        How they are entered and left.
    """
    every = np.arange(len(rings))
    seam = np.minimum(wanted.seam_mm, rings.length_mm / 2.0)
    begin, over = rings.places(every, start_mm), rings.places(every, start_mm + seam)
    off = np.flatnonzero(wanted.off_mm > 0.0)
    came = _leads(rings, begin, walls, wanted, off, leaving=False)
    left = _leads(rings, _arriving(rings, over, seam), walls, wanted, off, leaving=True)
    exits = rings.stretches(every, start_mm, start_mm + seam).with_ends(off, *left)
    entries = _straight_down(rings.points_at(begin), off, came)
    kinds = [Entry.PLUNGE] * len(every)
    ramps, laps = _ramps(rings, start_mm, wanted)
    for which, path, whole in zip(wanted.ramps.tolist(), ramps, laps.tolist(), strict=True):
        entries[which], kinds[which] = path, Entry.HELIX if whole else Entry.RAMP
    cuts = rings.laps_from(start_mm).paths()
    return tuple(map(Ways, entries, kinds, cuts, exits.paths()))


def _straight_down(point: Array, off: Index, came: tuple[Array, Array]) -> list[Path]:
    """Return ways in that go down in one place: beside the cut where there is a slot, or on it."""
    points = np.repeat(point, 2, axis=0)
    points[2 * off] = came[0]
    bulges = np.zeros(len(point))
    bulges[off] = came[1]
    return Bundle(points, bulges, np.arange(len(point) + 1), closed=False).paths()


def _ramps(rings: Bundle, start_mm: Array, wanted: Wanted) -> tuple[list[Path], Index]:
    """Return the ways down along the rings' own lines, and how many whole laps each takes.

    A ring too short for the slope that is wanted is run down more steeply, up to
    `STEEPEST_TURN_SHARE`.
    """
    which = wanted.ramps
    lap, drop = rings.length_mm[which], wanted.drop_mm[which]
    long = drop / np.tan(np.radians(wanted.ramp_angle_deg[which]))
    turns = drop / (STEEPEST_TURN_SHARE * wanted.diameter_mm[which])
    way = np.minimum(long, np.maximum(turns, 1.0) * lap)
    laps = np.floor(way / lap).astype(np.intp)
    way = np.where(way - laps * lap > _TOUCH_MM, way, laps * lap)
    start = start_mm[which]
    return rings.stretches(which, start - way, start).paths(), laps


def _arriving(rings: Bundle, places: Places, seam: Array) -> Places:
    """Return places as they are reached: at a corner, the end of the segment before it."""
    segment, share = places.segment.copy(), places.share.copy()
    corner = (share * rings.segments.length_mm[segment] <= _TOUCH_MM) & (seam > 0.0)
    at = np.flatnonzero(corner)
    base, count = rings.first[places.path[at]], rings.count[places.path[at]]
    segment[at], share[at] = base + (segment[at] - base - 1) % count, 1.0
    return replace(places, segment=segment, share=share)


def _leads(
    rings: Bundle,
    places: Places,
    walls: Sequence[Path],
    wanted: Wanted,
    off: Index,
    *,
    leaving: bool,
) -> tuple[Array, Array]:
    """Return the far ends and bulges of the arcs on which rings are met or left.

    An arc's radius is halved where the wall comes nearer than it may, a few times; one that still
    does not fit has no length.
    """
    point = rings.points_at(places)[off]
    far, bulge = point.copy(), np.zeros(len(off))
    if not len(off):
        return far, bulge
    heading = rings.headings_at(places)[off]
    bend = rings.segments.curvature_per_mm[places.segment][off] * wanted.side[off]
    radius = np.maximum(wanted.lead_radius_mm, wanted.off_mm)[off]
    half_off = wanted.off_mm[off] / 2.0
    # inside a bend the arc must stay well clear of the wall on its far side
    inside = bend < 0.0
    tight = np.divide(-0.5, bend, out=np.full(len(off), np.inf), where=inside)
    radius = np.where(inside, np.maximum(np.minimum(radius, tight), half_off), radius)
    wall = _Walls([walls[which] for which in off.tolist()], wanted.keep_mm[off])
    left = np.arange(len(off))
    for _ in range(_HALVINGS):
        sweep = _sweep_to(wanted.off_mm[off[left]], radius[left], bend[left])
        turn = np.copysign(sweep, -wanted.side[off[left]])
        ends = lead_arcs(point[left], heading[left], radius[left], turn, leaving)
        fits = wall.is_clear(left, point[left], *ends, leaving=leaving)
        far[left[fits]], bulge[left[fits]] = ends[0][fits], ends[1][fits]
        left = left[~fits]
        if not len(left):
            break
        radius[left] = np.maximum(radius[left] / 2.0, half_off[left])
    return far, bulge


def _sweep_to(off_mm: Array, radius_mm: Array, towards_per_mm: Array) -> Array:
    """Return the sweep after which a tangent circle lies `off_mm` off a line or circle. [rad].

    With r_c the radius of the cut, m = r_c + s r the distance of the two centres (s = 1 outside a
    part, -1 inside a hole) and d = r_c + s off: cos = (m^2 + r^2 - d^2) / (2 s m r).
    """
    straight = np.abs(towards_per_mm) < 1e-9
    way = np.copysign(1.0, towards_per_mm)
    bend = 1.0 / np.where(straight, 1.0, np.abs(towards_per_mm))
    apart, target = bend + way * radius_mm, bend + way * off_mm
    round_bend = (apart**2 + radius_mm**2 - target**2) / (2.0 * way * apart * radius_mm)
    cosine = np.where(straight, 1.0 - off_mm / radius_mm, round_bend)
    return np.asarray(np.arccos(np.clip(cosine, -1.0, 1.0)))


class _Walls:
    """The walls beside leads, and how near the cutter's centre may come to each."""

    def __init__(self, walls: Sequence[Path], keep_mm: Array) -> None:
        self._rings = rings_of(walls)
        self._keep_mm = keep_mm

    def is_clear(
        self, which: Index, point: Array, far: Array, bulge: Array, *, leaving: bool
    ) -> Bools:
        """Return which arcs keep their distance from their walls, looked at in a few places."""
        start, end = (point, far) if leaving else (far, point)
        lead = np.repeat(np.arange(len(which)), len(_LOOKS))
        looks = points_on(Segments(start, end, bulge), lead, np.tile(_LOOKS, len(which)))
        wall = which[lead]
        keep = self._keep_mm[wall]
        at = looks - self._rings.origin[wall]
        distance = bounded_distance(self._rings, self._rings.ring, at, wall, keep)
        clear = distance >= keep - _TOUCH_MM
        return np.asarray(clear.reshape(-1, len(_LOOKS)).all(axis=1))
