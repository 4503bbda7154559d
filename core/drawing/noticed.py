"""What was noticed while reading: damage, what is hidden or unknown, what became lines and arcs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from core.drawing.curves import FLATTENING_TOLERANCE_MM
from core.drawing.placing import Conic
from core.errors import Finding, Severity

if TYPE_CHECKING:
    from collections import Counter

    from core.drawing.blocks import Flat
    from core.drawing.placing import Shapes


def damage_findings(damage: tuple[str, ...], nonsense: int) -> tuple[Finding, ...]:
    """Return what has to be said about a damaged file.

    Parameters
    ----------
    damage : tuple of str
        What the repairing loader mended; empty for a sound file.
    nonsense : int
        Entities whose coordinates are no numbers of this world.
    """
    out = []
    if damage:
        out.append(
            Finding(
                "damaged-file",
                Severity.TIGHT,
                f"The file is damaged ({damage[0]}) and was read with repairs: "
                "compare it with the original, something may be missing.",
            )
        )
    if nonsense:
        out.append(
            Finding(
                "unknown-entity",
                Severity.TIGHT,
                f"{nonsense} entities hold numbers that make no shape or lie beyond all bounds; "
                "they are left out. Save the drawing again.",
            )
        )
    return tuple(out)


def left_out_findings(flat: Flat, hidden_layers: tuple[str, ...]) -> tuple[Finding, ...]:
    """Return what is not cut though the file holds it."""
    out = []
    if hidden_layers:
        names = ", ".join(repr(name) for name in hidden_layers)
        out.append(
            Finding(
                "frozen-layer",
                Severity.NOTE,
                f"Hidden by the drawing (frozen or off) and left out: {names}.",
            )
        )
    if flat.unknown:
        out.append(
            Finding(
                "unknown-entity",
                Severity.TIGHT,
                f"Left out, as this program cannot read them: {counted(flat.unknown)}. "
                "Turn them into lines and arcs in the drawing program if they are to be cut.",
            )
        )
    if flat.notes["tilted"]:
        out.append(
            Finding(
                "unknown-entity",
                Severity.TIGHT,
                f"{flat.notes['tilted']} entities are tilted against the drawing's plane and are "
                "taken as seen from above.",
            )
        )
    out += [
        Finding("block-bound", Severity.OUTSIDE, f"Block {name!r} {why}; it is left out.")
        for name, why in flat.refused
    ]
    return tuple(out)


def flattening_findings(
    shapes: Shapes, deviation: float, mm_per_unit: float
) -> tuple[Finding, ...]:
    """Return the note on splines and ellipses that were turned into lines and arcs."""
    if not shapes.curves:
        return ()
    ellipses = sum(isinstance(c.curve, Conic) for c in shapes.curves)
    first = shapes.curves[0]
    anchor = first.curve.centre if isinstance(first.curve, Conic) else first.curve.control[0]
    x, y = (first.placement(np.asarray(anchor)) * mm_per_unit).tolist()
    return (
        Finding(
            "flattened-spline",
            Severity.NOTE,
            f"{len(shapes.curves) - ellipses} splines and {ellipses} ellipses became lines and "
            f"arcs that stray {deviation * mm_per_unit:.4f} mm at most "
            f"({FLATTENING_TOLERANCE_MM} mm allowed).",
            at_mm=(x, y),
            repaired=True,
        ),
    )


def nothing_findings(row_count: int, flat: Flat) -> tuple[Finding, ...]:
    """Return the finding for a drawing without any outline."""
    if row_count:
        return ()
    held = flat.left_out + flat.unknown
    what = f"it holds {counted(held)}" if held else "its modelspace is empty"
    hidden = "; everything else lies on hidden layers" if flat.shapes.weight else ""
    return (
        Finding(
            "nothing-to-cut",
            Severity.OUTSIDE,
            f"The drawing has no outline to cut: {what}{hidden}. "
            "Draw outlines as lines, arcs, circles, polylines or splines.",
        ),
    )


def counted(types: Counter[str]) -> str:
    """Return "3 TEXT, 1 HATCH"."""
    return ", ".join(f"{count} {kind}" for kind, count in sorted(types.items()))
