"""The cut log and what was fitted from it, in words."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import numpy as np

from core.heat.temperatures import margins_k
from core.shop.card import coefficients
from core.shop.fit import Model
from core.shop.records import Edge
from core.units import number, show

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from core.shop.calibration import Calibration
    from core.shop.records import LoggedCut

UNEXPECTED_K = 20.0
"""An edge that smeared where the model has more than this left, or is clean where it has this much
too little, says that something is not modelled. [K]"""

_ORDER = list(Edge)


def log_lines(cuts: Sequence[LoggedCut]) -> Iterator[str]:
    """Yield the log as a table."""
    if not cuts:
        yield "The cut log is empty; 'panewright log sheet' says what to cut."
        return
    for cut in cuts:
        yield (
            f"{cut.number:4d}  {cut.made_on}  {cut.material}, {cut.cutter}: "
            f"{show(cut.spindle_speed_rpm, 'rpm')}, {show(cut.feed_per_tooth_mm, 'mm')}, "
            f"{show(cut.radial_width_mm, 'mm')} wide, {show(cut.axial_depth_mm, 'mm')} deep, "
            f"air {cut.air.value}"
        )
        yield f"      {'; '.join(_measured(cut))}"
        if cut.note:
            yield f"      {cut.note}"


def _measured(cut: LoggedCut) -> Iterator[str]:
    if cut.cutting_power_w is not None:
        yield f"{show(cut.cutting_power_w, 'W')} ({show(cut.power_w or 0.0, 'W')} less idling)"
    if cut.cutter_c is not None:
        after = f"{show(cut.after_s or 0.0, 's')} after {show(cut.cut_s or 0.0, 's')}"
        yield f"cutter {show(cut.cutter_c, '°C')} {after}"
    if cut.chip_c is not None:
        yield f"chips {show(cut.chip_c, '°C')}"
    if cut.edge_climb is not None:
        yield f"climb edge {cut.edge_climb}"
    if cut.edge_conventional is not None:
        yield f"conventional edge {cut.edge_conventional}"


def calibration_lines(found: Calibration) -> Iterator[str]:
    """Yield what the cuts come to, as lines of text."""
    yield f"{found.material.name}, from {found.said}"
    for one in found.refused:
        yield f"  cut {one.number} is not used: {one.reason}"
    yield ""
    yield f"  {'':<50}{'card (5 to 95 %)':>24}{'fitted (5 to 95 %)':>26}"
    for row in coefficients(found):
        label = f"{row.label}, {row.unit}" if row.unit else row.label
        yield f"  {label:<50}{_band(row.before):>24}{_band(row.after):>26}"
    yield ""
    yield (
        f"  Each cut predicted from the others is off by {number(found.fit_error_ratio)} of its "
        f"own error; from the card by {number(found.card_error_ratio)}."
    )
    if found.is_worse_than_none:
        yield "  The fit explains the cuts worse than the card does: the card stays as it is."
    elif found.missing:
        yield "  Not called calibrated yet; the log lacks:"
        yield from (f"    - {what}" for what in found.missing)
    else:
        yield "  Heat of this material is calibrated in this shop."
    yield from (f"  {words}" for words in edge_words(found))


def edge_words(found: Calibration) -> Iterator[str]:
    """Yield which side is the cleaner one, and which edges the model does not explain."""
    pairs = [
        (_ORDER.index(c.edge_climb), _ORDER.index(c.edge_conventional))
        for c in found.cuts
        if c.edge_climb is not None and c.edge_conventional is not None
    ]
    if pairs:
        better = Counter(int(np.sign(climb - conventional)) for climb, conventional in pairs)
        yield (
            f"Edges: the conventional side was the cleaner one in {better[1]} of {len(pairs)} "
            f"cuts, the climb side in {better[-1]}."
        )
    for cut, margin in zip(found.cuts, _margins_k(found), strict=True):
        edges = {cut.edge_climb, cut.edge_conventional} - {None}
        if Edge.SMEARED in edges and margin > UNEXPECTED_K:
            yield (
                f"Cut {cut.number} smeared, though the fitted model has {number(margin, 0)} K "
                "left: something is not modelled there."
            )
        if edges == {Edge.CLEAN} and margin < -UNEXPECTED_K:
            yield (
                f"Cut {cut.number} is clean, though the fitted model is {number(-margin, 0)} K too "
                "hot: it errs to the hot side there."
            )


def _margins_k(found: Calibration) -> list[float]:
    model = Model(found.material, found.estimates, found.cuts)
    c, conditions = model.at(found.fitted.steps[:, None])
    room = np.array([cut.room_c for cut in found.cuts])[:, None]
    least = np.minimum.reduce(np.broadcast_arrays(*margins_k(c, conditions)))
    # the conditions hold a room of 0 C
    return [float(row) for row in (least - room)[:, 0]]


def _band(values: tuple[float, float, float]) -> str:
    low, middle, high = (number(v, 3 if v < 1.0 else 2 if v < 10.0 else 0) for v in values)
    return f"{middle} ({low} to {high})"
