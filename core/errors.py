"""What can go wrong, as types; and what was noticed in the user's data, as findings.

An exception stops a stage; a finding is something the plan can live with, said with its place.

WorkbenchError
    UnitError           a text is not the quantity it should be     (also a ValueError)
    DrawingError        a drawing cannot be read
    LibraryError        a library file or choice cannot be used
    UnknownNameError    a name is not on the shelf                  (a LibraryError)
    JobFileError        a job file cannot be read or written
    PlanError           the cut cannot be planned as asked
    CutLogError         the cut log, or a cut for it, cannot be used
    Cancelled           the user asked to stop
"""

from __future__ import annotations

import difflib
import enum
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


class WorkbenchError(Exception):
    """Base of every error that a user can cause and mend; one clear line each."""


class UnitError(WorkbenchError, ValueError):
    """A text is not a quantity of the kind that is wanted."""


class DrawingError(WorkbenchError):
    """A drawing cannot be read."""


class LibraryError(WorkbenchError):
    """A library file holds something that cannot be used.

    Attributes
    ----------
    file : str
        The file's name on the shelf.
    problems : tuple of str
        One line a problem, each ending in the path to the entry.
    """

    def __init__(self, file: str, problems: tuple[str, ...]) -> None:
        super().__init__(f"{file}: " + "; ".join(problems))
        self.file = file
        self.problems = problems


class UnknownNameError(LibraryError):
    """A name is not on the shelf; says the nearest spellings (those of `also` too) and the list."""

    def __init__(
        self, kind: str, name: str, known: Iterable[str], also: Iterable[str] = ()
    ) -> None:
        names = sorted(known)
        spellings = {*names, *also}
        near = difflib.get_close_matches(name.casefold(), spellings, n=3, cutoff=0.4)
        hint = f"did you mean {' or '.join(map(repr, near))}? " if near else ""
        super().__init__(
            kind, (f"no {kind} is called {name!r}; {hint}On the shelf: {', '.join(names)}",)
        )


class JobFileError(WorkbenchError):
    """A job file cannot be read or written."""


class PlanError(WorkbenchError):
    """The cut cannot be planned as asked."""


class CutLogError(WorkbenchError):
    """The cut log, or a cut that is to go into it, cannot be used."""


class Cancelled(WorkbenchError):  # noqa: N818 - a request, not a fault
    """The user asked to stop; nothing was changed."""


class Severity(enum.StrEnum):
    """How much a finding weighs; the same three words as the state of a limit."""

    OUTSIDE = "outside"
    TIGHT = "tight"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about the user's data that was noticed and could be lived with.

    Parameters
    ----------
    code : str
        The kind of finding, from a fixed list, in kebab-case.
    severity : Severity
        How much it weighs.
    message : str
        Cause, consequence and remedy in one or two sentences.
    at_mm : (float, float) or None
        Its place in drawing coordinates. [mm]
    repaired : bool
        Whether the program already mended it.
    contour_id : int or None
        The contour that it belongs to.
    drawing : int
        Index of the drawing in the job.
    """

    code: str
    severity: Severity
    message: str
    at_mm: tuple[float, float] | None = None
    repaired: bool = False
    contour_id: int | None = None
    drawing: int = 0
