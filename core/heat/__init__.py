"""Heat: chip, wall and cutter body, how sure that is, and what makes it hot."""

from core.heat.assessment import assess
from core.heat.estimates import ESTIMATES, Estimate, Estimates
from core.heat.milled import assess_milled
from core.heat.pass_heats import PassHeats
from core.heat.records import MarginBand, PassHeat, state_word

__all__ = [
    "ESTIMATES",
    "Estimate",
    "Estimates",
    "MarginBand",
    "PassHeat",
    "PassHeats",
    "assess",
    "assess_milled",
    "state_word",
]
