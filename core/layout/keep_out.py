"""Whether a cutter or its holder runs into a clamp or a screw on the sheet.

Rapid moves cross the sheet at the safe height: what stands lower is passed over, what stands higher
is told. Everything that is cut, ways in and out included, must pass beside; so must the holder
where it comes down below the top of a keep-out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from core.errors import Finding, Severity
from core.geometry.bundle import bundle_of
from core.geometry.path import flattened
from core.job.keep_out import Form
from core.layout.order import placed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.job.keep_out import KeepOut
    from core.layout.records import Copy, Layout
    from core.library.records import Machine
    from core.plan.records import Toolpath

HOLDER_RADIUS_MM = 25.0
"""Half the width of a holder's nut where it comes near the sheet (common practice, no source: nuts
of router spindles are 32 to 50 mm wide)."""

CHORD_MM = 0.01
"""Chord error of centre lines here; a clamp is never placed that well."""


def keep_out_findings(
    layout: Layout,
    toolpaths: Sequence[Toolpath],
    keep_outs: Sequence[KeepOut],
    machine: Machine,
    thickness_mm: float,
) -> tuple[Finding, ...]:
    """Return what runs into a keep-out: a finding for each keep-out and contour.

    Parameters
    ----------
    layout : Layout
        Where the copies lie.
    toolpaths : sequence of Toolpath
        The trips of one copy of every drawing.
    keep_outs : sequence of KeepOut
        Clamps and screws, on every sheet.
    machine : Machine
        Its safe height.
    thickness_mm : float
        Of the sheet. [mm]
    """
    if not keep_outs or not toolpaths:
        return ()
    lines = _centre_lines(toolpaths)
    found: dict[tuple[str, int, int], Finding] = {}
    for copy in dict.fromkeys(copy for sheet in layout.sheets for copy in sheet.copies):
        own = [i for i, path in enumerate(toolpaths) if path.drawing == copy.drawing]
        laid = shapely.transform(lines[own], lambda points, c=copy: placed(points, c))
        tree = shapely.STRtree(laid)
        for one in keep_outs:
            reach = np.array([_reach_mm(toolpaths[i], one, thickness_mm) for i in own])
            near = tree.query(_shape(one), predicate="dwithin", distance=float(reach.max()))
            away = shapely.distance(laid[near], _shape(one))
            for number in near[away < reach[near] - CHORD_MM].tolist():
                path = toolpaths[own[number]]
                key = (one.name, path.drawing, path.contour_id)
                found.setdefault(key, _finding(one, path, copy))
    return (*_too_high(keep_outs, machine), *found.values())


def _centre_lines(toolpaths: Sequence[Toolpath]) -> NDArray[np.object_]:
    """Return the whole way of each toolpath as a line, in drawing coordinates."""
    ways = bundle_of([way for t in toolpaths for way in (t.entry, t.cut, t.exit)], closed=False)
    points, segment = flattened(ways.segments, CHORD_MM)
    of = ways.of[segment] // 3
    # the way ends where its exit does
    last = np.searchsorted(of, np.arange(len(toolpaths)), side="right")
    ends = np.array([t.exit.points[-1] for t in toolpaths])
    whole = np.insert(points, last, ends, axis=0)
    lines: NDArray[np.object_] = shapely.linestrings(
        whole, indices=np.insert(of, last, np.arange(len(toolpaths)))
    )
    return lines


def _reach_mm(path: Toolpath, one: KeepOut, thickness_mm: float) -> float:
    """Return how near the cutter's centre must not come: the cutter, or its holder if that is low.

    The top of the sheet is where a keep-out begins.
    """
    cutter = path.mounted
    is_low = path.z_bottom_mm + cutter.stick_out_mm < thickness_mm + one.height_mm
    return max(cutter.diameter_mm / 2.0, HOLDER_RADIUS_MM if is_low else 0.0)


def _shape(one: KeepOut) -> shapely.Geometry:
    (x, y), (width, height) = one.at_mm, one.size_mm
    if one.form is Form.CIRCLE:
        return shapely.Point(x, y).buffer(width / 2.0, quad_segs=64)
    return shapely.box(x - width / 2.0, y - height / 2.0, x + width / 2.0, y + height / 2.0)


def _finding(one: KeepOut, path: Toolpath, copy: Copy) -> Finding:
    x, y = path.cut.points[0]
    return Finding(
        "keep-out",
        Severity.OUTSIDE,
        f"The {path.mounted.name} or its holder would run into {one.name} while it cuts contour "
        f"{path.contour_id} of the copy at {copy.at_mm[0]:.0f}, {copy.at_mm[1]:.0f} mm on the "
        "sheet; move the clamp, or the parts away from it.",
        at_mm=(float(x), float(y)),
        contour_id=path.contour_id,
        drawing=path.drawing,
    )


def _too_high(keep_outs: Sequence[KeepOut], machine: Machine) -> Iterator[Finding]:
    for one in keep_outs:
        if one.height_mm >= machine.safe_height_mm:
            yield Finding(
                "keep-out",
                Severity.OUTSIDE,
                f"{one.name} stands {one.height_mm:g} mm above the sheet, and the rapid moves of "
                f"{machine.name} cross the sheet at {machine.safe_height_mm:g} mm: they would hit "
                "it. Take a lower clamp, or give the machine a higher safe height.",
            )
