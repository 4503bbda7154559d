"""Proof that every outline is severed at full depth, and that nothing is freed that is to be held.

At every place of a wall the region that was swept at full depth must reach the wall, but in corners
that the cutter cannot enter: there it must reach as far as the cutter can. What that is, is taken
from an offset of the drawing's contour, not from the plan's toolpaths.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import Boxes, overlapping_between
from core.geometry.distance import distance_to
from core.geometry.offset import offset
from core.geometry.path import points_on
from core.handover.complaints import Complaint
from core.handover.pair_distance import Pieces, point_distance
from core.handover.walls import pieces_of
from core.library.records import CutterForm
from core.plan.drilling import FIT_MM

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.geometry.path import Path
    from core.handover.planned import Run
    from core.handover.runs import ReadRun
    from core.handover.walls import Wall
    from core.handover.work import Work
    from core.library.records import MountedCutter, RecipeStep

TOLERANCE_MM = 0.01
SPACING_MM, MOST_PLACES = 0.5, 4000
"""Places along a wall that are looked at: a gap of half a millimetre in the way of the smallest
cutter leaves more than the tolerance."""


@dataclass(frozen=True, slots=True)
class Parting:
    """What became of the outlines.

    Parameters
    ----------
    outlines : int
        Outlines that must be severed.
    severed : int
        Those that are, at full depth.
    held : int
        Outlines that must stay held, by a skin or by tabs.
    uncut_mm : float
        Farthest that material was left in front of a wall that must be severed. [mm]
    loose_waste : int
        Pieces of waste that come loose.
    """

    outlines: int
    severed: int
    held: int
    uncut_mm: float
    loose_waste: int


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What the recipe wants of one wall: through or not, with what, how far off the wall."""

    mounted: MountedCutter
    step: RecipeStep
    through: bool
    tabs: int

    @property
    def drills(self) -> bool:
        """Whether a drill makes the wall at once."""
        return self.mounted.cutter.form is CutterForm.DRILL


def parting(
    work: Work, walls: Sequence[Wall], read: Sequence[ReadRun], planned: Sequence[Run]
) -> tuple[Parting, list[Complaint]]:
    """Return what was severed and held, and what was not as it must be."""
    wanted = _wanted(work, planned)
    cuts = _full_depth(work, read, planned)
    outlines = severed = held = loose = 0
    uncut, complaints = 0.0, []
    for wall in walls:
        want = wanted.get((wall.copy, wall.contour_id))
        if want is None:
            continue
        name = f"copy {wall.copy + 1}, contour {wall.contour_id}"
        pieces = cuts.get((wall.copy, wall.contour_id))
        if not want.through:
            held += 1
            if pieces is not None:
                complaints.append(
                    Complaint("held", f"{name} must keep its skin, and is cut through")
                )
            continue
        left = _left(wall, want, pieces)
        gaps = _gaps(left > TOLERANCE_MM)
        if want.tabs:
            held += 1
            if gaps < want.tabs:
                words = f"{name} has {gaps} of the {want.tabs} tabs that hold it"
                complaints.append(Complaint("held", words))
            continue
        outlines += 1
        worst = float(left.max())
        uncut = max(uncut, worst)
        if worst > TOLERANCE_MM:
            complaints.append(Complaint("uncut", f"{name} is not severed: {worst:.3f} mm stand"))
            continue
        severed += 1
        loose += not wall.material_inside and _leaves_a_core(wall, want, pieces)
    return Parting(outlines, severed, held, uncut, loose), complaints


def _wanted(work: Work, planned: Sequence[Run]) -> dict[tuple[int, int], _Wanted]:
    found: dict[tuple[int, int], _Wanted] = {}
    stretches: dict[tuple[int, int], int] = {}
    for run in planned:
        for line in run.lines:
            path = work.cut_pass(line).toolpath
            cone = path.mounted.cutter.form is CutterForm.V
            if path.clearing or path.wall_side == 0 or cone:
                continue
            key = (line.copy, path.contour_id)
            through = path.z_bottom_mm <= 0.0
            known = found.get(key)
            if known is None or (through, -path.step.standing_mm) >= (
                known.through,
                -known.step.standing_mm,
            ):
                found[key] = _Wanted(path.mounted, path.step, through, 0)
            # what is cut through in stretches is held between them
            if through and np.hypot(*(path.cut.points[-1] - path.cut.points[0])) > TOLERANCE_MM:
                stretches[key] = stretches.get(key, 0) + 1
    return {key: replace(want, tabs=stretches.get(key, 0)) for key, want in found.items()}


def _full_depth(
    work: Work, read: Sequence[ReadRun], planned: Sequence[Run]
) -> dict[tuple[int, int], Pieces]:
    """Return what is cut at full depth, by copy and contour."""
    found: dict[tuple[int, int], list[Pieces]] = {}
    for one, run in zip(read, planned, strict=False):
        line = run.lines[0]
        path = work.cut_pass(line).toolpath
        begins, ends = one.moves.start[:, 2], one.moves.end[:, 2]
        through = TOLERANCE_MM - path.mounted.cutter.tip_length_mm
        # what goes straight down is as deep as it ends, what runs along as it is everywhere
        deep = (ends if path.pecks else np.maximum(begins, ends)) <= through
        if deep.any():
            key = (line.copy, path.contour_id)
            found.setdefault(key, []).append(pieces_of(one.moves.part(deep)))
    names = ("start", "end", "centre", "sweep_rad")
    return {
        key: Pieces(*(np.concatenate([getattr(p, n) for p in parts]) for n in names))
        for key, parts in found.items()
    }


def _left(wall: Wall, want: _Wanted, pieces: Pieces | None) -> NDArray[np.float64]:
    """Return how much more stands in front of each place of a wall than must, in order. [mm]."""
    places = _places(wall.path)
    if pieces is None:
        return np.full(len(places), np.inf)
    if want.drills:
        there = _nearest(places, pieces, want.mounted.diameter_mm + 1.0)
        return np.asarray(np.maximum(there - (want.mounted.diameter_mm + FIT_MM) / 2.0, 0.0))
    away = want.mounted.diameter_mm / 2.0 + want.step.standing_mm
    reach = offset([wall.path], away if wall.material_inside else -away, want.step.corner.value)[0]
    if not reach.paths:
        return np.full(len(places), np.inf)
    least = np.min([distance_to(path, places) for path in reach.paths], axis=0)
    most = float(least.max()) + 1.0
    there = _nearest(places, pieces, most)
    return np.asarray(np.maximum(there - least, 0.0))


def _places(path: Path) -> NDArray[np.float64]:
    spacing = max(SPACING_MM, path.length_mm / MOST_PLACES)
    count = np.maximum(np.ceil(path.segments.length_mm / spacing), 1).astype(np.intp)
    which = np.repeat(np.arange(len(count)), count)
    first = np.repeat(np.cumsum(count) - count, count)
    share = (np.arange(len(which)) - first) / count[which]
    return np.asarray(points_on(path.segments, which, share))


def _nearest(places: NDArray[np.float64], pieces: Pieces, within_mm: float) -> NDArray[np.float64]:
    """Return the distance of places from the nearest piece; inf beyond a distance. [mm]."""
    least = np.full(len(places), np.inf)
    low, high = pieces.boxes_mm()
    group = np.zeros(len(places), np.intp)
    around = Boxes((places - within_mm).T, (places + within_mm).T, group)
    beside = Boxes(low.T, high.T, np.zeros(len(pieces), np.intp))
    for a, b in overlapping_between(around, beside):
        np.minimum.at(least, a, point_distance(places[a], pieces[b]))
    return least


def _gaps(uncut: NDArray[np.bool_]) -> int:
    """Return how many stretches of a closed line are uncut."""
    if uncut.all():
        return 1
    return int((uncut & ~np.roll(uncut, 1)).sum())


def _leaves_a_core(wall: Wall, want: _Wanted, pieces: Pieces | None) -> bool:
    """Tell whether something stands inside of a hole, out of the reach of what was cut there."""
    assert pieces is not None
    inside = np.vstack([pieces.start, pieces.end])
    width = float(distance_to(wall.path, inside).max()) + want.mounted.diameter_mm / 2.0
    return bool(offset([wall.path], -width - TOLERANCE_MM, "roll")[0].paths)


def skins_kept(work: Work, read: Sequence[ReadRun], planned: Sequence[Run]) -> Iterator[Complaint]:
    """Yield runs that go deeper than the plan lets them, into a skin that must stay."""
    for one, run in zip(read, planned, strict=False):
        lowest = min(work.cut_pass(line).toolpath.z_bottom_mm for line in run.lines)
        deep = one.moves.end[:, 2] < lowest - TOLERANCE_MM
        if deep.any():
            line = int(one.moves.line[int(np.argmax(deep))])
            yield Complaint("depth", f"deeper than the {lowest:g} mm that the plan goes to", line)
