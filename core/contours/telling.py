"""Turns what was mended or is doubtful into findings: one a place, and one for the rest of many."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.errors import Finding, Severity

if TYPE_CHECKING:
    from collections.abc import Iterable

MOST_LISTED = 20
"""Places of one kind that are listed singly; nobody walks through more."""


def listed(
    code: str,
    severity: Severity,
    sentence: str,
    places: Iterable[tuple[float, float]],
    *,
    repaired: bool = False,
) -> list[Finding]:
    """Return one finding a place, and one that counts what goes beyond the list.

    Parameters
    ----------
    code, severity, repaired
        As in the finding.
    sentence : str
        What is said at every place.
    places : iterable of (float, float)
        Where. [mm]
    """
    spots = list(places)
    out = [
        Finding(code, severity, sentence, (float(x), float(y)), repaired)
        for x, y in spots[:MOST_LISTED]
    ]
    if len(spots) > MOST_LISTED:
        more = len(spots) - MOST_LISTED
        x, y = spots[MOST_LISTED]
        out.append(
            Finding(
                code,
                severity,
                f"{sentence} The same at {more} more places, {len(spots)} in all.",
                (float(x), float(y)),
                repaired,
            )
        )
    return out


def mended(
    code: str,
    refused: frozenset[str],
    done: str,
    left: str,
    places: Iterable[tuple[float, float]],
) -> list[Finding]:
    """Return findings of a repair, or of what is left as it is where the user refused it."""
    if code in refused:
        return listed(code, Severity.TIGHT, left, places)
    return listed(code, Severity.NOTE, done, places, repaired=True)
