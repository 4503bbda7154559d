"""Units at the edges: text in, text out.

Inside the program a quantity is a plain float whose name ends in its unit (`depth_mm`,
`feed_speed_mm_min`); `SUFFIXES` lists the endings.
"""

from core.units.reading import parse, parse_list, parse_size
from core.units.showing import MINUS, UnitSystem, duration, in_system, number, show
from core.units.words import KINDS, SUFFIXES, convert, kind_of

__all__ = [
    "KINDS",
    "MINUS",
    "SUFFIXES",
    "UnitSystem",
    "convert",
    "duration",
    "in_system",
    "kind_of",
    "number",
    "parse",
    "parse_list",
    "parse_size",
    "show",
]
