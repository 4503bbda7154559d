"""Cautions for the end of a report: which ones a plan calls for, each with its source.

They stand in resources/cautions.toml. A plan is an estimate: makers, local rules and qualified
people come first.
"""

from __future__ import annotations

import enum
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from core.library.files import cited, structured

if TYPE_CHECKING:
    from collections.abc import Collection


class When(enum.StrEnum):
    """What makes a caution matter."""

    ALWAYS = "always"
    BRITTLE = "brittle"
    GUARD = "guard"
    BRITTLE_GUARD = "brittle-guard"
    LOOSE_PARTS = "loose-parts"
    DOWNSHEAR = "downshear"
    HOT = "hot"
    NOT_MODELLED = "not-modelled"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution.

    Parameters
    ----------
    key : str
        Stable name.
    title : str
        What it is about, in a word or two.
    text : str
        What to do and who comes first.
    sources : tuple of str
        Where it comes from: keys of resources/sources.toml.
    place : str
        Where in the source.
    when : When
        What makes it matter.
    materials : tuple of str
        Keys of the materials that it is about; empty: every material.
    """

    key: str
    title: str
    text: str
    sources: tuple[str, ...]
    when: When
    place: str = ""
    materials: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Return it as a line of a report."""
        where = [*map(cited, self.sources), *filter(None, [self.place])]
        return f"{self.title}: {self.text} ({'; '.join(where)})"


@dataclass(frozen=True, slots=True)
class _Cautions:
    caution: tuple[Caution, ...]


@lru_cache(maxsize=1)
def cautions() -> tuple[Caution, ...]:
    """Return all cautions in the order in which they are told."""
    text = (resources.files("resources") / "cautions.toml").read_text("utf-8")
    return structured(tomllib.loads(text), _Cautions, "cautions.toml").caution


def cautions_for(material: str, when: Collection[When] = ()) -> tuple[Caution, ...]:
    """Return the cautions of a plan: those that always hold, and those that it calls for.

    Parameters
    ----------
    material : str
        Key of the sheet's material.
    when : collection of When
        What the plan is like.

    Examples
    --------
    >>> [c.key for c in cautions_for("polycarbonate", {When.LOOSE_PARTS})][:2]
    ['estimate', 'loose-parts']
    """
    holds = {When.ALWAYS, *when}
    return tuple(
        caution
        for caution in cautions()
        if caution.when in holds and (not caution.materials or material in caution.materials)
    )
