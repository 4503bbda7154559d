"""From one sheet to all: which sheet is taken next, how often it is repeated, which order is best.

A sheet is filled with what is left, part after part in an order; what lies on it is repeated while
the quantities last. That is the same as trying each part on every sheet begun so far, and takes a
moment for ten thousand copies as for one. The order is then changed a little, again and again, and
a change that saves sheet is kept.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.layout.nest_fill import Filled

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from core.layout.nest_fill import Filler, Order
    from core.layout.nest_records import NestTask, RackSheet
    from core.layout.records import PlacedPart

MOST_SINGLE = 400
"""Up to so many parts each is moved in the order by itself, above that all of a kind together."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One sheet laid out, how often it is cut, and how far along it anything lies. [mm]."""

    rack: int
    placed: tuple[PlacedPart, ...]
    repeat: int
    used_mm: float


@dataclass(frozen=True, slots=True)
class Candidate:
    """A whole layout with its value.

    Parameters
    ----------
    patterns : tuple of Pattern
        The sheets.
    unplaced : tuple of (part, count)
        What found no place.
    spent_mm2 : float
        Area of all sheets by their weight, without the strip that the emptiest one leaves: what
        layouts are compared by. [mm2]
    method : str
        Who found it.
    """

    patterns: tuple[Pattern, ...]
    unplaced: tuple[tuple[int, int], ...]
    spent_mm2: float
    method: str

    @property
    def value(self) -> tuple[int, float]:
        """Less is better: first everything has a place, then little is spent."""
        return sum(count for _, count in self.unplaced), self.spent_mm2


def lay_out(
    task: NestTask, filler: Filler, order: Order, give_up: Candidate | None = None
) -> Candidate | None:
    """Return all parts on sheets in an order, or None where it gets worse than `give_up`."""
    left = [part.quantity for part in task.parts]
    stock = [sheet.count for sheet in task.rack]
    patterns: list[Pattern] = []
    for pattern, counts in _pinned_first(task, filler, order, left, stock):
        _take(left, stock, pattern, counts)
        patterns.append(pattern)
    spent = sum(_area(task, p) for p in patterns)
    while any(left):
        found = _next_sheet(task, filler, _left_of(order, left), left, stock)
        if found is None:
            break
        pattern, counts = found
        _take(left, stock, pattern, counts)
        patterns.append(pattern)
        spent += _area(task, pattern)
        if give_up is not None and spent - _area(task, pattern) > give_up.spent_mm2:
            return None
    unplaced = tuple((part, count) for part, count in enumerate(left) if count)
    strips = [_strip(task, p) for p in patterns]
    return Candidate(tuple(patterns), unplaced, spent - max(strips, default=0.0), filler.name)


def _take(
    left: list[int], stock: list[int | None], pattern: Pattern, counts: dict[int, int]
) -> None:
    for part, count in counts.items():
        left[part] -= count * pattern.repeat
    here = stock[pattern.rack]
    if here is not None:
        stock[pattern.rack] = here - pattern.repeat


def _left_of(order: Order, left: Sequence[int]) -> Order:
    """Return the order with no more of each part than is left of it."""
    rest = list(left)
    kept = []
    for part, count in order:
        some = min(count, rest[part])
        if some:
            kept.append((part, some))
            rest[part] -= some
    return kept


def _next_sheet(
    task: NestTask, filler: Filler, order: Order, left: Sequence[int], stock: Sequence[int | None]
) -> tuple[Pattern, dict[int, int]] | None:
    """Return the sheet that is spent best on what is left."""
    best: tuple[tuple[float, ...], Pattern, dict[int, int]] | None = None
    for rack, sheet in enumerate(task.rack):
        if stock[rack] == 0:
            continue
        filled = filler.fill(sheet.stock, order)
        if not filled.placed:
            continue
        pattern = _pattern(task, rack, filled, left, stock[rack])
        whole = all(filled.counts.get(part, 0) == count for part, count in enumerate(left))
        area = sum(task.parts[part].area_mm2 * n for part, n in filled.counts.items())
        cost = _sheet_area(sheet) * sheet.weight
        # a sheet that takes all that is left ends the job: then the cheapest one, else the fullest
        value = (0.0, cost) if whole else (1.0, cost / area)
        if best is None or value < best[0]:
            best = value, pattern, filled.counts
    return None if best is None else best[1:]


def _pattern(
    task: NestTask, rack: int, filled: Filled, left: Sequence[int], in_stock: int | None
) -> Pattern:
    repeat = min(left[part] // count for part, count in filled.counts.items())
    if in_stock is not None:
        repeat = min(repeat, in_stock)
    return Pattern(rack, tuple(filled.placed), repeat, _used_mm(task, rack, filled.placed))


def _used_mm(task: NestTask, rack: int, placed: Sequence[PlacedPart]) -> float:
    stock = task.rack[rack].stock
    right = max((task.outline(p).bounds[2] for p in placed), default=0.0)
    return min(right + task.kerf_mm, stock.size_mm[0])


def _pinned_first(
    task: NestTask, filler: Filler, order: Order, left: list[int], stock: list[int | None]
) -> Iterator[tuple[Pattern, dict[int, int]]]:
    """Fill up the sheets on which parts are pinned; they are the first of the rack."""
    for number in sorted({p.sheet for p in task.pinned}):
        fixed = [p.part for p in task.pinned if p.sheet == number]
        counts: dict[int, int] = {}
        for pinned in fixed:
            index = task.part_index[pinned.drawing, pinned.contour_id]
            counts[index] = counts.get(index, 0) + 1
        rest = [max(0, count - counts.get(part, 0)) for part, count in enumerate(left)]
        filled = filler.fill(task.rack[0].stock, _left_of(order, rest), fixed)
        for part, count in filled.counts.items():
            counts[part] = counts.get(part, 0) + count
        placed = (*fixed, *filled.placed)
        yield Pattern(0, placed, 1, _used_mm(task, 0, placed)), counts


def _sheet_area(sheet: RackSheet) -> float:
    return sheet.stock.size_mm[0] * sheet.stock.size_mm[1]


def _area(task: NestTask, pattern: Pattern) -> float:
    sheet = task.rack[pattern.rack]
    return _sheet_area(sheet) * sheet.weight * pattern.repeat


def _strip(task: NestTask, pattern: Pattern) -> float:
    sheet = task.rack[pattern.rack]
    width, height = sheet.stock.size_mm
    return (width - pattern.used_mm) * height * sheet.weight


SORTS: dict[str, Callable[[float, float, float], float]] = {
    "area": lambda area, width, height: area,
    "long side": lambda area, width, height: max(width, height),
    "short side": lambda area, width, height: min(width, height),
    "box": lambda area, width, height: width + height,
}
"""What the parts are sorted by to begin with, the largest first."""


def sorted_order(task: NestTask, sort: str) -> Order:
    """Return the parts by size, each by itself where there are few."""
    sizes = []
    for index, part in enumerate(task.parts):
        x0, y0, x1, y1 = part.solid.bounds
        sizes.append((-SORTS[sort](part.area_mm2, x1 - x0, y1 - y0), index))
    order = [(index, task.parts[index].quantity) for _, index in sorted(sizes)]
    if sum(count for _, count in order) > MOST_SINGLE:
        return order
    return [(part, 1) for part, count in order for _ in range(count)]


def improved(
    task: NestTask, filler: Filler, best: Candidate, order: Order, rounds: int, seed: int
) -> Iterator[Candidate]:
    """Yield the best so far, once a round, while the order of the parts is changed a little."""
    chance = random.Random(seed)
    for _ in range(rounds):
        other = list(order)
        for _ in range(chance.choice((1, 1, 2, 3, 5))):
            one, two = chance.randrange(len(other)), chance.randrange(len(other))
            other[one], other[two] = other[two], other[one]
        found = lay_out(task, filler, other, give_up=best)
        # an equal one is kept too: it leads on to others
        if found is not None and found.value <= best.value:
            best, order = found, other
        yield best
