"""Proof that a program cuts what the plan wants, in its order, along its ways, with its feeds."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from core.handover.complaints import Complaint
from core.handover.follow import slack_mm, strayed

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from core.handover.planned import Run
    from core.handover.runs import ReadRun
    from core.library.nc_records import NcSettings

TOLERANCE_MM = 0.01
NOWHERE_MM = 1e-9
FEED_SHARE = 0.001
"""A feed may differ by this share and by one step of its last digit."""


def follows_the_plan(
    read: Sequence[ReadRun], planned: Sequence[Run], nc: NcSettings
) -> Iterator[Complaint]:
    """Yield what is cut otherwise than planned.

    Parameters
    ----------
    read, planned : sequences of runs
        What the program does, and what the plan wants.
    nc : NcSettings
        Its digits say how finely a feed can be written.
    """
    if len(read) != len(planned):
        yield Complaint("order", f"{len(read)} cuts where the plan has {len(planned)}")
    for one, wanted in zip(read, planned, strict=False):
        yield from _run(one, wanted, nc)


def _run(one: ReadRun, wanted: Run, nc: NcSettings) -> Iterator[Complaint]:
    # a move that goes nowhere has neither a way nor a feed
    goes = one.moves.length_mm > NOWHERE_MM
    if not goes.any():
        yield Complaint("path", "a cut that goes nowhere", int(one.moves.line[0]))
        return
    one = replace(one, moves=one.moves.part(goes))
    longer = float(one.moves.length_mm.sum() - wanted.moves.length_mm.sum())
    if abs(longer) > slack_mm(one.moves, wanted.moves):
        words = f"the way is {longer:+.3f} mm longer than the plan's"
        yield Complaint("path", words, int(one.moves.line[0]))
    there = strayed(one.moves, wanted.moves)
    back = strayed(wanted.moves, one.moves)
    yield from _worst(one, there.distance_mm, "strays by {:.3f} mm from where the plan runs")
    missed = int(np.argmax(back.distance_mm))
    if back.distance_mm[missed] > TOLERANCE_MM:
        line = int(one.moves.line[min(int(back.beside[missed]), len(one.moves) - 1)])
        far = float(back.distance_mm[missed])
        yield Complaint("path", f"leaves out a way of the plan, by {far:.3f} mm", line)
    if there.distance_mm.max() <= TOLERANCE_MM:
        yield from _feeds(one, wanted, there.beside, nc)


def _worst(one: ReadRun, distance_mm: NDArray[np.float64], words: str) -> Iterator[Complaint]:
    worst = int(np.argmax(distance_mm))
    far = float(distance_mm[worst])
    if not far <= TOLERANCE_MM:
        yield Complaint("path", words.format(far), int(one.moves.line[worst]))


def _feeds(
    one: ReadRun, wanted: Run, beside: NDArray[np.intp], nc: NcSettings
) -> Iterator[Complaint]:
    unit_mm = 25.4 if nc.length_unit == "in" else 1.0
    planned = wanted.moves.feed_mm_min[beside]
    allowed = FEED_SHARE * planned + unit_mm * 10.0**-nc.feed_decimals
    off = np.abs(one.moves.feed_mm_min - planned) - allowed
    worst = int(np.argmax(off))
    if off[worst] > 0.0:
        yield Complaint(
            "feed",
            f"a feed of {one.moves.feed_mm_min[worst]:.1f} mm/min where the plan has "
            f"{planned[worst]:.1f}",
            int(one.moves.line[worst]),
        )
