"""Ways to finish a cut edge, by material; they stand in resources/finishing.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from core.library.files import cited, structured


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """How the edges of some materials may be finished.

    Parameters
    ----------
    materials : tuple of str
        Keys of the materials.
    text : str
        What to do, and what not.
    no : tuple of str
        What is ruled out, in a word or two each.
    sources : tuple of str
        Where it comes from: keys of resources/sources.toml.
    """

    materials: tuple[str, ...]
    text: str
    no: tuple[str, ...]
    sources: tuple[str, ...]

    def __str__(self) -> str:
        """Return it as a line of a report."""
        return f"{self.text} ({'; '.join(map(cited, self.sources))})"


@dataclass(frozen=True, slots=True)
class _Routes:
    route: tuple[Route, ...]


@lru_cache(maxsize=1)
def _routes() -> tuple[Route, ...]:
    text = (resources.files("resources") / "finishing.toml").read_text("utf-8")
    return structured(tomllib.loads(text), _Routes, "finishing.toml").route


def finishing_route(material: str) -> Route | None:
    """Return how the edges of a material may be finished; None where nothing is known.

    Examples
    --------
    >>> "flame" in finishing_route("polycarbonate").no
    True
    """
    return next((route for route in _routes() if material in route.materials), None)
