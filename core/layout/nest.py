"""Nests parts on the rack's sheets: a first layout at once, then the best of several methods.

`first_layout` answers within a moment. `nest` goes on: the same by boxes in several ways, then a
search over the order in which the parts are tried. Each is checked on its own before it counts, and
the same task always gives the same layout.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import Finding, Severity
from core.layout.nest_bitmap import BitmapFiller
from core.layout.nest_check import collisions
from core.layout.nest_offcuts import offcuts, stock_bound_mm2
from core.layout.nest_records import NestedSheet, Nesting
from core.layout.nest_rectangles import FITS, BoxFiller
from core.layout.nest_search import SORTS, improved, lay_out, sorted_order

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from core.layout.nest_fill import Filler, Order
    from core.layout.nest_records import NestTask
    from core.layout.nest_search import Candidate

FEWEST_CELLS, MOST_CELLS = 60_000, 400_000
"""Cells a sheet is divided into: 7 mm on a sheet of 2440 x 1220 mm, finer for small parts. More
cells cost time in proportion and gain a point or two at most (`tests/studies/nesting_cells.py`)."""

CELLS_ACROSS = 12
"""Cells across the narrow side of a middling part, where the sheet allows it."""

WORK = 4000
"""Parts placed in all while the order is searched; more parts, fewer rounds."""


def first_layout(task: NestTask) -> Nesting:
    """Return the better layout of the two quickest ways: true shapes once, boxes twice.

    Parameters
    ----------
    task : NestTask
        What is nested on what.
    """
    quick = sorted(_quick(task), key=lambda candidate: candidate.value)
    return _nesting(task, next(candidate for candidate in quick if _sound(task, candidate)))


def nest(
    task: NestTask,
    *,
    better: Callable[[Nesting], None] | None = None,
    progress: Callable[[float], None] | None = None,
    enough: Callable[[], bool] | None = None,
    work: int = WORK,
) -> Nesting:
    """Return the best layout of several methods.

    Parameters
    ----------
    task : NestTask
        What is nested on what.
    better : callable or None
        Told every layout that is better than those before it, the first one included.
    progress : callable or None
        Told how far the work is, from 0 to 1.
    enough : callable or None
        Asked now and then; True ends the search with the best layout so far.
    work : int
        Parts placed in all while the order is searched.
    """
    total = max(1, sum(part.quantity for part in task.parts))
    rounds = max(4, min(200, work // total))
    steps = 2 + len(FITS) * len(SORTS) + rounds
    best: Candidate | None = None
    for done, found in enumerate(_candidates(task, rounds), start=1):
        if found is not best and (best is None or found.value < best.value) and _sound(task, found):
            best = found
            if better is not None:
                better(_nesting(task, best))
        if progress is not None:
            progress(min(1.0, done / steps))
        if best is not None and enough is not None and enough():
            break
    assert best is not None
    return _nesting(task, best)


def _cells(task: NestTask) -> int:
    bounds = (part.solid.bounds for part in task.parts)
    sides = sorted(min(x1 - x0, y1 - y0) for x0, y0, x1, y1 in bounds)
    if not sides:
        return FEWEST_CELLS
    cell = sides[len(sides) // 2] / CELLS_ACROSS
    width, height = task.rack[0].stock.size_mm
    return int(min(max(width * height / cell**2, FEWEST_CELLS), MOST_CELLS))


def _quick(task: NestTask) -> Iterator[Candidate]:
    boxes = BoxFiller(task, "leftmost")
    yield _laid_out(task, BitmapFiller(task, _cells(task)), sorted_order(task, "area"))
    yield _laid_out(task, boxes, sorted_order(task, "area"))
    yield _laid_out(task, boxes, sorted_order(task, "short side"))


def _laid_out(task: NestTask, filler: Filler, order: Order) -> Candidate:
    candidate = lay_out(task, filler, order)
    assert candidate is not None  # only a search gives up
    return candidate


def _candidates(task: NestTask, rounds: int) -> Iterator[Candidate]:
    bitmap = BitmapFiller(task, _cells(task))
    ways: list[tuple[Filler, str]] = [(bitmap, "area"), (bitmap, "long side")]
    ways += [(BoxFiller(task, fit), sort) for fit in FITS for sort in SORTS]
    found: list[tuple[Candidate, Filler, Order]] = []
    for filler, sort in ways:
        order = sorted_order(task, sort)
        found.append((_laid_out(task, filler, order), filler, order))
        yield found[-1][0]
    best, filler, order = min(found, key=lambda f: f[0].value)
    if order:
        yield from improved(task, filler, best, order, rounds, seed=len(order))


def _sound(task: NestTask, candidate: Candidate) -> bool:
    """Tell whether nothing collides, apart from what was pinned by hand."""
    pinned = {p.part for p in task.pinned}
    for pattern in candidate.patterns:
        placed = [p for p in pattern.placed if p not in pinned]
        if collisions(task, task.rack[pattern.rack].stock, placed):
            return False
    return True


def _nesting(task: NestTask, candidate: Candidate) -> Nesting:
    sheets = []
    for pattern in candidate.patterns:
        stock = task.rack[pattern.rack].stock
        kept = offcuts(task, stock, pattern.placed)
        sheets.append(NestedSheet(stock, pattern.placed, pattern.repeat, kept, pattern.used_mm))
    placed = {i: part.quantity for i, part in enumerate(task.parts)}
    for part, count in candidate.unplaced:
        placed[part] -= count
    return Nesting(
        sheets=tuple(sheets),
        method=candidate.method,
        unplaced=candidate.unplaced,
        parts_area_mm2=sum(task.parts[i].area_mm2 * count for i, count in placed.items()),
        sheets_area_mm2=sum(s.stock.size_mm[0] * s.stock.size_mm[1] * s.repeat for s in sheets),
        offcuts_area_mm2=sum(
            (x1 - x0) * (y1 - y0) * s.repeat for s in sheets for x0, y0, x1, y1 in s.offcuts_mm
        ),
        bound_mm2=stock_bound_mm2(task, candidate.unplaced),
        findings=(*_unplaced(task, candidate), *_pinned_badly(task, candidate)),
    )


def _unplaced(task: NestTask, candidate: Candidate) -> Iterator[Finding]:
    for index, count in candidate.unplaced:
        part = task.parts[index]
        x0, y0, x1, y1 = part.solid.bounds
        size = f"{x1 - x0:.1f} x {y1 - y0:.1f} mm"
        sheets = ", ".join(sheet.stock.name for sheet in task.rack)
        if _fits_nowhere(task, index):
            code = "larger-than-sheet"
            message = (
                f"{part.name} measures {size} and fits no sheet of the rack inside its margins "
                f"({sheets}); choose a larger sheet, allow more turns or check the drawing's unit."
            )
        else:
            code = "rack-empty"
            message = (
                f"{count} of {part.name} ({size}) find no place: the rack is empty ({sheets}); "
                "add sheets to it or cut fewer."
            )
        yield Finding(
            code, Severity.OUTSIDE, message, contour_id=part.contour_id, drawing=part.drawing
        )


def _fits_nowhere(task: NestTask, index: int) -> bool:
    boxes = BoxFiller(task, "leftmost")
    return not any(boxes.fill(sheet.stock, [(index, 1)]).placed for sheet in task.rack)


def _pinned_badly(task: NestTask, candidate: Candidate) -> Iterator[Finding]:
    if not task.pinned:
        return
    for pattern in candidate.patterns:
        yield from collisions(task, task.rack[pattern.rack].stock, pattern.placed)
