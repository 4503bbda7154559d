"""Passes that are alike: they differ in nothing but where they run.

A job of 500 contours has a dozen kinds of passes. What is computed from cutter, step, heights,
bands, speed and feed is computed once a kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from operator import attrgetter
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from core.plan.records import Pass, Toolpath

_SHARED = attrgetter("step", "mounted", "bands", "pecks")
_PLAIN = attrgetter(
    "level",
    "entry_kind",
    "entry_from_mm",
    "wall_side",
    "wall_inside",
    "z_top_mm",
    "z_bottom_mm",
    "wall_stock_mm",
    "floor_stock_mm",
    "flagged",
    "clearing",
    "stage",
    "stop_after",
    "beyond_mm",
    "from_top",
)
_FEED = attrgetter("spindle_speed_rpm", "feed_per_tooth_mm", "feed_speed_mm_min")


@dataclass(frozen=True, eq=False, slots=True)
class Alike:
    """The kinds of p passes.

    Parameters
    ----------
    first : tuple of Pass
        The first pass of each kind.
    kind : int array of shape (p,)
        The kind of each pass.
    """

    first: tuple[Pass, ...]
    kind: NDArray[np.intp]

    def each(self, value: Callable[[Pass], float]) -> NDArray[np.float64]:
        """Return a value of every pass that does not depend on where it runs, shape (p,)."""
        return np.array([value(one) for one in self.first], dtype=np.float64)[self.kind]


def alike(passes: Sequence[Pass]) -> Alike:
    """Return the kinds of some passes; remembered, because one plan is asked for it often."""
    return _alike(tuple(passes))


@lru_cache(maxsize=8)
def _alike(passes: tuple[Pass, ...]) -> Alike:
    known: dict[object, int] = {}
    first: list[Pass] = []
    kind = []
    for one, path in zip(passes, _paths_alike(tuple(p.toolpath for p in passes)), strict=True):
        number = known.setdefault((path, _FEED(one)), len(first))
        if number == len(first):
            first.append(one)
        kind.append(number)
    return Alike(tuple(first), np.array(kind, dtype=np.intp))


@lru_cache(maxsize=8)
def _paths_alike(toolpaths: tuple[Toolpath, ...]) -> tuple[int, ...]:
    """Return a number for each toolpath, the same for those that are alike."""
    known: dict[object, int] = {}
    # the same object is surely alike; equal ones that are not the same make one kind more
    return tuple(
        known.setdefault((*map(id, _SHARED(path)), _PLAIN(path)), len(known)) for path in toolpaths
    )
