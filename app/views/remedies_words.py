"""Remedies in words: what a limit means on the part, and what a remedy's button says.

The headline is the consequence, the cause follows with actual and limit. What a remedy does and
costs are the words of the core, the same that the command line prints.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.numbers import in_units
from app.widgets.limit_list import limit_words
from core.advice.words import faster_text, follows_lines, remedy_text

if TYPE_CHECKING:
    from core.advice.records import FasterWay, Remedy
    from core.advice.spindle_follows import SpindleFollows
    from core.report.records import Limit, PassReport
    from core.units import UnitSystem

_HEAT = {
    "heat of the chip": "The chip may weld to the cutter and smear the wall.",
    "heat of the wall": "The wall may soften and smear.",
    "heat of the cutter": "The cutter may grow hot enough to gum up.",
    "heat, the cutter warm": "The chip may weld or the wall smear: thicker chips carry more heat.",
}
CONSEQUENCES = {
    "rubbing": "The edge may rub where it should cut, and heat the wall.",
    "chip_load_low": "The chips are thin: they carry little heat away.",
    "chip_load_high": "The chips are thick: the edge may chip the sheet.",
    "chip_packing": "The chips of one turn hardly fit between the edges and may pack.",
    "spindle_power": "The spindle may slow down in the cut.",
    "cutting_length": "The cutting edge may be too short: the shank would rub.",
    "floor_skin": "The skin under the part may be cut through.",
    "bending": "The cutter bends: the wall may not stand where it is drawn.",
    "hold_down": "The piece may come loose while it is cut.",
    "feed_marks": "The feed may leave marks that can be felt on the wall.",
    "balance": "The holder may shake at this speed.",
    "maker_speed": "The cutter turns faster than its maker allows.",
    "spindle_high": "The spindle cannot turn that fast.",
    "spindle_low": "The spindle cannot turn that slowly.",
    "machine_feed": "The machine cannot move that fast.",
}
"""What it means on the part or the machine when a limit is near or crossed."""


def headline(name: str, label: str) -> str:
    """Return the consequence of a limit, by its name and its words."""
    if name == "heat":
        return _HEAT.get(label, "Something in the cut may soften.")
    return CONSEQUENCES.get(name, f"{label[:1].upper()}{label[1:]}.")


def cause(step: str, limit: Limit, cut_pass: PassReport, system: UnitSystem) -> str:
    """Return the cause with actual and limit, and what makes the heat, where it is that."""
    because = ""
    if limit.name == "heat" and cut_pass.heat_cause not in (None, "nothing stands out"):
        because = f", because of {cut_pass.heat_cause}"
    return in_units(f"{step}, {limit.label}: {limit_words(limit, system)}{because}.", system)


def remedy_result(remedy: Remedy, system: UnitSystem) -> str:
    """Return what a remedy does, costs, needs and makes worse, in one line."""
    return _after(remedy_text(remedy, system), remedy.edit.name, system)


def way_result(way: FasterWay, system: UnitSystem) -> str:
    """Return what a way to go faster gains, costs, needs and runs into, in one line."""
    return _after(faster_text(way), way.edit.name, system)


def follows_result(offer: SpindleFollows, system: UnitSystem) -> str:
    """Return what it is worth to let the spindle follow the contours."""
    first, *rest = follows_lines(offer)
    return "\n".join([_after(first, offer.edit.name, system), *(in_units(r, system) for r in rest)])


def _after(line: str, name: str, system: UnitSystem) -> str:
    """Return a line of the core without the name that stands on the button already."""
    return in_units(line.removeprefix(f"{name}: "), system)
