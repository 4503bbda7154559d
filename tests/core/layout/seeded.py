"""Seeded sets of parts: three quarters rectangles, one quarter L shapes."""

from __future__ import annotations

import random

import numpy as np

from core.layout.nest_records import NestTask, Part, RackSheet
from core.library.records import SheetStock

WIDTHS = (180, 240, 300, 360, 420, 500, 640, 800, 950)
HEIGHTS = (120, 180, 240, 300, 400, 520)

SHEET = SheetStock("seeded", "sheet 2440 x 1220", (2440.0, 1220.0), 10.0, 10.0)


def outline(rng: random.Random, share_of_l: float = 0.25) -> list[tuple[float, float]]:
    """Return the corners of one part. [mm]."""
    if rng.random() >= share_of_l:
        width, height = rng.choice(WIDTHS), rng.choice(HEIGHTS)
        width, height = width + rng.randint(0, 30), height + rng.randint(0, 30)
        return [(0, 0), (width, 0), (width, height), (0, height)]
    width, height = rng.randint(250, 800), rng.randint(200, 600)
    leg, foot = rng.randint(60, width // 2), rng.randint(60, height // 2)
    return [(0, 0), (width, 0), (width, foot), (leg, foot), (leg, height), (0, height)]


def outlines(count: int, seed: int) -> list[list[tuple[float, float]]]:
    """Return a set of outlines."""
    rng = random.Random(seed)
    return [outline(rng) for _ in range(count)]


def part(corners: list[tuple[float, float]], number: int = 1, **more: object) -> Part:
    """Return a part with these corners, one of it unless told otherwise."""
    given: dict[str, object] = {"quantity": 1, **more}
    return Part(0, number, f"part {number}", (np.array(corners, float),), **given)


def seeded_task(count: int, seed: int, sheet: SheetStock = SHEET) -> NestTask:
    """Return a set of parts to be nested on one kind of sheet."""
    parts = tuple(part(corners, n) for n, corners in enumerate(outlines(count, seed), start=1))
    return NestTask(parts, (RackSheet(sheet),), kerf_mm=0.0)


def spent_length_mm(layout: object, sheet: SheetStock = SHEET) -> float:
    """Return whole sheets but the emptiest one, and of that the length in use. [mm]."""
    sheets = [s for s in layout.sheets for _ in range(s.repeat)]
    return (len(sheets) - 1) * sheet.size_mm[0] + min(s.used_mm for s in sheets)
