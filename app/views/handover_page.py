"""Pages about a program: its proof as it was found, or why none is written."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from app.numbers import in_units
from core.handover.proof_text import proof_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from core.handover.proof_text import Told
    from core.units import UnitSystem

_FOR_THE_SHELL = "; change it, or say --accept"
"""Where a reason begins to speak to somebody at a command line."""


def refusal_page(reasons: Sequence[str], system: UnitSystem) -> tuple[str, str]:
    """Return title and Markdown of why no program is written."""
    told = [in_units(reason.partition(_FOR_THE_SHELL)[0].strip(), system) for reason in reasons]
    lines = [
        "No file was written. What stands against it:",
        "",
        *(f"- {_plain(reason)}" for reason in told if reason),
        "",
        "A limit that is outside has its card under the first question: apply one of its remedies, "
        "or accept it there with a note that is printed on the setup sheet.",
    ]
    return "No NC program", "\n".join(lines)


def proof_page(told: Told) -> tuple[str, str]:
    """Return title and Markdown of the proof of a job's programs."""
    lines = [
        "The text was read back as the machine's file defines its words, and held against the "
        "plan and the parts. The proof is of this text and this plan alone: the first part, the "
        "zero and the clamps are yours to check.",
        "",
    ]
    for line in proof_text(told).splitlines():
        is_head = not line.startswith(" ")
        lines.append(f"**{_plain(line)}**" if is_head else f"- {_plain(line.strip())}")
        lines += [""] if is_head else []
    return "Proof of the NC program", "\n".join(lines)


def _plain(text: str) -> str:
    """Return text that Markdown shows as it is."""
    return html.escape(text, quote=False).replace("*", "\\*").replace("_", "\\_")
