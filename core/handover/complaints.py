"""What a proof has to object to: a kind, the line of the text, and words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Complaint:
    """One objection.

    Parameters
    ----------
    code : str
        Its kind: "words", "order", "path", "feed", "spindle", "cutter", "air", "rapid", "stop",
        "travel", "depth", "gouge", "uncut", "held", "holder", "zone", "end".
    message : str
        What is wrong.
    line : int
        Line of the text, from 1; 0 where it is about the whole program.
    """

    code: str
    message: str
    line: int = 0

    def __str__(self) -> str:
        """Return it as a line of a report."""
        return f"line {self.line}: {self.message}" if self.line else self.message
