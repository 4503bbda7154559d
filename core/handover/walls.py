"""Proof that no cutter enters a part: the region it sweeps against every wall on the sheet.

Terms: a *wall* is a closed contour that is cut along one side; it stands on its *material side*:
inside of an outline or island, outside of a hole or pocket. A hole in what is waste itself is none.
The centre of the cutter must stay its own radius away from every wall, and must begin on the waste
side of the innermost one around it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.geometry.boxes import Boxes, overlapping_between
from core.geometry.distance import distance_to
from core.geometry.path import Path
from core.handover.complaints import Complaint
from core.handover.pair_distance import Pieces, pair_distance
from core.handover.planned import on_sheet
from core.job import Task

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from core.contours.records import Contour
    from core.handover.nc_program import Moves
    from core.handover.planned import Run
    from core.handover.runs import ReadRun
    from core.handover.work import Work
    from core.plan.records import Toolpath

TOLERANCE_MM = 0.01
CHORD_MM = 0.01
NO_RECESS = -1
HOLES = frozenset({Task.INSIDE, Task.BORE, Task.DRILL})
RECESSES = frozenset({Task.POCKET, Task.COUNTERSINK, Task.COUNTERBORE})
INWARD = HOLES | RECESSES
"""Tasks whose material stands outside of the contour."""


@dataclass(frozen=True, eq=False, slots=True)
class Wall:
    """A contour as it lies on the sheet: its copy, contour, closed path, and material side.

    A hole in the floor of a recess says in which contour: what makes the recess may cut its wall.
    """

    copy: int
    drawing: int
    contour_id: int
    path: Path
    material_inside: bool
    recess_id: int | None = None


def walls_on(work: Work, sheet: int) -> tuple[Wall, ...]:
    """Return every wall on a sheet."""
    found = []
    for number, copy in enumerate(work.layout.sheets[sheet].copies):
        contours = work.contours[copy.drawing].contours
        recesses = {c.id for c in contours if c.task in RECESSES}
        around = {c.id: c for c in contours}
        for contour in contours:
            inward = contour.task in INWARD
            if contour.path.closed and _stands(contour, around):
                bulges = contour.path.bulges * (-1.0 if copy.mirrored else 1.0)
                path = Path(on_sheet(contour.path.points, copy), bulges)
                in_floor = contour.task in HOLES and contour.parent in recesses
                recess = contour.parent if in_floor else None
                found.append(Wall(number, copy.drawing, contour.id, path, not inward, recess))
    return tuple(found)


def _stands(contour: Contour, around: Mapping[int, Contour]) -> bool:
    """Tell whether there is material of a part, or of the sheet, along a contour."""
    parent = around.get(contour.parent) if contour.parent is not None else None
    if contour.task is Task.OUTSIDE:
        return True
    if contour.task is Task.NONE:
        return parent is not None and parent.task in (Task.POCKET, Task.COUNTERBORE)
    while parent is not None and parent.task in (Task.NONE, Task.ON_LINE):
        parent = around.get(parent.parent) if parent.parent is not None else None
    in_waste = parent is not None and parent.task in (Task.INSIDE, Task.BORE, Task.DRILL)
    return contour.task in INWARD and not in_waste


def gouges(
    work: Work, walls: Sequence[Wall], read: Sequence[ReadRun], planned: Sequence[Run]
) -> tuple[float, list[Complaint]]:
    """Return how deep the cutter enters a part at the most, and where it does. [mm]."""
    worst, complaints = 0.0, []
    checked = [(one, w) for one, w in zip(read, planned, strict=False) if not _on_line(work, w)]
    if not walls or not checked:
        return worst, []
    side = _Sides(walls)
    for depth, line in _swept(work, checked, walls):
        worst = max(worst, depth)
        if depth > TOLERANCE_MM:
            complaints.append(Complaint("gouge", f"cuts {depth:.3f} mm into a part", line))
    for one, wanted in checked:
        begins = one.moves.end[0, :2]
        inside = side.depth_in_material(begins)
        if inside is not None:
            depth = inside + wanted.mounted.diameter_mm / 2.0
            worst = max(worst, depth)
            words = "the cutter goes down inside a part"
            complaints.append(Complaint("gouge", words, int(one.moves.line[0])))
    return worst, complaints


def _on_line(work: Work, run: Run) -> bool:
    """Tell whether a run cuts on the line itself, where no side is spared."""
    return all(work.cut_pass(line).toolpath.wall_side == 0 for line in run.lines)


def _pieces_of_walls(walls: Sequence[Wall]) -> Pieces:
    segments = [wall.path.segments for wall in walls]
    sweep = np.concatenate([np.where(s.is_arc, s.sweep_rad, 0.0) for s in segments])
    return Pieces(
        np.concatenate([s.start for s in segments]),
        np.concatenate([s.end for s in segments]),
        np.concatenate([s.centre_mm for s in segments]),
        sweep,
    )


def _reach_mm(path: Toolpath, lowest_mm: NDArray[np.float64], top_mm: float) -> NDArray[np.float64]:
    """Return how far from its centre a cutter may cut a wall, its end at some heights. [mm].

    A cone is as wide as its end is deep; a chamfer, and a drill within its fit, may cut beyond.
    """
    cutter, whole = path.mounted.cutter, path.mounted.diameter_mm / 2.0
    if path.is_milled:
        return np.full(len(lowest_mm), whole)
    cone = cutter.tip_flat_mm / 2.0 + cutter.tip_slope * np.maximum(top_mm - lowest_mm, 0.0)
    return np.minimum(cone, whole) - path.beyond_mm


def _swept(
    work: Work, checked: Sequence[tuple[ReadRun, Run]], stand: Sequence[Wall]
) -> Iterator[tuple[float, int]]:
    """Yield, for moves that come near a wall, how deep the cutter enters it, and their line."""
    walls = _pieces_of_walls(stand)
    codes: dict[tuple[int, int], int] = {}
    in_floor = np.concatenate(
        [np.full(len(w.path.bulges), _code(codes, w.copy, w.recess_id)) for w in stand]
    )
    moves, radius, line, makes = [], [], [], []
    for one, wanted in checked:
        lowest = np.minimum(one.moves.start[:, 2], one.moves.end[:, 2])
        cuts = lowest < work.top_mm - 1e-9
        path = work.cut_pass(wanted.lines[0]).toolpath
        moves.append(pieces_of(one.moves.part(cuts)))
        radius.append(_reach_mm(path, lowest[cuts], work.top_mm))
        line.append(one.moves.line[cuts])
        recess = codes.get((wanted.lines[0].copy, path.contour_id), NO_RECESS - 1)
        makes.append(np.full(int(cuts.sum()), recess))
    pieces = Pieces(
        *(
            np.concatenate([getattr(m, f) for m in moves])
            for f in ("start", "end", "centre", "sweep_rad")
        )
    )
    reach, lines, made = np.concatenate(radius), np.concatenate(line), np.concatenate(makes)
    low, high = pieces.boxes_mm()
    around = Boxes(
        (low - reach[:, None]).T, (high + reach[:, None]).T, np.zeros(len(reach), np.intp)
    )
    wall_low, wall_high = walls.boxes_mm()
    beside = Boxes(wall_low.T, wall_high.T, np.zeros(len(walls), np.intp))
    deepest = np.zeros(len(reach))
    for a, b in overlapping_between(around, beside):
        depth = reach[a] - pair_distance(pieces[a], walls[b])
        depth[made[a] == in_floor[b]] = 0.0
        np.maximum.at(deepest, a, depth)
    for k in np.flatnonzero(deepest > 0.0):
        yield float(deepest[k]), int(lines[k])


def _code(codes: dict[tuple[int, int], int], copy: int, contour_id: int | None) -> int:
    """Return a number for a recess of a copy, `NO_RECESS` for none."""
    return NO_RECESS if contour_id is None else codes.setdefault((copy, contour_id), len(codes))


def pieces_of(moves: Moves) -> Pieces:
    """Return moves as they are seen from above."""
    return Pieces(moves.start[:, :2], moves.end[:, :2], moves.centre, moves.sweep_rad)


def _encloses(path: Path, at_mm: NDArray[np.float64]) -> bool:
    """Tell whether a place lies inside a closed path: a ray crosses it an odd number of times.

    Of chords: right for every place farther from the path than `CHORD_MM`, and a cutter whose
    centre is nearer enters the part by its radius anyway.
    """
    points = path.flattened(CHORD_MM) - at_mm
    after = np.roll(points, -1, axis=0)
    crosses = (points[:, 1] > 0.0) != (after[:, 1] > 0.0)
    one, other = points[crosses], after[crosses]
    reach = one[:, 0] - one[:, 1] * (other[:, 0] - one[:, 0]) / (other[:, 1] - one[:, 1])
    return bool((reach > 0.0).sum() % 2)


class _Sides:
    """Which places on the sheet are material."""

    def __init__(self, walls: Sequence[Wall]) -> None:
        self._walls = walls
        self._size = [abs(wall.path.area_mm2) for wall in walls]
        self._low = np.array([wall.path.bounds_mm[:2] for wall in walls])
        self._high = np.array([wall.path.bounds_mm[2:] for wall in walls])

    def depth_in_material(self, at_mm: NDArray[np.float64]) -> float | None:
        """Return how far inside a part a place lies, or None where it is waste. [mm]."""
        inside = (self._low <= at_mm).all(axis=1) & (self._high >= at_mm).all(axis=1)
        around = [
            k for k in np.flatnonzero(inside).tolist() if _encloses(self._walls[k].path, at_mm)
        ]
        if not around:
            return None
        innermost = min(around, key=lambda k: self._size[k])
        wall = self._walls[innermost]
        return float(distance_to(wall.path, at_mm)[0]) if wall.material_inside else None
