"""Offset of closed paths: lines stay lines, arcs stay arcs, the whole job in one pass.

The distance is *positive outwards*: it makes the enclosed area grow whichever way the path runs,
and a negative one makes it shrink. What comes back runs the same way as the path it came from; a
ring that runs against it bounds a part of the inside that the offset closed off.

First every ring is offset directly (`core.geometry.parallel`) and accepted only with a proof: no
piece turned over, the area kept its sign, and the ring neither crosses nor touches itself, which is
decided exactly. Every point of it then lies at the offset distance from the path, within 1e-9 mm; a
mitred corner lies further out. The others lose pieces, split or close up: they are cut and chained
exactly (`core.geometry.untangle`), and the outcome is proven by its distances. Where parts of the
offset fall on each other (a neck exactly two distances wide) the distance is made a trifle larger
and the result flagged. No polygon library is asked: flattened arcs would lose what is exact here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from core.geometry.distance import bounded_distance
from core.geometry.joints import Joints
from core.geometry.parallel import mitred, moved, tipped
from core.geometry.path import SAME_POINT_MM
from core.geometry.rings import Rings, rings_of
from core.geometry.simple import simple_rings
from core.geometry.untangle import piece_of, untangled

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path

    Array = NDArray[np.float64]
    Bools = NDArray[np.bool_]
    Index = NDArray[np.intp]

Corner = Literal["roll", "mitre"]

TIE_BREAKS_MM = (0.0, 1.1e-6, -1.3e-6, 1.7e-5, -1.9e-5, 2.3e-4, 1.7e-3)
"""What is added to the distance, one after another, until the parts of an offset chain up. First
away from the path, and never more than the 0.002 mm that a flagged offset may be off."""

PROOF_SHARES = (0.0, 0.5)
"""Where along each piece of an untangled ring its distance is measured again."""

ROLLED = "where a mitred corner would meet another part of the offset, it is rolled"
NUDGED = "parts of the offset fall on each other: it was made {:.1e} mm larger to part them"
UNSOLVED = "no sound offset was found; the path may cross or touch itself"


@dataclass(frozen=True, eq=False, slots=True)
class Offset:
    """What one path, or one region, became.

    Parameters
    ----------
    paths : tuple of Path
        None if it vanished, several if it split; the largest first.
    flagged : bool
        Whether it is not the offset that was asked for, within 1e-9 mm.
    reason : str
        Why it is flagged, else empty.
    """

    paths: tuple[Path, ...]
    flagged: bool = False
    reason: str = ""


def offset(
    paths: Sequence[Path], distance_mm: float | Sequence[float], corner: Corner = "roll"
) -> tuple[Offset, ...]:
    """Offset closed paths, all at once and each for itself.

    Parameters
    ----------
    paths : sequence of Path
        Closed paths that do not cross themselves, run either way.
    distance_mm : float or one for each path
        Positive outwards, negative inwards. [mm]
    corner : {"roll", "mitre"}
        How the joints that gape are closed: by an arc about the corner, or by its tangents.

    Returns
    -------
    tuple of Offset
        One for each path.

    Raises
    ------
    ValueError
        If a path is open.
    """
    if not all(path.closed for path in paths):
        raise ValueError("only closed paths have an inside to be offset from")
    if not paths:
        return ()
    source = rings_of(paths)
    distance = np.broadcast_to(np.asarray(distance_mm, dtype=np.float64), len(paths))
    right = distance * np.sign(source.area_mm2)
    rings, proven = _direct(source, right, corner == "mitre")
    found = [Offset((path,)) for path in rings.paths()]
    for which, other in _unproven(source, right, proven, corner == "mitre"):
        found[which] = other
    return tuple(found)


def offset_region(
    outer: Path, islands: Sequence[Path], distance_mm: float, corner: Corner = "roll"
) -> Offset:
    """Offset a region with islands: its rings together, which may merge.

    Parameters
    ----------
    outer : Path
        Closed path round the region, run either way.
    islands : sequence of Path
        Closed paths round what is left out of it, run either way.
    distance_mm : float
        Positive outwards, negative inwards: then `outer` shrinks and the islands grow. [mm]
    corner : {"roll", "mitre"}
        As in `offset`.

    Returns
    -------
    Offset
        Rings with the region on their left: outer ones run counter-clockwise, islands clockwise.
    """
    turned = [outer if outer.area_mm2 > 0.0 else outer.reversed()]
    turned += [path.reversed() if path.area_mm2 > 0.0 else path for path in islands]
    return offset_together(turned, distance_mm, corner)


def offset_together(rings: Sequence[Path], distance_mm: float, corner: Corner = "roll") -> Offset:
    """Offset a region of any number of parts and islands, which may merge.

    As `offset_region`, with closed paths that have the region on their left and do not meet.
    """
    if not rings:
        return Offset(())
    group = np.zeros(len(rings), dtype=np.intp)
    source = rings_of(rings).together(group)
    return _untangled(source, np.full(len(rings), distance_mm), group, corner == "mitre")[0]


def _direct(source: Rings, right: Array, mitre: bool) -> tuple[Rings, Bools]:
    """Return the direct offset and which rings of it are proven."""
    joints = Joints(source, right[source.ring])
    rings, turned = moved(joints)
    rings = mitred(rings, joints) if mitre else rings
    proven: Bools = ~turned & (rings.area_mm2 * source.area_mm2 > 0.0)
    likely = np.flatnonzero(proven)
    proven[likely] = simple_rings(rings.subset(likely))
    return rings, proven


def _unproven(
    source: Rings, right: Array, proven: Bools, mitre: bool
) -> Iterator[tuple[int, Offset]]:
    """Yield the offsets of the rings that the direct pass did not prove, each for itself."""
    left = np.flatnonzero(~proven)
    if not len(left):
        return
    part = source.subset(left)
    # a ring no wider than twice the distance inwards vanishes for certain
    outwards = right[left] * np.sign(part.area_mm2)
    gone = part.extent_mm.min(axis=1) <= -2.0 * outwards + SAME_POINT_MM
    for which in left[gone].tolist():
        yield which, Offset(())
    if gone.all():
        return
    left, part = left[~gone], part.subset(np.flatnonzero(~gone))
    others = _untangled(part, right[left], np.arange(len(left)), mitre)
    yield from zip(left.tolist(), others, strict=True)


def _untangled(source: Rings, right: Array, group: Index, mitre: bool) -> list[Offset]:
    """Offset groups of rings whatever becomes of them, one Offset a group."""
    found = [Offset((), True, UNSOLVED)] * (int(group.max()) + 1)
    waiting = np.arange(len(found))
    for extra in TIE_BREAKS_MM:
        ring = np.flatnonzero(np.isin(group, waiting))
        if not len(ring):
            break
        part, own = source.subset(ring), np.searchsorted(waiting, group[ring])
        shift = right[ring] + np.sign(right[ring]) * extra
        joints = Joints(part, shift[part.ring])
        rings, ring_group, proven = _proven(joints, own)
        offsets = _gathered(rings, ring_group, joints, mitre)
        for which in np.flatnonzero(proven).tolist():
            done = offsets.get(which, Offset(()))
            nudged = replace(done, flagged=True, reason=NUDGED.format(extra))
            found[waiting[which]] = nudged if extra else done
        waiting = waiting[~proven]
    return found


def _proven(joints: Joints, group: Index) -> tuple[Rings, Index, Bools]:
    """Untangle groups; return the rings, the group of each, and which groups are proven.

    Proof: the parts chained up, no ring of a group touches itself or another, and every piece lies
    within 1e-9 mm of the offset distance from the source, at its ends and in its middle.
    """
    rings, ring_group, loose = untangled(joints, group)
    loose[ring_group[~simple_rings(rings, ring_group)]] = True
    source, own = joints.source, ring_group[rings.ring]
    distance = np.abs(joints.shift[piece_of(rings.source)])
    at = np.concatenate([rings.at(share) for share in PROOF_SHARES])
    own, distance = np.tile(own, len(PROOF_SHARES)), np.tile(distance, len(PROOF_SHARES))
    away = bounded_distance(source, group[source.ring], at, own, distance + SAME_POINT_MM)
    loose[own[~(np.abs(away - distance) <= SAME_POINT_MM)]] = True
    return rings, ring_group, ~loose


def _gathered(rings: Rings, ring_group: Index, joints: Joints, mitre: bool) -> dict[int, Offset]:
    """Return the rings of each group as an Offset, mitred where that fits."""
    rolled = np.zeros(len(rings), dtype=bool)
    if mitre:
        rings, rolled = tipped(rings, joints, ring_group)
    paths = rings.paths()
    order = np.argsort(-np.abs(rings.area_mm2), kind="stable")
    groups: dict[int, list[Path]] = {}
    for ring in order.tolist():
        groups.setdefault(int(ring_group[ring]), []).append(paths[ring])
    reasons = dict.fromkeys(ring_group[rolled].tolist(), ROLLED)
    return {
        which: Offset(tuple(own), which in reasons, reasons.get(which, ""))
        for which, own in groups.items()
    }
