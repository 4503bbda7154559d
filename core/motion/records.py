"""What the motion stage hands on: samples along the main cuts, and the times of everything.

All passes of a job stand one behind the other in flat arrays, so that one numpy call serves
500 contours. m samples, p passes; samples of pass i are `first[i]:first[i + 1]`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False, slots=True)
class Along:
    """Samples along the main cuts (entries and exits left out).

    Parameters
    ----------
    first : int array of shape (p + 1,)
        Where each pass begins.
    pass_index : int array of shape (m,)
        Which pass a sample belongs to.
    s_mm : array of shape (m,)
        Way along the main cut. [mm]
    xy_mm : array of shape (m, 2)
        Cutter centre. [mm]
    curvature_per_mm : array of shape (m,)
        Curvature of the cutter-centre path, left positive. [1/mm]
    speed_mm_s : array of shape (m,)
        Speed reached; 0 only at a full stop. [mm/s]
    time_s : array of shape (m,)
        Time since the main cut of its pass began. [s]
    time_weight_s : array of shape (m,)
        Share of the time that each sample stands for: half of the steps to its neighbours. [s]
    length_weight_mm : array of shape (m,)
        Share of the way: speed times share of the time, which adds up to the way exactly because
        the speed changes evenly with the time between two samples. [mm]
    corner_rad : array of shape (m,)
        Turn of a sharp corner at which the machine stops here, left positive, else 0. [rad]

    Notes
    -----
    Every segment brings its own samples from end to end, so a joint of two segments is two samples
    at one place and time, one with the curvature of each; a stop in a corner is marked on both.
    """

    first: NDArray[np.intp]
    pass_index: NDArray[np.intp]
    s_mm: NDArray[np.float64]
    xy_mm: NDArray[np.float64]
    curvature_per_mm: NDArray[np.float64]
    speed_mm_s: NDArray[np.float64]
    time_s: NDArray[np.float64]
    length_weight_mm: NDArray[np.float64]
    time_weight_s: NDArray[np.float64]
    corner_rad: NDArray[np.float64]

    def of_passes(self, which: NDArray[np.intp]) -> Along:
        """Return the samples of some passes, which are counted anew."""
        count = np.diff(self.first)[which]
        first = np.concatenate([[0], np.cumsum(count)]).astype(np.intp)
        at = np.repeat(self.first[which] - first[:-1], count) + np.arange(first[-1])
        return Along(
            first=first,
            pass_index=np.repeat(np.arange(len(which)), count),
            s_mm=self.s_mm[at],
            xy_mm=self.xy_mm[at],
            curvature_per_mm=self.curvature_per_mm[at],
            speed_mm_s=self.speed_mm_s[at],
            time_s=self.time_s[at],
            length_weight_mm=self.length_weight_mm[at],
            time_weight_s=self.time_weight_s[at],
            corner_rad=self.corner_rad[at],
        )


@dataclass(frozen=True, eq=False, slots=True)
class Motion:
    """How the machine really moves.

    Parameters
    ----------
    along : Along
        Samples along the main cuts.
    cutting_s, entering_s : array of shape (p,)
        Time of the main cut, and of entry plus exit, of each pass. [s]
    cutting_jerk_s : array of shape (p,)
        Time of the main cut with the machine's jerk counted: the upper end of the bracket. [s]
    """

    along: Along
    cutting_s: NDArray[np.float64]
    entering_s: NDArray[np.float64]
    cutting_jerk_s: NDArray[np.float64]
