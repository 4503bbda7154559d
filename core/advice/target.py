"""What advice is asked about: one limit of one contour, with what is needed to think of changes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from core.report.pass_text import bare_name

if TYPE_CHECKING:
    from core.advice.edits import Alike, ContourKey
    from core.library.records import MountedCutter
    from core.library.shelf import Shelf
    from core.pipeline import Results
    from core.plan.records import Pass
    from core.report.records import ContourReport, Limit


@dataclass(frozen=True, eq=False, slots=True)
class Target:
    """One limit of one pass.

    Parameters
    ----------
    results : Results
        The job as it is.
    shelf : Shelf
        What it chooses from.
    contour : ContourReport
        The contour.
    place : int
        The pass, counted in the contour.
    limit : Limit
        The limit.
    """

    results: Results
    shelf: Shelf
    contour: ContourReport
    place: int
    limit: Limit

    @property
    def where(self) -> ContourKey:
        """Drawing and id of the contour."""
        return self.contour.drawing, self.contour.id

    @property
    def one(self) -> Pass:
        """The pass in the plan."""
        return self.results.plan.passes[self.contour.passes.indices[self.place]]

    @property
    def mounted(self) -> MountedCutter:
        """Its cutter."""
        return self.one.toolpath.mounted

    @property
    def role(self) -> str:
        """Which choice of the job puts the cutter there: "rough", "finish" or "hole"."""
        path = self.one.toolpath
        return "hole" if path.wall_inside else path.step.cutter

    @property
    def alike(self) -> Alike:
        """The contour, and those of the same form that are cut the same way."""
        mine = _form(self.contour)
        return tuple((c.drawing, c.id) for c in self.results.report.contours if _form(c) == mine)

    @property
    def reached_mm_s(self) -> float:
        """Highest speed that the machine reaches along the pass. [mm/s]."""
        return reached_mm_s(self.results, self.contour.passes.indices[self.place])


def reached_mm_s(results: Results, index: int) -> float:
    """Return the highest speed that the machine reaches along a pass. [mm/s]."""
    along = results.motion.along
    part = slice(int(along.first[index]), int(along.first[index + 1]))
    return float(np.max(along.speed_mm_s[part], initial=0.0))


def _form(contour: ContourReport) -> tuple[str, str, float]:
    return bare_name(contour.name), contour.task, round(contour.length_mm, 3)
