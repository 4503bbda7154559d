"""The setup sheet's drawings: each drawing once with its passes, each sheet with its copies."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from app.printing.content import PartPicture, SheetPicture, Trip
from core.geometry.path import Path
from core.layout import placed
from core.units import UnitSystem, in_system, show

if TYPE_CHECKING:
    from core.layout.records import Copy, SheetLayout
    from core.pipeline import Results
    from core.report.records import PassReport


def part_pictures(results: Results, system: UnitSystem) -> tuple[PartPicture, ...]:
    """Return a picture of each drawing."""
    return tuple(_part(results, index, system) for index in range(len(results.contours)))


def _part(results: Results, index: int, system: UnitSystem) -> PartPicture:
    contours = results.contours[index]
    cut = {p.toolpath.contour_id for p in results.plan.passes if p.toolpath.drawing == index}
    wide, high = (show(side, "mm", system) for side in contours.size_mm)
    unit = in_system(1.0, "mm", system)[1]
    return PartPicture(
        caption=(
            f"{results.drawings[index].name}, {wide} by {high}; dimensions in {unit}. Full line: "
            "the finishing pass; dashed: roughing; the band is as wide as the cutter cuts; an "
            "arrow stands where the cutter goes down; the numbers are those of the table of passes."
        ),
        outlines=tuple((str(c.id) if c.id in cut else "", c.path) for c in contours.contours),
        trips=tuple(_trips(results, index)),
        bounds_mm=contours.bounds_mm,
        unit=unit,
    )


def _trips(results: Results, index: int) -> list[Trip]:
    states = _states(results)
    out = []
    for one, state in zip(results.plan.passes, states, strict=True):
        path = one.toolpath
        if path.drawing == index and path.level == 0:
            finishing = path.wall_stock_mm <= 0.0
            diameter = path.mounted.diameter_mm
            out.append(Trip(path.entry, path.cut, path.exit, diameter, finishing, state))
    return out


def _states(results: Results) -> list[str]:
    """Return the state of every pass, in the order of the plan."""
    reports: dict[tuple[int, int], list[PassReport]] = {
        (c.drawing, c.id): list(c.passes) for c in results.report.contours
    }
    found = []
    for one in results.plan.passes:
        mine = reports[one.toolpath.drawing, one.toolpath.contour_id]
        found.append(mine.pop(0).state.value)
    return found


def sheet_pictures(results: Results, system: UnitSystem) -> tuple[SheetPicture, ...]:
    """Return a picture of every sheet that differs from the one before it."""
    out: list[SheetPicture] = []
    alike: list[list[int]] = []
    sheets = results.layout.sheets
    for index, sheet in enumerate(sheets):
        if alike and sheets[alike[-1][-1]] == sheet:
            alike[-1].append(index)
        else:
            alike.append([index])
    for group in alike:
        out.append(_sheet(results, sheets[group[0]], group, system))
    return tuple(out)


def _sheet(
    results: Results, sheet: SheetLayout, group: list[int], system: UnitSystem
) -> SheetPicture:
    which = f"Sheet {group[0] + 1}" if len(group) == 1 else f"Sheets {group[0] + 1}-{group[-1] + 1}"
    wide, high = (show(side, "mm", system) for side in sheet.size_mm)
    outlines, tags = [], []
    for number, copy in enumerate(sheet.copies, 1):
        contours = results.contours[copy.drawing]
        outlines += [_on_sheet(c.path, copy) for c in contours.contours]
        x0, y0, x1, y1 = contours.bounds_mm
        middle = placed(np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0]), copy)
        tags.append((str(number), (float(middle[0]), float(middle[1]))))
    return SheetPicture(
        caption=(
            f"{which} of {len(results.layout.sheets)}, {wide} by {high}, seen from above; the "
            "half-filled ring is the zero; the numbers are those of the copies."
        ),
        size_mm=sheet.size_mm,
        outlines=tuple(outlines),
        tags=tuple(tags),
        unit=in_system(1.0, "mm", system)[1],
    )


def _on_sheet(path: Path, copy: Copy) -> Path:
    points = np.array([placed(point, copy) for point in path.points])
    return Path(points, path.bulges, path.closed)
