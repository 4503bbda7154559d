"""The words of the verb `log`: what is written down of a test cut, what is done with the log."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.job import Air
from core.shop.records import Edge

if TYPE_CHECKING:
    import argparse

QUANTITIES = (
    ("spindle_speed", "rpm", "house rule's speed if left out"),
    ("chip_load", "mm", "feed per tooth"),
    ("depth", "mm", "depth of the slot"),
    ("width", "mm", "radial width; the diameter if left out: a slot"),
    ("power", "W", "of the spindle in the cut"),
    ("idle", "W", "of the spindle idling at that speed, the air on"),
    ("cutter_temperature", "°C", "near its tip, after the cut"),
    ("cut_time", "s", "how long the cut had lasted; 30 s if left out"),
    ("after", "s", "how long after it the cutter was measured; 2 s if left out"),
    ("chip_temperature", "°C", "of the heap of fresh chips"),
    ("room", "°C", "room temperature; the machine's if left out"),
)
"""Option, unit of a bare number, meaning."""


def log_options(verb: argparse.ArgumentParser) -> None:
    """Give the verb its own verbs and options."""
    does = verb.add_subparsers(dest="does", metavar="DOES", required=True)
    sheet = does.add_parser("sheet", help="what to cut and to measure, with what to expect")
    add = does.add_parser("add", help="write a test cut down")
    listed = does.add_parser("list", help="show the test cuts")
    fit = does.add_parser("fit", help="fit the coefficients of a material from its cuts")
    remove = does.add_parser("remove", help="take a cut out again")
    for one in (sheet, add, fit):
        one.add_argument("--material", required=True, metavar="KEY")
    for one in (sheet, add):
        one.add_argument("--cutter", required=True, metavar="KEY", help="mounted cutter")
        one.add_argument("--machine", default="light_gantry", metavar="KEY")
    listed.add_argument("--material", metavar="KEY")
    for option, unit, meaning in QUANTITIES:
        needed = option in {"chip_load", "depth"}
        add.add_argument(
            f"--{option.replace('_', '-')}", required=needed, metavar=unit, help=meaning
        )
    add.add_argument("--air", choices=[air.value for air in Air], default=Air.BLAST.value)
    add.add_argument("--climb", choices=[edge.value for edge in Edge], help="edge on the right")
    add.add_argument(
        "--conventional", choices=[edge.value for edge in Edge], help="edge on the left"
    )
    add.add_argument("--fresh", action="store_true", help="the edge was new")
    add.add_argument("--on", metavar="DATE", help="2026-03-05; today if left out")
    add.add_argument("--note", default="", metavar="TEXT")
    remove.add_argument("number", type=int, metavar="N")
    fit.add_argument("--out", metavar="F", help="write the fitted card as a TOML file")
    fit.add_argument("--keep", action="store_true", help="put it into your library")
    for one in (add, listed, fit, remove):
        one.add_argument("--log", metavar="F", help="another log than your own")
