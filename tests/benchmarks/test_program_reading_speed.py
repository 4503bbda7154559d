"""Reading an NC program of a million lines, as a stream.

Goal: a million lines in at most 20 s, in memory that does not grow with the program: what is read
is handed on in parts of a bounded size (tests/core/handover/test_reader.py).
Run: pytest tests/benchmarks/test_program_reading_speed.py -n 0 --benchmark-enable
"""

from __future__ import annotations

from itertools import islice

import pytest

from core.handover.nc_reader import read_parts
from core.library.nc_records import NcSettings

MILLION = 1_000_000
HEAD = ("%", "G71", "G17 G90 G94", "G40", "G80", "G54", "G0 X0.000 Y0.000 Z16.000")
ROUND = (
    "N{} G1 X10.000 Y0.000 Z-0.200 F3420.0",
    "N{} G3 X12.000 Y2.000 I0.000 J2.000",
    "N{} G1 Y10.000",
    "N{} G2 X10.000 Y12.000 I-2.000 J0.000",
    "(copy 1, contour 3)",
    "N{} G1 X0.000 Y0.000",
)


def lines(count):
    """Yield a program of `count` lines and a few."""
    yield from HEAD
    for k in range(count):
        yield ROUND[k % len(ROUND)].format(10 * k)
    yield "M2"


def read(count):
    """Read a program without keeping it; return moves and lines."""
    moves = told = 0
    for part in read_parts(lines(count), NcSettings(), 0.0):
        moves += len(part.moves)
        told += part.lines
    return moves, told


@pytest.mark.benchmark(min_rounds=1, max_time=1.0)
def test_a_program_is_read_in_time_that_grows_with_its_lines(benchmark, request):
    count = MILLION if request.config.getoption("--benchmark-enable") else MILLION // 100
    moves, told = benchmark.pedantic(read, (count,), rounds=1)
    assert told == count + len(HEAD) + 1
    assert moves == sum(
        1 for line in islice(lines(count), count + len(HEAD)) if "X" in line or "Y" in line
    )
