"""What makes a pass hot: each contributor is taken away in turn, and the one that helps most named.

Every removal is the same model with other conditions; nothing is named by a rule of thumb.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.heat.chips import bands_at, hot_chip_mm
from core.heat.cuts import hottest_of
from core.heat.pass_table import fin_and_time, recut_share, wear_factor
from core.heat.risk import least_k
from core.heat.temperatures import taken, wall_rise_k
from core.heat.walls import unstopped
from core.job import Air
from core.library.records import Helix

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from core.heat.cuts import Cuts
    from core.heat.temperatures import Coefficients, Conditions, Touch

LEAST_GAIN_K = 2.0
"""A removal that gains less than this does not stand out. [K]"""

THICK_CHIP = 3.0
"""A chip this many times K_te / K_tc thick spends a third of its shear work on the edge: thick."""

NOTHING = "nothing stands out"

WORDS = {
    "corner": "the stop in the corner",
    "slow": "slowing down on the wall",
    "roll": "rolling about the corner",
    "thin": "thin chip",
    "packed": "packed slot",
    "worn": "worn edge",
    "no air": "no air on the cutter",
    "suction": "suction without an air blast",
    "downshear": "downshear flutes that hold the chip down",
    "straight": "straight flutes that do not lift the chip",
    "speed": "spindle speed",
}
"""Contributors, in words; of two that help the same, the first is named."""


def causes_of(cuts: Cuts, conditions: Conditions, rows: NDArray[np.intp]) -> list[str]:
    """Return, for some passes, the contributor whose removal gains the most, in words.

    Parameters
    ----------
    cuts : Cuts
        All passes.
    conditions : Conditions
        As they are, arrays of shape (p,).
    rows : int array of shape (k,)
        Passes that are asked for.
    """
    without, applies = _without_each(cuts, conditions), _applies(cuts)
    now = least_k(cuts.coefficients, taken(conditions, rows))
    gains = {
        name: np.where(
            applies[name][rows],
            least_k(cuts.coefficients, taken(without[name], rows)) - now,
            -np.inf,
        )
        for name in without
    }
    return most_helpful(gains)


def most_helpful(gains_k: Mapping[str, NDArray[np.float64]]) -> list[str]:
    """Return the words of the greatest gain of each pass, or that nothing stands out.

    Examples
    --------
    >>> most_helpful({"thin": np.array([12.0, 1.0]), "worn": np.array([3.0, 1.5])})
    ['thin chip', 'nothing stands out']
    """
    names = list(gains_k)
    table = np.array(list(gains_k.values()))
    best, gain = table.argmax(axis=0).tolist(), table.max(axis=0).tolist()
    return [
        WORDS[names[number]] if more > LEAST_GAIN_K else NOTHING
        for number, more in zip(best, gain, strict=True)
    ]


def _applies(cuts: Cuts) -> dict[str, NDArray[np.bool_]]:
    """Return which contributor can be there in which pass, shape (p,) each."""
    count = len(cuts.passes)
    corner = np.bincount(cuts.along.pass_index, cuts.along.corner_rad != 0.0, count) > 0
    rolled = np.bincount(cuts.places.pass_index, cuts.places.rolled, count) > 0
    helix = [p.toolpath.mounted.cutter.helix for p in cuts.passes]
    always = np.ones(count, bool)
    return {
        "corner": corner,
        "slow": ~corner,
        "roll": rolled,
        "thin": always,
        "packed": always,
        "worn": always,
        "no air": always & (cuts.air is Air.NONE),
        "suction": always & (cuts.air is Air.SUCTION),
        "downshear": np.array([h is Helix.DOWNSHEAR for h in helix]),
        "straight": np.array([h is Helix.STRAIGHT for h in helix]),
        "speed": always,
    }


def _without_each(cuts: Cuts, conditions: Conditions) -> dict[str, Conditions]:
    """Return the conditions with one contributor after the other taken away."""
    table, estimates, air = cuts.table, cuts.estimates, cuts.air
    off_tip = np.where(cuts.places.rolled | ~cuts.places.exists, 0.0, cuts.wall_k)
    flat = taken(cuts.places.touch, hottest_of(off_tip, cuts.places.pass_index))
    upshear = replace(table, lift=np.ones(len(cuts.passes)))
    blown, _ = fin_and_time(table, estimates.blast_m_s)
    slower, _ = fin_and_time(table, estimates.air_speed_m_s(air), 0.5)
    new_um = np.array([p.toolpath.mounted.cutter.edge_radius_um for p in cuts.passes])
    fresh = np.minimum(wear_factor(cuts.heat, new_um, estimates), table.wear)

    def cleared(share: NDArray[np.float64]) -> Conditions:
        return replace(conditions, recut_share=share)

    unstopped_cut = _without_stops(cuts, conditions)
    lifted = cleared(recut_share(upshear, air, estimates))
    blast = replace(cleared(recut_share(table, Air.BLAST, estimates)), fin_w_k=blown)
    return {
        "corner": unstopped_cut,
        "slow": unstopped_cut,
        "roll": replace(conditions, wall=flat),
        "thin": _with_thick_chips(cuts.coefficients, conditions),
        "packed": cleared(recut_share(table, air, estimates, packs=False)),
        "worn": _with_edge(conditions, fresh),
        "no air": blast,
        "suction": blast,
        "downshear": lifted,
        "straight": lifted,
        "speed": _at_half_speed(conditions, slower),
    }


def _without_stops(cuts: Cuts, conditions: Conditions) -> Conditions:
    """Return the conditions if the machine ran through every corner as the bends allow."""
    table, estimates, runs = cuts.table, cuts.estimates, cuts.runs
    of = runs.pass_index
    bend = np.maximum(np.abs(runs.towards_per_mm), 1e-12)
    speed = np.minimum(table.feed_mm_s[of], np.sqrt(cuts.acceleration_mm_s2 / bend))
    bands = bands_at(cuts.engaged, runs, np.arange(len(of)))
    chip_mm = hot_chip_mm(bands, table, speed, runs.end_mm - runs.start_mm)
    touch = unstopped(runs, table, cuts.engaged.thinnest, speed, estimates)
    rise = np.asarray(wall_rise_k(cuts.coefficients, touch))
    return replace(
        conditions,
        wall=taken(touch, hottest_of(rise, of)),
        chip_thinness_per_m=1e3 / (chip_mm + estimates.thin_chip_mm),
    )


def _with_thick_chips(coefficients: Coefficients, conditions: Conditions) -> Conditions:
    """Return the passes with every chip thick enough to carry its heat away."""
    thick_m = THICK_CHIP * float(coefficients.edge_j_m2) / float(coefficients.cutting_pa)
    most = 1.0 / (thick_m + coefficients.estimates.thin_chip_mm * 1e-3)

    def thick(thinness: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.minimum(thinness, most)

    return replace(
        conditions,
        chip_thinness_per_m=thick(conditions.chip_thinness_per_m),
        contact_thinness_per_m=thick(conditions.contact_thinness_per_m),
        edge_thinness_per_m=thick(conditions.edge_thinness_per_m),
        wall=replace(conditions.wall, thinness_per_m=thick(conditions.wall.thinness_per_m)),
    )


def _with_edge(conditions: Conditions, wear: NDArray[np.float64]) -> Conditions:
    """Return the passes with another edge."""
    return replace(conditions, wear=wear, wall=replace(conditions.wall, wear=wear))


def _at_half_speed(conditions: Conditions, fin_w_k: NDArray[np.float64]) -> Conditions:
    """Return the passes at half the spindle speed and half the feed: the same chip.

    `fin_w_k` is the conductance of the body at that speed.
    """
    wall: Touch = conditions.wall
    slower = replace(
        wall,
        contact_s=wall.contact_s * 2.0,
        dwell_s=wall.dwell_s * 2.0,
        edge_rate_per_s=wall.edge_rate_per_s / 2.0,
    )
    return replace(
        conditions,
        wall=slower,
        contact_per_effusivity=conditions.contact_per_effusivity / np.sqrt(2.0),
        edge_m2_s=conditions.edge_m2_s / 2.0,
        fin_w_k=fin_w_k,
    )
