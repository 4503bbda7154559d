"""Unit words, what they measure, and how many of one are one of another.

The only module that talks to pint: it is asked for a factor and an offset once a pair of units,
never for a formula and never to read text, and loads when that is first needed.

Terms: a *word* is a unit as people write it ("mm/min"); its *kind* is what it measures.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from core.errors import UnitError

if TYPE_CHECKING:
    from pint import UnitRegistry

KINDS: dict[str, dict[str, str]] = {
    "length": {
        **dict.fromkeys(("mm", "MM", "millimetre", "mm/tooth"), "mm"),
        **dict.fromkeys(("µm", "μm", "um"), "micrometer"),
        **dict.fromkeys(("in", "IN", "inch", "inches", '"', "″", "”", "in/tooth"), "inch"),
        **dict.fromkeys(("ft", "foot", "feet"), "foot"),
        **{"cm": "cm", "m": "m", "thou": "thou"},
    },
    "area": {
        **dict.fromkeys(("mm2", "mm²"), "mm**2"),
        **dict.fromkeys(("m2", "m²"), "m**2"),
        **{"cm2": "cm**2", "in2": "inch**2", "ft2": "foot**2"},
    },
    "volume": {"mm3": "mm**3", "cm3": "cm**3", "in3": "inch**3"},
    "turning speed": {
        **dict.fromkeys(("rpm", "RPM", "1/min", "rev/min"), "rpm"),
        "krpm": "kilorpm",
    },
    "turning acceleration": {"rpm/s": "rpm/s"},
    "speed": {
        **{"mm/min": "mm/min", "mm/s": "mm/s", "m/min": "m/min", "m/s": "m/s"},
        **{"in/min": "inch/min", "in/s": "inch/s", "ft/min": "foot/min"},
    },
    "acceleration": {
        **dict.fromkeys(("m/s2", "m/s²"), "m/s**2"),
        **dict.fromkeys(("mm/s2", "mm/s²"), "mm/s**2"),
        "in/s2": "inch/s**2",
    },
    "jerk": {"m/s3": "m/s**3", "mm/s3": "mm/s**3"},
    "temperature": {
        **dict.fromkeys(("°C", "degC", "C"), "degC"),
        **dict.fromkeys(("°F", "degF", "F"), "degF"),
    },
    "temperature difference": {"K": "kelvin"},
    "power": {"W": "W", "kW": "kW", "hp": "hp"},
    "pressure": {
        **{"kPa": "kPa", "bar": "bar", "psi": "psi", "Pa": "Pa", "inHg": "inHg", "mbar": "mbar"},
        **{"MPa": "MPa", "N/mm2": "N/mm**2", "GPa": "GPa", "ksi": "ksi"},
    },
    "force": {"N": "N", "lbf": "lbf"},
    "force along an edge": {"N/mm": "N/mm"},
    "stiffness": {"N/µm": "N/micrometer"},
    "time": {
        **{"s": "s", "h": "hour", "ms": "ms", "µs": "microsecond"},
        **dict.fromkeys(("min", "minutes"), "minute"),
    },
    "angle": {**dict.fromkeys(("°", "deg"), "degree"), "rad": "radian"},
    "mass": {"kg": "kg", "g": "g", "lb": "pound"},
    "density": {"kg/m3": "kg/m**3", "g/cm3": "g/cm**3"},
    "specific heat": {"J/(kg.K)": "J/kg/kelvin", "kJ/(kg.K)": "kJ/kg/kelvin"},
    "thermal conductivity": {"W/(m.K)": "W/m/kelvin"},
    "thermal expansion": {"µm/(m.K)": "micrometer/m/kelvin"},
    "removal rate": {"mm3/s": "mm**3/s", "in3/min": "inch**3/min"},
    "rate": {"1/s": "1/s"},
    "curvature": {"1/mm": "1/mm", "1/m": "1/m"},
    "unbalance": {"g.mm": "g*mm"},
    "energy on a surface": {"J/m2": "J/m**2"},
    "heat conductance": {"W/K": "W/kelvin"},
    "heat transfer": {"W/(m2.K)": "W/m**2/kelvin"},
    "diffusivity": {"m2/s": "m**2/s"},
    "plain number": {"": "dimensionless", "%": "percent"},
}
"""What a unit word measures, and pint's name for it."""

SUFFIXES = {
    **{"mm": "mm", "um": "µm", "m": "m", "mm2": "mm2", "mm3": "mm3", "rad": "rad", "deg": "deg"},
    **{"s": "s", "minutes": "min", "minutes_per_sheet": "min", "rpm": "rpm", "rpm_s": "rpm/s"},
    **{"mm3_s": "mm3/s", "per_mm": "1/mm", "per_m": "1/m", "per_s": "1/s", "g_mm": "g.mm"},
    **{"j_m2": "J/m2", "w_k": "W/K", "w_m2k": "W/(m2.K)", "m2_s": "m2/s"},
    **{"mm_min": "mm/min", "mm_s": "mm/s", "m_min": "m/min", "m_s": "m/s"},
    **{"mm_s2": "mm/s2", "mm_s3": "mm/s3", "c": "°C", "k": "K", "w": "W", "n": "N", "kg": "kg"},
    **{"n_mm": "N/mm", "n_mm2": "N/mm2", "n_um": "N/µm", "kpa": "kPa", "kg_m3": "kg/m3"},
    **{"j_kgk": "J/(kg.K)", "w_mk": "W/(m.K)", "um_mk": "µm/(m.K)"},
}
"""Name endings of dimensioned floats that a file or a person may give, and their unit words."""

WORDS = {word: (kind, name) for kind, words in KINDS.items() for word, name in words.items()}


@lru_cache(maxsize=1)
def _registry() -> UnitRegistry[float]:
    from pint import UnitRegistry

    return UnitRegistry()


@lru_cache(maxsize=256)
def _line(have: str, want: str) -> tuple[float, float, float]:
    """Return what to multiply by, to divide by, and to add: pint's names, 15 digits.

    One of the first two is 1, so that 25.4 mm are 1 in and 1 in are 25.4 mm without a remainder.
    """
    quantity = _registry().Quantity
    offset = float(quantity(0.0, have).to(want).magnitude)
    factor = (float(quantity(1e6, have).to(want).magnitude) - offset) / 1e6
    up, down = (factor, 1.0) if factor >= 1.0 else (1.0, 1.0 / factor)
    return float(f"{up:.15g}"), float(f"{down:.15g}"), float(f"{offset:.15g}")


def kind_of(word: str) -> str:
    """Return what a unit word measures ("length"); UnitError if it is not known."""
    try:
        return WORDS[word][0]
    except KeyError:
        raise UnitError(f"{word!r} is not a unit that is known here") from None


def convert(value: float, have: str, want: str) -> float:
    """Return `value` of unit word `have` in unit word `want`.

    Raises
    ------
    UnitError
        If one of them is not known, or they measure different things.

    Examples
    --------
    >>> convert(18.0, "krpm", "rpm"), convert(1.0, "in", "mm")
    (18000.0, 25.4)
    """
    if have == want:
        return value
    if kind_of(have) != kind_of(want):
        raise UnitError(
            f"{have or 'a plain number'} measures a {kind_of(have)}, "
            f"and a {kind_of(want)} is wanted{f' ({want})' if want else ''}"
        )
    if WORDS[have][1] == WORDS[want][1]:
        return value
    up, down, offset = _line(WORDS[have][1], WORDS[want][1])
    return value * up / down + offset
