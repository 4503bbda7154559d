"""Layer rules put to work: layers left out, tasks by layer, and what is told about both.

A rule only speaks where the user has not: a layer that the user keeps is not left out, a contour
with a task by hand keeps it. A task that a contour cannot have (an outside cut along an open line)
is not given to it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from core.contours.records import Kind
from core.errors import Finding, Severity
from core.job.job import Task

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from core.contours.records import Contour
    from core.drawing.records import Layer
    from core.job.job import DrawingFile
    from core.library.layer_rules import LayerRules

ALONG_OPEN_LINES = (Task.ON_LINE, Task.NONE)
INTO_CIRCLES = (Task.BORE, Task.DRILL, Task.COUNTERSINK)

WORDS = {
    Task.OUTSIDE: "cut outside",
    Task.INSIDE: "cut inside",
    Task.ON_LINE: "cut on the line",
    Task.POCKET: "cut as a pocket",
    Task.BORE: "bored",
    Task.DRILL: "drilled",
    Task.EDGE_BREAK: "edges broken",
    Task.COUNTERSINK: "countersunk",
    Task.COUNTERBORE: "counterbored",
    Task.NONE: "not cut",
}
"""What a task does to a contour, in a sentence."""


def layers_left_out(
    layers: Sequence[Layer], file: DrawingFile, rules: LayerRules
) -> tuple[Layer, ...]:
    """Return the layers that a rule leaves out: shown by the drawing and not kept by the user."""
    kept = {name.casefold() for name in file.layers_kept}
    return tuple(
        layer
        for layer in layers
        if not layer.left_out
        and layer.name.casefold() not in kept
        and (rule := rules.rule_for(layer.name)) is not None
        and rule.leave_out
    )


def with_tasks_by_rule(
    contours: tuple[Contour, ...], file: DrawingFile, rules: LayerRules
) -> tuple[tuple[Contour, ...], dict[str, int]]:
    """Return contours with the tasks of their layers, and of each such layer how many had one."""
    by_hand = {choice.contour_id for choice in file.contours if choice.task is not None}
    rule_of = {layer: rules.rule_for(layer) for layer in {c.layer for c in contours}}
    given: Counter[str] = Counter()
    out = []
    for contour in contours:
        rule = rule_of[contour.layer]
        if contour.id not in by_hand and rule and rule.task and _can_have(contour, rule.task):
            given[contour.layer] += 1
            contour = replace(contour, task=rule.task)
        out.append(contour)
    return tuple(out), given


def _can_have(contour: Contour, task: Task) -> bool:
    if contour.kind is Kind.OPEN:
        return task in ALONG_OPEN_LINES
    return task not in INTO_CIRCLES or contour.circle_diameter_mm is not None


def rule_findings(
    left_out: Sequence[Layer], given: Mapping[str, int], rules: LayerRules, drawing: int
) -> tuple[Finding, ...]:
    """Return a note for each layer that a rule left out or gave a task, with counts.

    Parameters
    ----------
    left_out : sequence of Layer
        What was left out.
    given : mapping of str to int
        Layers whose contours had a task from a rule, and how many.
    rules : LayerRules
        The rules.
    drawing : int
        Number of the drawing in the job.
    """
    told = [
        f"Layer {la.name!r} is left out: {_counted(la.entity_count, 'entit', 'y', 'ies')}"
        for la in left_out
    ]
    for layer, count in given.items():
        rule = rules.rule_for(layer)
        assert rule is not None
        assert rule.task is not None
        told.append(f"Layer {layer!r} is {WORDS[rule.task]}: {_counted(count, 'contour', '', 's')}")
    return tuple(
        Finding(
            "layer-rule",
            Severity.NOTE,
            f"{words}, by the layer rules of {rules.name}. A choice by hand wins over them.",
            drawing=drawing,
        )
        for words in told
    )


def _counted(count: int, word: str, one: str, many: str) -> str:
    return f"{count} {word}{one if count == 1 else many}"
