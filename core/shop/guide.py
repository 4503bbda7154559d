"""The guided test cuts: what to cut and to measure, with what the card expects to be read.

Three slots at three chip loads give K_tc and K_te (power over removal rate against 1 / h); a slot
of half a minute gives the temperatures of cutter and chips.
"""

from __future__ import annotations

import math
import textwrap
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.errors import CutLogError
from core.heat.estimates import ESTIMATES
from core.heat.pass_table import edge_radius_um
from core.job import Air
from core.plan.feeds import chip_load_range
from core.shop.calibration import CARD, predicted
from core.shop.fit import Model, Observation
from core.shop.records import LoggedCut
from core.units import number, show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from core.library.records import Machine, Material, MountedCutter

SHARES = (0.4, 0.63, 1.0)
"""Chip loads of the three slots, as shares of the middle of the maker's range: a factor of 2.5 from
the thinnest to the thickest, which tells K_tc from K_te."""

DEPTH_SHARE = 0.5
"""Depth of the slots, as a share of the diameter: half of what is cut, so that nothing is strained
while it is being tried (house rule)."""

WARM_S, AFTER_S = 30.0, 2.0
"""How long the slot for the temperatures lasts, some time constants of the cutter; and within what
time the cutter is to be measured. [s]"""

BEFORE = (
    "Before you start: clamp a flat piece over its whole area, away from the cuts. Extract, close "
    "the guards, wear eye protection. The makers of cutter, sheet and machine, local rules and "
    "qualified people come first. Stop at smoke, smell or a chip that melts."
)

WIDTH = 88
"""Of the sheet, in characters."""

ROOM_C = 22.0
"""Room temperature put in for what is expected. [C]"""


def guided_cuts(
    material: Material, mounted: MountedCutter, machine: Machine, headroom_share: float
) -> tuple[LoggedCut, ...]:
    """Return the test cuts as they would be logged, nothing measured yet.

    Parameters
    ----------
    material, mounted, machine
        What is to be calibrated, and on what.
    headroom_share : float
        House rule on the holder's balanced speed.

    Raises
    ------
    CutLogError
        If the material has no coefficients to begin with.
    """
    if material.heat is None:
        raise CutLogError(
            f"{material.name} has no heat coefficients to begin with, so none can be fitted"
        )
    cutter = mounted.cutter
    loads, _ = chip_load_range(mounted, material.key)
    rpm = min(
        headroom_share * mounted.holder.balanced_speed_rpm,
        cutter.highest_spindle_speed_rpm,
        machine.highest_spindle_speed_rpm,
    )
    first = LoggedCut(
        made_on="",
        material=material.key,
        cutter=mounted.key,
        diameter_mm=mounted.diameter_mm,
        tooth_count=cutter.tooth_count,
        stick_out_mm=mounted.stick_out_mm,
        helix=cutter.helix,
        edge_radius_um=edge_radius_um(mounted),
        spindle_speed_rpm=rpm,
        feed_per_tooth_mm=loads.middle_mm,
        radial_width_mm=mounted.diameter_mm,
        axial_depth_mm=round(DEPTH_SHARE * mounted.diameter_mm, 2),
        air=Air.BLAST,
        room_c=ROOM_C,
        cut_s=WARM_S,
        after_s=AFTER_S,
    )
    most = machine.highest_feed_mm_min / (rpm * cutter.tooth_count)
    top = min(loads.middle_mm, most)
    return tuple(replace(first, feed_per_tooth_mm=round(share * top, 4)) for share in SHARES)


def guide_lines(
    material: Material, mounted: MountedCutter, machine: Machine, headroom_share: float
) -> Iterator[str]:
    """Yield the sheet of test cuts as lines of text. Raises as `guided_cuts`."""
    cuts = guided_cuts(material, mounted, machine, headroom_share)
    last = cuts[-1]
    deep, load = show(last.axial_depth_mm, "mm"), show(last.feed_per_tooth_mm, "mm")
    yield f"Test cuts in {material.name} with {mounted.name}, on the {machine.name}"
    yield ""
    yield from textwrap.wrap(BEFORE, WIDTH)
    yield ""
    yield from _step(
        "1. Note the room temperature. Let the spindle run warm. Read its power while it idles at "
        f"{show(last.spindle_speed_rpm, 'rpm')}, the air on: this is --idle."
    )
    yield from _step(
        f"2. Cut three straight slots, {deep} deep in fresh sheet, at that speed. Read the power "
        "in the middle of each, when it is steady:"
    )
    yield "        chip load          feed         expected, less idling"
    for cut in cuts:
        feed, per_tooth = cut.feed_speed_mm_s * 60.0, show(cut.feed_per_tooth_mm, "mm")
        expected = _expected(material, cut, "power", "W")
        yield f"      {per_tooth:>11}  {show(feed, 'mm/min'):>14}         {expected}"
    yield from _step(
        "   Chip loads below the maker's range are for measuring only: keep those slots short."
    )
    yield from _step(
        f"3. At {load}, cut slots side by side without a pause for {show(WARM_S, 's')}. Measure "
        "the heap of fresh chips. Stop the spindle; when it stands still measure the cutter near "
        f"its tip, within {show(AFTER_S, 's')} if you can, and note how long it took. Infrared "
        "thermometers read bright carbide low: blacken a spot."
    )
    yield f"      chips expected   {_expected(material, last, 'chip', 'K')} above the room"
    yield f"      cutter expected  {_expected(material, last, 'cutter', 'K')} above the room"
    yield from _step(
        "4. Look at both edges of a slot along the travel: the right one was climbed, the left one "
        "cut conventionally. Clean, frosted, chipped or smeared?"
    )
    yield "5. Write each slot down:"
    yield f"   panewright log add --material {material.key} --cutter {mounted.key}"
    yield "     --chip-load ... --depth ... --power ... --idle ... [--cutter-temperature ...]"
    yield f"   then: panewright log fit --material {material.key}"


def _step(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="   ")


def _expected(material: Material, cut: LoggedCut, kind: str, unit: str) -> str:
    """Return what the card expects of one measurement, with its 5 to 95 % band."""
    model = Model(material, ESTIMATES, [cut])
    middles, spreads = predicted(model, [Observation(0, kind, 0.0, 0.0)], CARD)
    middle, spread = middles[0], spreads[0] / max(middles[0], 1e-9)
    low, high = middle * math.exp(-1.645 * spread), middle * math.exp(1.645 * spread)
    return f"{_two(middle)} {unit} ({_two(low)} to {_two(high)})"


def _two(value: float) -> str:
    """Return a number with two digits that count."""
    digits = 1 - math.floor(math.log10(value)) if value > 0.0 else 0
    return number(float(np.round(value, digits)), max(digits, 0))
