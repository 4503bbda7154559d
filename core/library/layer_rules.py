"""Layer rules on the shelf: what a shop's layer names mean, as data.

A rule holds for layers whose name fits one of its patterns, shell-style wildcards in any case; the
first rule that fits is the one that holds. It gives the layer's contours a task, or leaves the
layer out.
"""

from __future__ import annotations

from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from core.errors import LibraryError
from core.job.job import Task
from core.library.entries import Entry
from core.library.files import cited

if TYPE_CHECKING:
    from core.library.files import EntryFile

LONGEST_PATTERN = 255
"""As long as a layer's name can be."""


@dataclass(frozen=True, slots=True)
class LayerRule:
    """One rule.

    Parameters
    ----------
    layers : tuple of str
        Patterns of layer names.
    task : Task or None
        What is done along the contours of such a layer; None with `leave_out`.
    leave_out : bool
        Whether the layer is dropped before anything is chained.
    note : str
        Why.
    """

    layers: tuple[str, ...]
    task: Task | None = None
    leave_out: bool = False
    note: str = ""

    def fits(self, layer: str) -> bool:
        """Return whether a layer's name fits one of the patterns."""
        name = layer.casefold()
        return any(fnmatchcase(name, pattern.casefold()) for pattern in self.layers)


@dataclass(frozen=True, slots=True)
class LayerRules:
    """The rules of a shop, the stronger one first."""

    key: str
    name: str
    source: str
    rules: tuple[LayerRule, ...]

    def rule_for(self, layer: str) -> LayerRule | None:
        """Return the rule that holds for a layer, None where none does."""
        return next((rule for rule in self.rules if rule.fits(layer)), None)


NO_RULES = LayerRules("", "no layer rules", "", ())


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerRulesEntry(Entry):
    """A file of layer rules."""

    rules: tuple[LayerRule, ...]


def layer_rules(file: EntryFile) -> LayerRules:
    """Return a file's layer rules.

    Raises
    ------
    LibraryError
        With all its faults and their paths.
    """
    entry = file.entry(LayerRulesEntry)
    problems = [
        f"{fault} @ $.rules[{index}]"
        for index, rule in enumerate(entry.rules)
        for fault in _faults(rule)
    ]
    if problems:
        raise LibraryError(file.label, tuple(problems))
    return LayerRules(file.key, entry.name, cited(entry.source), entry.rules)


def _faults(rule: LayerRule) -> list[str]:
    faults = []
    if not rule.layers:
        faults.append("a rule needs a pattern in layers")
    if any(not 0 < len(pattern.strip()) <= LONGEST_PATTERN for pattern in rule.layers):
        faults.append(f"a pattern has 1 to {LONGEST_PATTERN} letters")
    if rule.leave_out == (rule.task is not None):
        faults.append("a rule needs either a task or leave_out = true")
    return faults
