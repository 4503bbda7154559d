"""Every float of a record in core says its unit in its name, or stands here as a plain number."""

import dataclasses
import importlib
import pkgutil
import re

import pytest

import core
from core.units import SUFFIXES, kind_of

PLAIN_ENDINGS = {
    *(
        "share",
        "share_thin",
        "ratio",
        "factor",
        "coefficient",
        "sd",
        "turns",
        "revolutions",
        "slope",
        "hot",
    ),
    *("diameter", "per_unit", "per_effusivity", "heat", "deeper", "recut", "none", "suction"),
    *("blast", "teeth", "lift", "wear", "effort", "power", "wedge", "warmed", "thinnest"),
    "weight",
    "times",
    "count",
    *("steps", "covariance"),
}
"""Last words of names that hold a plain number (a share, a ratio, a factor, a count)."""

UNIT_IS_BESIDE_IT = {
    *("Explained", "Input", "Bound", "Limit", "Sourced", "RangeEntry", "ChipLoadEntry"),
    *("Spread", "Spreads", "Band", "MarginBand", "Estimate", "Column", "Standing"),
    *("FittedEntry", "Observation", "Coefficient"),
}
"""Records whose unit stands in another field, or in the name of the field that holds the record."""

IN_DRAWING_UNITS = {
    *("Conic", "Spline", "Placement", "Shapes", "Samples", "Insert", "Shown"),
    *("Segments", "Path", "Section"),
    *("Measures", "Flattened", "Moves", "Event"),
}
"""Geometry before its unit is known, or rows of x and y that their docstring gives in mm."""

METRES_BY_NAME = {"metres_cut"}

FLOATS = re.compile(r"(float|tuple\[float|NDArray\[np\.float)")


def records():
    for found in pkgutil.walk_packages(core.__path__, "core."):
        for kind in vars(importlib.import_module(found.name)).values():
            is_record = isinstance(kind, type) and dataclasses.is_dataclass(kind)
            if is_record and kind.__module__ == found.name and not kind.__name__.startswith("_"):
                yield kind


def carries_its_unit(name):
    return any(name == ending or name.endswith(f"_{ending}") for ending in SUFFIXES)


def is_plain(name):
    return any(name == ending or name.endswith(f"_{ending}") for ending in PLAIN_ENDINGS)


def test_every_float_field_carries_its_unit_or_is_a_plain_number():
    unnamed = [
        f"{kind.__module__}.{kind.__name__}.{field.name}"
        for kind in records()
        if kind.__name__ not in UNIT_IS_BESIDE_IT | IN_DRAWING_UNITS
        for field in dataclasses.fields(kind)
        if FLOATS.match(str(field.type))
        and not carries_its_unit(field.name)
        and not is_plain(field.name)
        and field.name not in METRES_BY_NAME
    ]
    assert unnamed == []


def test_the_walk_sees_the_records_and_would_catch_a_bare_name():
    assert {"Job", "Material", "Machine", "Pass"} <= {kind.__name__ for kind in records()}
    assert not carries_its_unit("speed")
    assert not is_plain("speed")


@pytest.mark.parametrize("unit", sorted(set(SUFFIXES.values())))
def test_every_ending_stands_for_a_unit_that_is_known(unit):
    assert kind_of(unit)
