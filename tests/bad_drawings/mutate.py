"""Damages drawings at random and reads them: only the program's own errors may come out.

Run `python tests/bad_drawings/mutate.py 5000` from the project's folder; the suite runs 300.
A mutant flips bytes, drops or doubles lines, cuts the file off, or puts hostile values in place of
numbers. The drawings are drawn here; the seed makes every run the same.
"""

from __future__ import annotations

import io
import math
import random
import sys
import time
import traceback
from collections import Counter

import ezdxf

from core.contours import find_contours
from core.drawing import read_drawing
from core.errors import WorkbenchError
from core.job.job import DrawingFile

SEED = 20_240_607
LONGEST_S = 5.0
HOSTILE = (
    *(b"nan", b"inf", b"-inf", b"1e300", b"-1e300", b"1e-300", b"0", b"-1", b"", b"abc", b"99999"),
    *(b"1000000000", b"-2147483649", b"0.0000001", b"1,5", b"\xff\xfe", b"*Model_Space", b"0 0"),
)


def drawings() -> list[bytes]:
    """Return the sound drawings that mutants are made of: every entity type that is read."""
    return [_as_bytes(version) for version in ("R12", "R2000", "R2018")]


def _as_bytes(version: str) -> bytes:
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = 4
    document.layers.add("frozen").freeze()
    space = document.modelspace()
    bulge = math.tan(math.pi / 8.0)
    corners = [(0, 0, 0), (200, 0, 0), (200, 90, bulge), (190, 100, 0), (0, 100, 0)]
    block = document.blocks.new("HOLE", base_point=(1.0, 1.0))
    block.add_circle((0, 0), 4)
    nested = document.blocks.new("ROW")
    nested.add_blockref("HOLE", (5, 5), {"xscale": -1.5, "yscale": 1.5, "rotation": 30.0})
    if version == "R12":
        space.add_polyline2d(corners, format="xyb", close=True)
    else:
        space.add_lwpolyline(corners, format="xyb", close=True)
        space.add_ellipse((60, 50), (12, 0), 0.5)
        space.add_spline([(100, 50), (110, 60), (120, 50), (110, 40), (100, 50)])
        space.add_mtext("6 mm clear")
    space.add_blockref("HOLE", (20, 20))
    space.add_blockref(
        "ROW",
        (30, 70),
        {"row_count": 2, "column_count": 3, "row_spacing": 12.0, "column_spacing": 25.0},
    )
    space.add_arc((150, 50), 10, 20, 300)
    space.add_line((150, 40), (170, 40))
    space.add_circle((180, 20), 3, dxfattribs={"extrusion": (0, 0, -1)})
    space.add_line((0, 0), (5, 5), dxfattribs={"layer": "frozen"})
    space.add_text("note")
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("cp1252", errors="replace")


def mutant(sound: bytes, chance: random.Random) -> bytes:
    """Return a damaged copy of a drawing."""
    lines = sound.split(b"\n")
    begin = next((k for k, line in enumerate(lines) if line.strip() == b"ENTITIES"), 0)
    for _ in range(chance.randint(1, 4)):
        # most damage goes where the drawing is, the rest anywhere
        first = begin if chance.random() < 0.7 else 0
        at = chance.randrange(first, len(lines))
        kind = chance.randrange(6)
        if kind == 0 and lines[at]:
            spot = chance.randrange(len(lines[at]))
            byte = bytes([lines[at][spot] ^ (1 << chance.randrange(8))])
            lines[at] = lines[at][:spot] + byte + lines[at][spot + 1 :]
        elif kind == 1:
            del lines[at : at + chance.randint(1, 3)]
        elif kind == 2:
            lines[at:at] = lines[at : at + chance.randint(1, 40)]
        elif kind == 3 and chance.random() < 0.2:
            lines = lines[: max(at, 1)]
        else:
            # codes and values take turns, values on odd lines: damaged codes are refused at once
            at = min(at | 1, len(lines) - 1) if chance.random() < 0.9 else at
            lines[at] = chance.choice(HOSTILE)
        begin = min(begin, len(lines) - 1)
    return b"\n".join(lines)


def outcome(content: bytes) -> str:
    """Return how reading a file ends: "read", or the name of the program's own error.

    Raises
    ------
    Exception
        Whatever the program lets through that it should not.
    """
    file = DrawingFile("mutant.dxf", content)
    try:
        find_contours(read_drawing(file), file)
    except WorkbenchError as problem:
        if not str(problem).strip() or "\n" in str(problem):
            raise AssertionError(f"not one clear line: {problem}") from problem
        return type(problem).__name__
    return "read"


def failures(count: int, seed: int = SEED) -> tuple[list[str], Counter[str]]:
    """Return what went wrong over `count` mutants, and how the others ended."""
    chance = random.Random(seed)
    sound = drawings()
    wrong: list[str] = []
    ended: Counter[str] = Counter()
    for number in range(count):
        content = mutant(chance.choice(sound), chance)
        begin = time.perf_counter()
        try:
            ended[outcome(content)] += 1
        except Exception:
            wrong.append(f"mutant {number}:\n{traceback.format_exc()}")
        if time.perf_counter() - begin > LONGEST_S:
            wrong.append(f"mutant {number}: longer than {LONGEST_S} s")
    return wrong, ended


if __name__ == "__main__":
    faults, ends = failures(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
    sys.stdout.write("\n".join(faults[:20]) + f"\n{len(faults)} failures; {dict(ends)}\n")
    sys.exit(bool(faults))
